//go:build js && wasm

// Command wasm is the engine of an exported window: it answers what the page asks
// (package talk), in a worker of the browser. There are no files but those that
// came with the site's pieces.
//
// The worker finds a function wendAsk, which answers a request by calls of
// wendReply before it returns; wendReady is called once it is there.
package main

import (
	"context"
	"encoding/json"
	"path/filepath"
	"syscall/js"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/window/talk"
	"wend/examples"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/machine"
)

// page takes answers to the worker's page.
type page struct{ reply js.Value }

func (p page) Text(message any) {
	if text, err := json.Marshal(message); err == nil {
		p.reply.Invoke(string(text))
	}
}

func (p page) Binary(message []byte) {
	bytes := js.Global().Get("Uint8Array").New(len(message))
	js.CopyBytesToJS(bytes, message)
	p.reply.Invoke(bytes)
}

// read gives what the examples use.
func read(_, name string) (*source.File, error) {
	path := filepath.ToSlash(name)
	for _, piece := range examples.Names() {
		if text, ok := examples.Beside(piece)[path]; ok {
			return source.New(name, text), nil
		}
	}
	return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}, File: name}
}

// limits are those of a browser, which computes four to eight times as slowly and
// has less memory: a line of more points would keep whoever writes waiting.
var limits = eval.Limits{Points: 500_000}

func main() {
	session := talk.New(engine.Settings{Profile: machine.DeskToy(), Read: read, Limits: limits}, page{js.Global().Get("wendReply")})
	js.Global().Set("wendAsk", js.FuncOf(func(_ js.Value, arguments []js.Value) any {
		session.Answer(context.Background(), []byte(arguments[0].String()))
		return nil
	}))
	js.Global().Call("wendReady")
	select {} // until the worker is ended
}
