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
	"syscall/js"

	"wend/cmd/wend/window/talk"
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

func main() {
	session := talk.New(talk.OfSite(), page{js.Global().Get("wendReply")})
	js.Global().Set("wendAsk", js.FuncOf(func(_ js.Value, arguments []js.Value) any {
		session.Answer(context.Background(), []byte(arguments[0].String()))
		return nil
	}))
	js.Global().Call("wendReady")
	select {} // until the worker is ended
}
