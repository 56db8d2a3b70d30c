package main

import (
	"context"

	"wend/cmd/wend/engine"
	"wend/runtime/geom"
	"wend/runtime/preview"
)

// inking lays the ink of a large sheet while a program draws it. It is done for one
// sheet alone: each takes as much memory as a picture.
type inking struct {
	ctx     context.Context
	program *engine.Program
	options preview.Options
	sheet   int
	begun   bool
	ink     *preview.Inking // nil: none, or not yet
}

// follow takes the next stretch of a sheet's line.
func (k *inking) follow(sheet int, stretch []geom.Point) {
	switch {
	case !k.begun:
		k.ink = k.program.PictureOf(stretch).Ink(k.ctx, k.options)
		k.sheet, k.begun = sheet, k.ink != nil
	case sheet == k.sheet:
		k.ink.Add(stretch)
	}
}

// of is the ink of a sheet, if there is any.
func (k *inking) of(sheet int) *preview.Inking {
	if sheet != k.sheet {
		return nil
	}
	return k.ink
}

func (k *inking) stop() {
	if k.ink != nil {
		k.ink.Stop()
	}
}
