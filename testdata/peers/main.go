// Command peers runs one kernel in one engine and prints the milliseconds it
// took, in processor time, reading and compiling left out. It is a module of its own, so that the
// engines are no dependency of wend.
//
//	peers ENGINE KERNEL
//
// Host functions do the least that can be asked: they add a number. The ones of
// wend draw a line that is kept, with every check and limit on.
package main

import (
	"context"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"syscall"
	"time"

	"github.com/d5/tengo/v2"
	"github.com/dop251/goja"
	lua "github.com/yuin/gopher-lua"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"wend/lang/check"
	"wend/lang/compile"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/geom"
	"wend/stdlib"
)

func main() {
	if len(os.Args) != 3 {
		log.Fatal("usage: peers ENGINE KERNEL")
	}
	engines := map[string]func(kernel string) (func() error, error){
		"wend": wend, "gopher-lua": gopherLua, "tengo": tengoScript, "starlark-go": starlarkGo, "goja": gojaScript,
	}
	prepare, ok := engines[os.Args[1]]
	if !ok {
		log.Fatalf("no engine %q", os.Args[1])
	}
	kernel, err := prepare(os.Args[2])
	if err != nil {
		log.Fatal(err)
	}
	debug.SetGCPercent(400) // a run is short, and its line is kept to the end
	warm()
	start := spent()
	if err := kernel(); err != nil {
		log.Fatal(err)
	}
	fmt.Println(float64((spent() - start).Microseconds()) / 1000)
}

// warm makes the heap hold memory that the system has given. Of all engines wend
// alone keeps a line, 20 MB a million pieces, and on some virtual machines the
// first touch of a page is dear: 18 µs for 4 kB were measured, which is more than
// all else in those kernels.
func warm() {
	const page, size = 4096, 160 << 20
	memory := make([]byte, size)
	for i := 0; i < size; i += page {
		memory[i] = 1
	}
	memory = nil
	runtime.GC()
}

// spent is the processor time of the process, the collector's included: what
// os.clock of Lua and process_time of Python measure. Time on the wall would
// count against Go alone that a machine is busy with other things.
func spent() time.Duration {
	var usage syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &usage); err != nil {
		log.Fatal(err)
	}
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}

func wend(kernel string) (func() error, error) {
	name := filepath.Join("../../runtime/eval/testdata/kernels", kernel+".wend")
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	tree, diags := parse.File(source.New(name, string(text)))
	if diags.Failed() {
		return nil, diags
	}
	checked, diags := check.Check(tree, check.Options{Library: stdlib.Library()})
	if diags.Failed() {
		return nil, diags
	}
	program := compile.Program(checked)
	return func() error {
		_, diags := eval.Run(context.Background(), program, eval.Options{
			Natives: stdlib.Natives(), Seed: 1, Page: geom.Box{Max: geom.Point{X: 200, Y: 150}},
		})
		if diags.Failed() {
			return diags
		}
		return nil
	}, nil
}

// stylus is what the host functions of the peers add to.
type stylus struct{ x, y, heading float64 }

func gopherLua(kernel string) (func() error, error) {
	state := lua.NewState()
	s := &stylus{}
	state.SetGlobal("reach", state.NewFunction(func(l *lua.LState) int {
		s.x, s.y = float64(l.CheckNumber(1)), float64(l.CheckNumber(2))
		return 0
	}))
	state.SetGlobal("ahead", state.NewFunction(func(l *lua.LState) int { s.x += float64(l.CheckNumber(1)); return 0 }))
	state.SetGlobal("turn", state.NewFunction(func(l *lua.LState) int { s.heading += float64(l.CheckNumber(1)); return 0 }))
	if err := state.DoFile("kernels/kernels_go.lua"); err != nil {
		return nil, err
	}
	return func() error { return state.CallByParam(lua.P{Fn: state.GetGlobal(kernel), Protect: true}) }, nil
}

