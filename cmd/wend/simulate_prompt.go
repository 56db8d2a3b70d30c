package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"wend/cmd/wend/tty"
	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/simulator"
)

// order is what can be typed while a simulated machine runs.
type order struct {
	word, form, does string
	// do gives what there is to say, or why it was not done.
	do func(s *simulation, ctx context.Context, args []string) (string, error)
}

// ordersOfSimulate is every order, in the order in which `help` lists them.
func ordersOfSimulate() []order {
	return []order{
		{"picture", "picture", "write the picture now", (*simulation).takePicture},
		{"wipe", "wipe", "wipe the sheet clean by hand; the stylus stays where it is", (*simulation).wipe},
		{"turn", "turn x 5", "turn a knob by hand, by so many mm of its string; below 0 the other way", (*simulation).turn},
		{"bring", "bring 70 50", "turn both knobs by hand until the stylus stands there, in page mm", (*simulation).bring},
		{"where", "where", "where the stylus really stands, and what the board does", (*simulation).where},
		{"help", "help", "this list", (*simulation).help},
		{"quit", "quit", "end, as Ctrl-C does", (*simulation).quit},
	}
}

var errQuit = errors.New("quit")

// obey does what was typed, and reports whether the simulation is to end.
func (s *simulation) obey(ctx context.Context, line string) (ends bool) {
	fields := strings.Fields(line)
	if len(fields) == 0 {
		return false
	}
	orders := ordersOfSimulate()
	at := slices.IndexFunc(orders, func(o order) bool { return o.word == fields[0] })
	if at < 0 {
		words := make([]string, 0, len(orders))
		for _, o := range orders {
			words = append(words, o.word)
		}
		hint := "; `help` lists them"
		if near := diag.Nearest(fields[0], words, 1); len(near) > 0 {
			hint = fmt.Sprintf("; did you mean `%s`?", near[0])
		}
		s.c.say("there is no order %q%s", fields[0], hint)
		return false
	}
	o := orders[at]
	if len(fields) > 1 && !strings.Contains(o.form, " ") {
		s.c.say("`%s` stands alone", o.word)
		return false
	}
	said, err := o.do(s, ctx, fields[1:])
	var wrong usage
	switch {
	case errors.Is(err, errQuit), ctx.Err() != nil:
		return true
	case errors.As(err, &wrong):
		s.c.say("%s", wrong.text)
	case err != nil:
		s.failed(err)
	default:
		s.c.say("%s", said)
	}
	return false
}

func (s *simulation) takePicture(ctx context.Context, _ []string) (string, error) {
	return "wrote " + s.album.name(), s.album.update(ctx)
}

func (s *simulation) wipe(ctx context.Context, _ []string) (string, error) {
	s.machine.WipeByHand()
	err := s.album.update(ctx)
	all := s.album.all()
	return fmt.Sprintf("wiped; what was drawn is kept in %s", all[max(0, len(all)-2)]), err
}

func (s *simulation) turn(_ context.Context, args []string) (string, error) {
	const form = "`turn` takes a knob and how many mm of string, such as `turn x 5` or `turn y -2.5`"
	if len(args) != 2 {
		return "", usagef(form)
	}
	axis := slices.Index([]string{"x", "y"}, strings.ToLower(args[0]))
	mm, ok := millimetres(args[1])
	if axis < 0 || !ok {
		return "", usagef(form)
	}
	if most := max(s.profile.Area.WidthMM, s.profile.Area.HeightMM); mm < -most || mm > most {
		return "", usagef("no knob turns that far: from %g to %g mm", -most, most)
	}
	before := s.machine.Look().Contacts
	s.machine.TurnKnob(simulator.Axis(axis), mm)
	look := s.machine.Look()
	// One that was there before may have become a longer one.
	if after := look.Contacts; !slices.Equal(after, before) {
		return fmt.Sprintf("the %s wall holds it: %s", wallOf(after[len(after)-1]), s.stands(look)), nil
	}
	return s.stands(look), nil
}

