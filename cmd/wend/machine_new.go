package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/drawing"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// New machines start slow, until `tune` has found what they can do.
const (
	newSpeedMMS         = 20
	newAccelerationMMS2 = 150
)

// inquiry is one thing that a new profile needs to know: a flag, or a question
// on a terminal.
type inquiry struct {
	flag, kind  string // kind names the value in the help
	ask, unit   string
	otherwise   string // the default; what the machine alone can tell must be said without a terminal
	mustBeSaid  bool
	take        func(p *machine.Profile, answer string) error
	unnecessary func(p *machine.Profile) bool
}

func inquiries() []inquiry {
	pair := func(p *machine.Profile, answer string, least float64, put func(a *machine.Axis, v float64)) error {
		values, err := numbers(answer, 1, 2)
		if err != nil {
			return err
		}
		for i, a := range []*machine.Axis{&p.X, &p.Y} {
			v := values[min(i, len(values)-1)]
			if v < least {
				return fmt.Errorf("it is at least %g", least)
			}
			put(a, v)
		}
		return nil
	}
	return []inquiry{
		{flag: "name", kind: "TEXT", ask: "What do people call it?", take: func(p *machine.Profile, answer string) error {
			p.Name = answer
			return nil
		}},
		{flag: "area", kind: "W,H", ask: "How wide and how high is the area that the stylus can reach?", unit: "mm", otherwise: "150,110", mustBeSaid: true,
			take: func(p *machine.Profile, answer string) error {
				v, err := numbers(answer, 2, 2)
				if err != nil {
					return err
				}
				p.Area.WidthMM, p.Area.HeightMM = v[0], v[1]
				return nil
			}},
		{flag: "steps", kind: "N", ask: "Full steps of a motor in one turn (200 for 1.8 degrees)", otherwise: "200",
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, 1, func(a *machine.Axis, v float64) { a.StepsPerTurn = int(math.Round(v)) })
			}},
		{flag: "microsteps", kind: "N", ask: "Microsteps that the driver makes of each", otherwise: "16",
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, 1, func(a *machine.Axis, v float64) { a.Microsteps = int(math.Round(v)) })
			}},
		{flag: "line", kind: "MM", ask: "Line that one turn of the motor draws; x,y if they differ", unit: "mm", otherwise: "32", mustBeSaid: true,
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, 0.001, func(a *machine.Axis, v float64) { a.LineMMPerMotorTurn = v })
			}},
		{flag: "unsure", kind: "MM", ask: "How far that may be off, either way", unit: "mm", otherwise: "0.5",
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, 0, func(a *machine.Axis, v float64) { a.LineUncertaintyMM = v })
			}},
		{flag: "slack", kind: "MM", ask: "Slack of the knobs, 0 if not known yet", unit: "mm", otherwise: "0",
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, 0, func(a *machine.Axis, v float64) { a.SlackMM = v })
			}},
		{flag: "margin", kind: "MM", ask: "Margin that drawings keep from the edges", unit: "mm", otherwise: "5",
			take: func(p *machine.Profile, answer string) error {
				v, err := numbers(answer, 1, 1)
				if err == nil {
					p.Area.MarginMM = v[0]
				}
				return err
			}},
		{flag: "speed", kind: "MM/S", ask: "Largest speed to begin with", unit: "mm/s", otherwise: strconv.Itoa(newSpeedMMS),
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, 0.1, func(a *machine.Axis, v float64) { a.MaxSpeedMMS = v })
			}},
		{flag: "acceleration", kind: "MM/S2", ask: "Largest acceleration to begin with", unit: "mm/s²", otherwise: strconv.Itoa(newAccelerationMMS2),
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, 0.1, func(a *machine.Axis, v float64) { a.MaxAccelerationMMS2 = v })
			}},
		{flag: "port", kind: "NAME", ask: "Serial port of the motion board, empty to name it when sending",
			take: func(p *machine.Profile, answer string) error {
				p.Board.Port = answer
				return nil
			}},
		{flag: "baud", kind: "N", ask: "Speed of that port", unit: "baud", otherwise: "115200",
			take: func(p *machine.Profile, answer string) error {
				v, err := numbers(answer, 1, 1)
				if err == nil {
					p.Board.Baud = int(v[0])
				}
				return err
			}},
		{flag: "eraser", kind: "WHO", ask: "Who wipes the sheet: operator, serial (a second board) or none?", otherwise: "operator",
			take: func(p *machine.Profile, answer string) error {
				switch p.Eraser.Kind = machine.EraserKind(answer); p.Eraser.Kind {
				case machine.EraserOperator, machine.EraserSerial, machine.EraserNone:
					return nil
				}
				return errors.New("it is operator, serial or none")
			}},
		{flag: "eraser-port", kind: "NAME", ask: "Serial port of the eraser board", unnecessary: noEraserBoard,
			take: func(p *machine.Profile, answer string) error {
				p.Eraser.Port = answer
				return nil
			}},
		{flag: "eraser-send", kind: "TEXT", ask: "Text that starts one wiping", otherwise: "ERASE", unnecessary: noEraserBoard,
			take: func(p *machine.Profile, answer string) error {
				p.Eraser.Send = answer
				return nil
			}},
		{flag: "eraser-done", kind: "TEXT", ask: "Text that tells it is over", otherwise: "DONE", unnecessary: noEraserBoard,
			take: func(p *machine.Profile, answer string) error {
				p.Eraser.Done = answer
				return nil
			}},
	}
}

// prompt is the question with its unit and its usual answer.
func (q *inquiry) prompt(usual string) string {
	text := q.ask
	if q.unit != "" {
		text += " (" + q.unit + ")"
	}
	if usual != "" {
		text += " [" + usual + "]"
	}
	return text + " "
}