func tengoScript(kernel string) (func() error, error) {
	text, err := os.ReadFile(filepath.Join("kernels", kernel+".tengo"))
	if err != nil {
		return nil, err
	}
	s := &stylus{}
	number := func(o tengo.Object) float64 { x, _ := tengo.ToFloat64(o); return x }
	script := tengo.NewScript(text)
	for name, f := range map[string]tengo.CallableFunc{
		"reach": func(args ...tengo.Object) (tengo.Object, error) {
			s.x, s.y = number(args[0]), number(args[1])
			return tengo.UndefinedValue, nil
		},
		"ahead": func(args ...tengo.Object) (tengo.Object, error) {
			s.x += number(args[0])
			return tengo.UndefinedValue, nil
		},
		"turn": func(args ...tengo.Object) (tengo.Object, error) {
			s.heading += number(args[0])
			return tengo.UndefinedValue, nil
		},
		"sin": func(args ...tengo.Object) (tengo.Object, error) {
			return &tengo.Float{Value: math.Sin(number(args[0]))}, nil
		},
		"cos": func(args ...tengo.Object) (tengo.Object, error) {
			return &tengo.Float{Value: math.Cos(number(args[0]))}, nil
		},
	} {
		if err := script.Add(name, &tengo.UserFunction{Name: name, Value: f}); err != nil {
			return nil, err
		}
	}
	compiled, err := script.Compile()
	if err != nil {
		return nil, err
	}
	return compiled.Run, nil
}

func starlarkGo(kernel string) (func() error, error) {
	s := &stylus{}
	number := func(v starlark.Value) float64 { x, _ := starlark.AsFloat(v); return x }
	builtin := func(name string, f func(args starlark.Tuple) starlark.Value) starlark.Value {
		return starlark.NewBuiltin(name, func(_ *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
			return f(args), nil
		})
	}
	host := starlark.StringDict{
		"reach": builtin("reach", func(a starlark.Tuple) starlark.Value { s.x, s.y = number(a[0]), number(a[1]); return starlark.None }),
		"ahead": builtin("ahead", func(a starlark.Tuple) starlark.Value { s.x += number(a[0]); return starlark.None }),
		"turn":  builtin("turn", func(a starlark.Tuple) starlark.Value { s.heading += number(a[0]); return starlark.None }),
		"sin":   builtin("sin", func(a starlark.Tuple) starlark.Value { return starlark.Float(math.Sin(number(a[0]))) }),
		"cos":   builtin("cos", func(a starlark.Tuple) starlark.Value { return starlark.Float(math.Cos(number(a[0]))) }),
	}
	thread := &starlark.Thread{}
	globals, err := starlark.ExecFileOptions(&syntax.FileOptions{Recursion: true}, thread, "kernels/kernels.star", nil, host)
	if err != nil {
		return nil, err
	}
	return func() error {
		_, err := starlark.Call(thread, globals[kernel], nil, nil)
		return err
	}, nil
}

func gojaScript(kernel string) (func() error, error) {
	text, err := os.ReadFile("kernels/kernels.js")
	if err != nil {
		return nil, err
	}
	vm := goja.New()
	s := &stylus{}
	host := map[string]func(call goja.FunctionCall) goja.Value{
		"reach": func(c goja.FunctionCall) goja.Value {
			s.x, s.y = c.Arguments[0].ToFloat(), c.Arguments[1].ToFloat()
			return goja.Undefined()
		},
		"ahead": func(c goja.FunctionCall) goja.Value { s.x += c.Arguments[0].ToFloat(); return goja.Undefined() },
		"turn":  func(c goja.FunctionCall) goja.Value { s.heading += c.Arguments[0].ToFloat(); return goja.Undefined() },
	}
	for name, f := range host {
		if err := vm.Set(name, f); err != nil {
			return nil, err
		}
	}
	if _, err := vm.RunString(string(text)); err != nil {
		return nil, err
	}
	call, _ := goja.AssertFunction(vm.Get(kernel))
	return func() error {
		_, err := call(goja.Undefined())
		return err
	}, nil
}