func (s *simulation) bring(_ context.Context, args []string) (string, error) {
	const form = "`bring` takes two numbers of page mm, such as `bring 70 50`"
	var page geom.Point
	switch len(args) {
	case 1:
		var err error
		if page, err = parsePoint(args[0]); err != nil {
			return "", usagef(form)
		}
	case 2:
		var okX, okY bool
		page.X, okX = millimetres(strings.TrimSuffix(args[0], ","))
		page.Y, okY = millimetres(args[1])
		if !okX || !okY {
			return "", usagef(form)
		}
	default:
		return "", usagef(form)
	}
	if !s.profile.AreaBox().Contains(s.profile.ToMachine(page)) {
		low, high := s.profile.ToPage(geom.Point{}), s.profile.ToPage(s.profile.AreaBox().Max)
		return "", usagef("(%g, %g) is behind a wall: they stand at %g and %g in x, at %g and %g in y", page.X, page.Y, low.X, high.X, low.Y, high.Y)
	}
	if state := s.machine.Look().State; state == "Run" {
		return "", usagef("the motors turn: bring it somewhere when they stand")
	}
	s.machine.BringByHand(s.profile.ToMachine(page))
	return s.stands(s.machine.Look()), nil
}

func (s *simulation) where(context.Context, []string) (string, error) {
	look := s.machine.Look()
	does := map[string]string{
		"": "starts", "Idle": "waits", "Run": "moves", "Hold:0": "holds", "Hold:1": "brakes to hold", "Alarm": "is locked by an alarm",
	}[look.State]
	return fmt.Sprintf("%s; the board %s", s.stands(look), does), nil
}

func (s *simulation) stands(look simulator.Look) string {
	at := s.profile.ToPage(look.StylusMM)
	return fmt.Sprintf("the stylus stands at (%.2f, %.2f)", micron(at.X), micron(at.Y))
}

func (s *simulation) help(context.Context, []string) (string, error) {
	var text strings.Builder
	for i, o := range ordersOfSimulate() {
		if i > 0 {
			text.WriteByte('\n')
		}
		fmt.Fprintf(&text, "  %-12s %s", o.form, o.does)
	}
	return text.String(), nil
}

func (s *simulation) quit(context.Context, []string) (string, error) { return "", errQuit }

// millimetres reads a number, with a point or a comma.
func millimetres(text string) (float64, bool) {
	mm, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return mm, err == nil && mm-mm == 0
}

// prompt reads orders until `quit`, or Ctrl-C or Ctrl-D at a terminal. What is
// not typed ends nothing: the machine runs on when a pipe does.
func (s *simulation) prompt(ctx context.Context, lines tty.LineReader, typed bool) (ends bool) {
	for {
		line, err := lines.ReadLine("simulate> ", "> ")
		if editor, ok := lines.(*tty.Editor); ok {
			editor.Remember(line)
		}
		switch {
		case errors.Is(err, tty.ErrCleared):
		case err != nil:
			if typed {
				s.c.say("")
			}
			return typed
		case s.obey(ctx, line):
			return true
		}
	}
}

// lines are where orders come from: the line editor at a terminal, plain lines
// elsewhere. A process in the background of a terminal must not read from it,
// and has none.
func (s *simulation) lines(interrupt func()) (lines tty.LineReader, typed bool, release func()) {
	release = func() {}
	in := s.c.stdin
	switch {
	case in == nil:
		return nil, false, release
	case !s.c.onTerminal(in):
		return tty.LinesOf(in, io.Discard, false), false, release
	case !tty.Foreground(in.(*os.File)):
		return nil, false, release
	}
	if s.c.onTerminal(s.c.stdout) && s.c.environment("TERM") != "dumb" && !s.plain {
		if editor, err := tty.NewEditor(os.Stdin, "", completeOrder, interrupt); err == nil {
			return editor, true, func() { editor.Close() } //nolint:errcheck // the terminal is given back in any case
		}
	}
	return tty.LinesOf(in, s.c.stderr, true), true, release
}

// completeOrder completes the word that begins a line.
func completeOrder(line string, pos int) (head string, words []string, tail string) {
	runes := []rune(line)
	head, tail = string(runes[:pos]), string(runes[pos:])
	for _, o := range ordersOfSimulate() {
		if strings.HasPrefix(o.word, head) {
			words = append(words, o.word)
		}
	}
	return "", words, tail
}
