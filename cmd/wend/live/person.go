package live

import (
	"context"

	"wend/cmd/wend/operate"
	"wend/cmd/wend/tty"
	"wend/lang/diag"
	"wend/lang/diag/render"
)

// person is who sits at the prompt, as the operator of a machine.
type person struct {
	p     *Prompt
	meter tty.Meter
}

// Say is that of operate.Person.
func (w *person) Say(text string) { w.p.say("%s", text) }

// Diagnose is that of operate.Person.
func (w *person) Diagnose(list diag.List) { w.p.Diagnose(list) }

// Ask is that of operate.Person.
func (w *person) Ask(ctx context.Context, question string) (string, error) {
	p := w.p
	question = render.Visible(question)
	select {
	case <-p.Interrupted: // it was for what is over now
	default:
	}
	if p.Lines.Waiting() && !p.Script {
		p.say("what was typed or pasted ahead comes after this")
	}
	// Where the window has no room for an answer behind it, the question stands
	// above.
	if columns, _ := p.window(); (columns > 0 || p.Keys != nil) && tty.Crowds(question, columns) {
		p.say("%s", question)
		question = "> "
	}
	return tty.Ask(ctx, p.Lines, p.Interrupted, question)
}

// Show is that of operate.Person.
func (w *person) Show(status *operate.Status) {
	if !w.p.Script {
		columns, _ := w.p.window()
		w.meter.Show(w.p.out, status, w.p.Plain, w.p.Keys != nil, columns)
	}
}

// Keys is that of operate.Person.
func (w *person) Keys() operate.Keys { return w.p.Keys }

// Interrupted is that of operate.Person.
func (w *person) Interrupted() <-chan struct{} { return w.p.Interrupted }
