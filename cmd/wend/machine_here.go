package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"wend/internal/expression"
	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
)

// hereJSON is what `wend machine here --json` prints.
type hereJSON struct {
	Machine  string    `json:"machine"`
	Position string    `json:"position"` // lost, assumed
	Why      string    `json:"why,omitempty"`
	Page     pointJSON `json:"page"`
	Motors   pointJSON `json:"motors"` // machine mm
	// CutOff is the drawing that was cut off, if the position is lost and
	// `wend send --resume` may find it again.
	CutOff *cutOffJSON `json:"cut_off,omitempty"`
}

type cutOffJSON struct {
	Name     string `json:"name"`
	Sheet    int    `json:"sheet"` // from 1
	Moves    int    `json:"moves"` // of the whole sheet
	Drawn    int    `json:"drawn"` // moves that surely are
	MayDrawn int    `json:"may_be_drawn"`
}

// twoNumbers is a pair as it is written elsewhere: 20,15, 20x15, (20, 15) or 20/15,
// each with mm or without.
var twoNumbers = expression.Of(`^\(?(-?[0-9.]+)(?:mm)?[,;x×/ ]+(-?[0-9.]+)(?:mm)?\)?$`)

// pairTyped is the pair that somebody meant by other words, as two arguments.
func pairTyped(args []string) string {
	if pair := twoNumbers.FindStringSubmatch(strings.Join(args, " ")); pair != nil {
		return pair[1] + " " + pair[2]
	}
	return "20 15"
}

func newMachineHere(c console) *cobra.Command {
	var f profileFlags
	cmd := &cobra.Command{
		Use:   "here [X Y]",
		Short: "show where the stylus is taken to stand, or say where it stands",
		Long: `Without numbers it shows the remembered position: in page mm, and where the motors
count themselves to be, in machine mm from the lower left corner of the area. With
two numbers, in page mm, it takes your word for where the stylus stands: look first.
After a drawing that was cut off it says how to go on with it.

No port is opened and nothing moves. The next session assumes that position, and asks
once more before it draws.`,
		Example: `  wend machine here --machine bench.toml
  wend machine here 20 15 --machine bench.toml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 0 && len(args) != 2 {
				return usagef("`wend machine here` takes no number or two, x and y in mm of the page: `wend machine here %s`", pairTyped(args))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			o := &operator{seat: &seat{c: c, plain: f.plain}}
			profile, list := c.profile(f.machine)
			c.show(list, f.plain)
			if list.Failed() {
				return exit(exitErrors)
			}
			if len(args) == 2 {
				at, err := parsePoint(args[0] + "," + args[1])
				if err != nil {
					return usagef("`wend machine here` takes two numbers of mm: `wend machine here %s`", pairTyped(args))
				}
				if err := c.declare(profile, at); err != nil {
					return o.failed(err)
				}
			}
			return c.here(profile, &f)
		},
	}
	f.add(cmd)
	return cmd
}

func (c console) declare(p *machine.Profile, at geom.Point) error {
	memory, err := link.OpenMemory(link.Disk(c.stateFolder()), p.Name, p)
	if err != nil {
		return err
	}
	defer memory.Close()
	return memory.Declare(p, at, c.now())
}

func (c console) here(p *machine.Profile, f *profileFlags) error {
	memory := link.Remember(link.Disk(c.stateFolder()), p.Name, p)
	at, certainty, why := memory.Recall()
	page, motors := link.StylusAt(p, at.Steps, at.Gap), p.AtSteps(at.Steps)
	var cut *link.Record
	if certainty == link.Lost {
		if cut = c.cutOff(memory, p); cut != nil && c.inUse(p) {
			cut, why = nil, "another wend is drawing with it just now"
		}
	}
	switch {
	case f.json:
		result := hereJSON{Machine: p.Name, Position: certainty.String(), Why: why}
		if certainty != link.Lost {
			result.Page, result.Motors = newPointJSON(page), newPointJSON(motors)
		}
		if cut != nil {
			result.CutOff = &cutOffJSON{Name: cut.Name, Sheet: cut.Sheet + 1, Moves: cut.Moves, Drawn: cut.Drawn, MayDrawn: cut.MaySend}
		}
		if err := c.writeJSON(result); err != nil {
			return exit(exitErrors)
		}
	case certainty == link.Lost:
		c.tell("%s: the position is lost: %s\n", p.Name, why)
		if cut != nil {
			port := ""
			if p.Board.Port == "" {
				port = "NAME"
			}
			text := fmt.Sprintf("%s was cut off, at least %d of its %d moves drawn: `%s` asks the board, which may still know where the stylus is.",
				cut.Name, cut.Drawn, cut.Moves, resumeCommand([]string{cut.Name}, f.machine, port))
			c.tell("%s\n", c.paragraph(c.stdout, "", text))
		}
	default:
		c.tell("%s: %s at (%.2f, %.2f) of the page; the motors at (%.2f, %.2f) of the area\n", p.Name, certainty, page.X, page.Y, motors.X, motors.Y)
	}
	return nil
}

// cutOff is the drawing in which the session before ended, nil if there is
// none, or none that can go on.
func (c console) cutOff(memory *link.Memory, p *machine.Profile) *link.Record {
	record, err := memory.Journal()
	if err != nil || record == nil || record.Profile != link.Fingerprint(p) {
		return nil // `send --resume` says what is wrong with it
	}
	return record
}

// inUse reports whether another process has the machine.
func (c console) inUse(p *machine.Profile) bool {
	memory, err := link.OpenMemory(link.Disk(c.stateFolder()), p.Name, p)
	if err == nil {
		memory.Close()
		return false
	}
	var fault *diag.Fault
	return errors.As(err, &fault) && fault.Code == "machine-in-use"
}

// resumeCommand is what goes on with a drawing; without a port it is that of the
// profile.
func resumeCommand(names []string, profile, port string) string {
	command := "wend send"
	for _, name := range names {
		command += " " + quotedWord(name)
	}
	command += " --machine " + quotedWord(profile)
	if port != "" {
		command += " --port " + quotedWord(port)
	}
	return command + " --resume"
}