func noEraserBoard(p *machine.Profile) bool { return p.Eraser.Kind != machine.EraserSerial }

// numbers reads numbers with commas between them.
func numbers(text string, least, most int) ([]float64, error) {
	parts := strings.Split(text, ",")
	wanted := "a number"
	if least > 1 {
		wanted = fmt.Sprintf("%d numbers with commas between them", least)
	} else if most > 1 {
		wanted = "a number, or x,y"
	}
	if len(parts) < least || len(parts) > most {
		return nil, errors.New("it takes " + wanted)
	}
	var out []float64
	for _, part := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, errors.New("it takes " + wanted)
		}
		out = append(out, v)
	}
	return out, nil
}

func newMachineNew(c console) *cobra.Command {
	asked := inquiries()
	answers := make([]string, len(asked))
	cmd := &cobra.Command{
		Use:   "new NAME.toml",
		Short: "write the profile of a machine: asks on a terminal, or takes flags",
		Long: `Writes a profile, a text file with all that wend knows of one machine. On a terminal
it asks for what no flag says, with a usual answer in brackets. A new machine starts
slow, 20 mm/s and 150 mm/s²; ` + "`wend machine tune`" + ` finds what it can do. A file that
is there already is never overwritten.

Values of both axes are one number, or x,y.`,
		Example: `  wend machine new bench.toml
  wend machine new bench.toml --area 150,110 --line 32,31.6 --port /dev/ttyUSB0`,
		Args: exactlyOne("the name of a profile"),
		RunE: func(cmd *cobra.Command, args []string) error {
			given := map[string]bool{}
			for _, q := range asked {
				given[q.flag] = cmd.Flags().Changed(q.flag)
			}
			return c.newProfile(args[0], asked, answers, given)
		},
	}
	for i, q := range asked {
		help := strings.TrimSuffix(strings.ToLower(q.ask[:1])+q.ask[1:], "?")
		cmd.Flags().StringVar(&answers[i], q.flag, q.otherwise, fmt.Sprintf("%s, `%s`", help, q.kind))
	}
	return cmd
}

func (c console) newProfile(name string, asked []inquiry, answers []string, given map[string]bool) error {
	if strings.ToLower(filepath.Ext(name)) != ".toml" {
		return usagef("a profile's name ends in .toml, such as %s.toml", strings.TrimSuffix(name, filepath.Ext(name)))
	}
	if _, err := os.Lstat(name); err == nil {
		return c.refuse(aboutFile(name, "profile-exists", nil))
	}
	if answers[0] == "" {
		answers[0] = strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
	}
	profile := machine.Blank()
	if c.onTerminal(c.stdin) {
		if err := c.inquire(profile, asked, answers, given); err != nil {
			return err
		}
	} else if err := takeFlags(profile, asked, answers, given); err != nil {
		return err
	}
	// Boards keep three decimals of their steps per mm.
	profile.Board.StepsPerMM = geom.Point{X: micron(profile.X.StepsPerMM()), Y: micron(profile.Y.StepsPerMM())}
	text := machine.Marshal(profile)
	if _, list := machine.Read(source.New(name, string(text))); list.Failed() {
		c.show(list, false)
		c.say("the profile would look so, and was not written")
		return exit(exitErrors)
	}
	if err := writeNew(name, text); err != nil {
		return c.refuse(err)
	}
	fmt.Fprintf(c.stdout, "wrote %s; next: %s\n", name, tuneCommand(name))
	return nil
}

func takeFlags(profile *machine.Profile, asked []inquiry, answers []string, given map[string]bool) error {
	var lacking []string
	for i, q := range asked {
		if q.mustBeSaid && !given[q.flag] {
			lacking = append(lacking, "--"+q.flag)
			continue
		}
		if q.unnecessary != nil && q.unnecessary(profile) {
			continue
		}
		if err := q.take(profile, strings.TrimSpace(answers[i])); err != nil {
			return usagef("--%s: %s", q.flag, err)
		}
	}
	if len(lacking) > 0 {
		return usagef("without a terminal to ask on, %s must be said; `wend machine new --help` has an example", strings.Join(lacking, " and "))
	}
	return nil
}

// inquire asks for what no flag said. An empty answer takes the usual one.
func (c console) inquire(profile *machine.Profile, asked []inquiry, answers []string, given map[string]bool) error {
	lines := bufio.NewScanner(c.stdin)
	for i, q := range asked {
		if q.unnecessary != nil && q.unnecessary(profile) {
			continue
		}
		for first := true; ; first = false {
			answer := answers[i]
			if !given[q.flag] || !first {
				fmt.Fprint(c.stderr, q.prompt(answers[i]))
				if !lines.Scan() {
					fmt.Fprintln(c.stderr)
					c.say("stopped; nothing was written")
					return exit(exitStopped)
				}
				if typed := strings.TrimSpace(lines.Text()); typed != "" {
					answer = typed
				}
			}
			err := q.take(profile, strings.TrimSpace(answer))
			if err == nil {
				break
			}
			c.say("  %s", err)
		}
	}
	return nil
}

// refuse says why nothing was done.
func (c console) refuse(err error) error {
	c.show(drawing.Faults(err), false)
	return exit(exitErrors)
}

// writeNew writes a file that was not there.
func writeNew(name string, content []byte) error {
	file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return aboutFile(name, "profile-exists", nil)
	}
	if err == nil {
		_, err = file.Write(content)
		err = errors.Join(err, file.Close())
	}
	if err != nil {
		return notWritten(name, reason(err))
	}
	return nil
}
