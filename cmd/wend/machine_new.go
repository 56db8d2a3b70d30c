package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/internal/expression"
	"wend/lang/diag"
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
	keys        []string // of the profile, that the answer says
	take        func(p *machine.Profile, answer string) error
	unnecessary func(p *machine.Profile) bool
	// usual is what to offer where the default does not go with the answers
	// before it; it may be nil.
	usual func(p *machine.Profile) string
	// unusual is why an answer that can be is more likely a slip, empty if it
	// is not; it may be nil.
	unusual func(p *machine.Profile) string
}

func inquiries() []inquiry {
	pair := func(p *machine.Profile, answer string, put func(a *machine.Axis, v float64)) error {
		values, err := oneOrPair(answer)
		for i, a := range []*machine.Axis{&p.X, &p.Y} {
			if err == nil {
				put(a, values[min(i, len(values)-1)])
			}
		}
		return err
	}
	wholes := func(p *machine.Profile, answer string, put func(a *machine.Axis, v int)) error {
		values, err := numbers(answer, 1, 2)
		for i, a := range []*machine.Axis{&p.X, &p.Y} {
			if err == nil {
				var v int
				if v, err = whole(values[min(i, len(values)-1)]); err == nil {
					put(a, v)
				}
			}
		}
		return err
	}
	// Two axes of one toy differ little; a slip of the point makes them differ.
	apart := func(of func(a *machine.Axis) float64) func(p *machine.Profile) string {
		return func(p *machine.Profile) string {
			x, y := of(&p.X), of(&p.Y)
			if max(x, y) <= 3*min(x, y) {
				return ""
			}
			return fmt.Sprintf("that is %g for x and %g for y, which differ much", x, y)
		}
	}
	both := func(name string) []string { return []string{"x." + name, "y." + name} }
	return []inquiry{
		{flag: "name", kind: "TEXT", ask: "What do people call it?", take: func(p *machine.Profile, answer string) error {
			p.Name = answer
			return nil
		}},
		{flag: "area", kind: "W,H", ask: "How wide and how high is the area that the stylus can reach?", unit: "mm", otherwise: "150,110", mustBeSaid: true,
			keys: []string{"area.width_mm", "area.height_mm"},
			take: func(p *machine.Profile, answer string) error {
				w, h, err := widthAndHeight(answer)
				if err != nil {
					return errors.New("it takes two numbers, width and height, such as 150,110 or 150x110")
				}
				p.Area.WidthMM, p.Area.HeightMM = w, h
				return nil
			}},
		{flag: "steps", kind: "N", ask: "Full steps of a motor in one turn (200 for 1.8 degrees)", otherwise: "200",
			keys: both("steps_per_turn"),
			take: func(p *machine.Profile, answer string) error {
				return wholes(p, answer, func(a *machine.Axis, v int) { a.StepsPerTurn = v })
			},
			unusual: func(p *machine.Profile) string {
				return unusual("steps in a turn", "motors commonly make 200, or 400 (0.9 degrees)", usualSteps, p.X.StepsPerTurn, p.Y.StepsPerTurn)
			}},
		{flag: "microsteps", kind: "N", ask: "Microsteps that the driver makes of a full step", otherwise: "16",
			keys: both("microsteps"),
			take: func(p *machine.Profile, answer string) error {
				return wholes(p, answer, func(a *machine.Axis, v int) { a.Microsteps = v })
			},
			unusual: func(p *machine.Profile) string {
				return unusual("microsteps", "drivers commonly make 1, 2, 4, 8, 16, 32 and so on", usualMicrosteps, p.X.Microsteps, p.Y.Microsteps)
			}},
		{flag: "line", kind: "MM", ask: "Line that one turn of the motor draws; x,y if they differ", unit: "mm", otherwise: "32", mustBeSaid: true,
			keys: append(both("line_mm_per_motor_turn"), "board.steps_per_mm"),
			take: func(p *machine.Profile, answer string) error {
				err := pair(p, answer, func(a *machine.Axis, v float64) { a.LineMMPerMotorTurn = v })
				if err == nil && p.X.LineMMPerMotorTurn > 0 && p.Y.LineMMPerMotorTurn > 0 {
					// Boards keep three decimals of their steps per mm.
					p.Board.StepsPerMM = geom.Point{X: micron(p.X.StepsPerMM()), Y: micron(p.Y.StepsPerMM())}
				}
				return err
			},
			unusual: apart(func(a *machine.Axis) float64 { return a.LineMMPerMotorTurn })},
		{flag: "unsure", kind: "MM", ask: "How far the line of one turn may be off, either way", unit: "mm", otherwise: "0.5",
			keys: both("line_uncertainty_mm"),
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, func(a *machine.Axis, v float64) { a.LineUncertaintyMM = v })
			},
			unusual: apart(func(a *machine.Axis) float64 { return a.LineUncertaintyMM })},
		{flag: "slack", kind: "MM", ask: "Slack of the knobs, 0 if not known yet", unit: "mm", otherwise: "0",
			keys: both("slack_mm"),
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, func(a *machine.Axis, v float64) { a.SlackMM = v })
			},
			unusual: apart(func(a *machine.Axis) float64 { return a.SlackMM })},
		{flag: "margin", kind: "MM", ask: "Margin that drawings keep from the edges", unit: "mm", otherwise: "5",
			keys: []string{"area.margin_mm"},
			take: func(p *machine.Profile, answer string) error {
				v, err := oneNumber(answer)
				if err == nil {
					p.Area.MarginMM = v
				}
				return err
			},
			usual: func(p *machine.Profile) string {
				const usual = 5
				if needed := p.MarginNeededMM(); needed > usual || 2*usual >= shorterSide(p) {
					return strconv.FormatFloat(needed, 'f', -1, 64)
				}
				return strconv.Itoa(usual)
			}},
		{flag: "speed", kind: "MM/S", ask: "Largest speed to begin with", unit: "mm/s", otherwise: strconv.Itoa(newSpeedMMS),
			keys: both("max_speed_mm_s"),
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, func(a *machine.Axis, v float64) { a.MaxSpeedMMS = v })
			},
			usual: func(p *machine.Profile) string {
				largest := min(p.X.LargestSpeedMMS(p.Board.StepRateLimitHz), p.Y.LargestSpeedMMS(p.Board.StepRateLimitHz))
				return strconv.FormatFloat(min(newSpeedMMS, math.Floor(largest*10)/10), 'f', -1, 64)
			}},
		{flag: "acceleration", kind: "MM/S2", ask: "Largest acceleration to begin with", unit: "mm/s²", otherwise: strconv.Itoa(newAccelerationMMS2),
			keys: both("max_acceleration_mm_s2"),
			take: func(p *machine.Profile, answer string) error {
				return pair(p, answer, func(a *machine.Axis, v float64) { a.MaxAccelerationMMS2 = v })
			}},
		{flag: "port", kind: "NAME", ask: "Serial port of the motion board, empty to name it when sending",
			take: func(p *machine.Profile, answer string) error {
				p.Board.Port = answer
				return nil
			}},
		{flag: "baud", kind: "N", ask: "Speed of the motion board's port", unit: "baud", otherwise: "115200",
			keys: []string{"board.baud"},
			take: func(p *machine.Profile, answer string) error {
				v, err := oneNumber(answer)
				if err == nil {
					p.Board.Baud, err = whole(v)
				}
				return err
			}},
		{flag: "eraser", kind: "WHO", ask: "Who wipes the sheet: operator, serial (a second board) or none?", otherwise: "operator",
			keys: []string{"eraser.kind"},
			take: func(p *machine.Profile, answer string) error {
				switch p.Eraser.Kind = machine.EraserKind(answer); p.Eraser.Kind {
				case machine.EraserOperator, machine.EraserSerial, machine.EraserNone:
					return nil
				}
				return errors.New("it is operator, serial or none")
			}},
		{flag: "eraser-port", kind: "NAME", ask: "Serial port of the eraser board", unnecessary: noEraserBoard,
			keys: []string{"eraser.port"},
			take: func(p *machine.Profile, answer string) error {
				p.Eraser.Port = answer
				return nil
			}},
		{flag: "eraser-send", kind: "TEXT", ask: "Text that starts one wiping", otherwise: "ERASE", unnecessary: noEraserBoard,
			keys: []string{"eraser.send"},
			take: func(p *machine.Profile, answer string) error {
				p.Eraser.Send = answer
				return nil
			}},
		{flag: "eraser-done", kind: "TEXT", ask: "Text that tells that the wiping is over", otherwise: "DONE", unnecessary: noEraserBoard,
			take: func(p *machine.Profile, answer string) error {
				p.Eraser.Done = answer
				return nil
			}},
	}
}

// usualSteps are those of motors without gears, and usualMicrosteps what
// drivers can be set to (common practice, no source).
func usualSteps(n int) bool {
	switch n {
	case 20, 24, 48, 96, 100, 200, 400, 500:
		return true
	}
	return false
}

func usualMicrosteps(n int) bool { return n&(n-1) == 0 && n <= 256 }

// unusual is why one of two counts is more likely a slip, empty if it is not.
func unusual(what, commonly string, isUsual func(n int) bool, counts ...int) string {
	for _, n := range counts {
		if !isUsual(n) {
			return fmt.Sprintf("%d %s are unusual: %s", n, what, commonly)
		}
	}
	return ""
}

func shorterSide(p *machine.Profile) float64 { return min(p.Area.WidthMM, p.Area.HeightMM) }

// judged answers a question, and tells why the answer cannot be, by itself or
// together with those before it.
func (q *inquiry) judged(p *machine.Profile, answer string, said []string) error {
	if err := q.take(p, answer); err != nil {
		return err
	}
	if faults := machine.Faults(p, append(said, q.keys...)...); len(faults) > 0 {
		return faults[:1] // the others are mostly of the other axis
	}
	// The margin is asked for later; one that leaves a page must be possible.
	if p.Area.WidthMM > 0 && p.X.LineMMPerMotorTurn > 0 && p.Y.LineMMPerMotorTurn > 0 {
		if needed := p.MarginNeededMM(); 2*needed >= shorterSide(p) {
			return fmt.Errorf("then the stylus may be off by %g mm at the edge of the area, and no margin that covers it leaves a page", needed)
		}
	}
	return nil
}

// whole is a whole number as an int; any size that a profile can hold fits.
func whole(v float64) (int, error) {
	if v != math.Trunc(v) {
		return 0, errors.New("it takes a whole number")
	}
	return int(max(-1e9, min(1e9, v))), nil
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

// byComma are two whole numbers with nothing but a comma between them: a pair,
// or one number by the custom of many countries.
var byComma = expression.Of(`^\s*(-?\d+),(\d+)\s*$`)

// oneOrPair reads a number, or two with a comma between them. Where a comma can
// be that of a decimal, nobody guesses.
func oneOrPair(text string) ([]float64, error) {
	if m := byComma.FindStringSubmatch(text); m != nil {
		return nil, fmt.Errorf("%s can be %s.%s, or %s for x and %s for y: write %s.%s, or %s.0,%s", strings.TrimSpace(text), m[1], m[2], m[1], m[2], m[1], m[2], m[1], m[2])
	}
	return numbers(text, 1, 2)
}

// oneNumber reads a number; its decimals may stand behind a comma.
func oneNumber(text string) (float64, error) {
	v, err := numbers(byComma.ReplaceAllString(text, "$1.$2"), 1, 1)
	if err != nil {
		return 0, err
	}
	return v[0], nil
}

// widthAndHeight reads 150,110 or 150x110, the latter with decimals as people
// write them.
func widthAndHeight(text string) (w, h float64, err error) {
	if left, right, by := strings.Cut(strings.NewReplacer("X", "x", "×", "x").Replace(text), "x"); by {
		w, errW := oneNumber(left)
		h, errH := oneNumber(right)
		return w, h, errors.Join(errW, errH)
	}
	v, err := numbers(text, 2, 2)
	if err != nil {
		return 0, 0, err
	}
	return v[0], v[1], nil
}

// numbers reads numbers with commas between them.
func numbers(text string, least, most int) ([]float64, error) {
	parts := strings.Split(text, ",")
	wanted := "a number"
	if least > 1 {
		wanted = fmt.Sprintf("%d numbers with a comma between them", least)
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

Values of both axes are one number, or x,y. Decimals have a point; where a comma could
be meant as one, it is asked for again. ` + "`wend machine plan --new NAME.toml`" + ` answers what it
has worked out.`,
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
	// In the order of the questions: some speak of the one before.
	cmd.Flags().SortFlags = false
	for i, q := range asked {
		help := strings.TrimSuffix(strings.ToLower(q.ask[:1])+q.ask[1:], "?")
		answers[i] = q.otherwise
		cmd.Flags().Var(&answerFlag{&answers[i], q.kind}, q.flag, help)
	}
	return cmd
}

// answerFlag is a text from a flag, whose value has a name of its own in the
// help.
type answerFlag struct {
	text *string
	kind string
}

func (f *answerFlag) String() string {
	if f.text == nil {
		return ""
	}
	return *f.text
}

func (f *answerFlag) Set(text string) error {
	*f.text = text
	return nil
}

func (f *answerFlag) Type() string { return f.kind }

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
	} else if err := c.takeFlags(profile, asked, answers, given); err != nil {
		return err
	}
	text := machine.Marshal(profile)
	_, list := machine.Read(source.New(name, string(text)))
	c.show(list, false)
	if list.Failed() {
		c.say("the profile would look so, and was not written")
		return exit(exitErrors)
	}
	if err := writeNew(name, text); err != nil {
		return c.refuse(err)
	}
	c.tell("wrote %s; %s\n", name, calibration(name, profile.Board.Port))
	return nil
}

// calibration is what comes after a new profile: commands that work as they
// stand, but for a port that is not known yet.
func calibration(name, port string) string {
	if port != "" {
		return "next: " + tuneCommand(name)
	}
	return fmt.Sprintf("next, as a rehearsal on the simulated machine: %s --port sim\n"+
		"On the machine, the same with its port (`wend machine ports` lists them): %s --port NAME", tuneCommand(name), tuneCommand(name))
}

func (c console) takeFlags(profile *machine.Profile, asked []inquiry, answers []string, given map[string]bool) error {
	var lacking []string
	for _, q := range asked {
		if q.mustBeSaid && !given[q.flag] {
			lacking = append(lacking, "--"+q.flag)
		}
	}
	if len(lacking) > 0 {
		return usagef("without a terminal to ask on, %s must be said; `wend machine new --help` has an example", strings.Join(lacking, " and "))
	}
	var said []string
	for i, q := range asked {
		if q.unnecessary != nil && q.unnecessary(profile) {
			continue
		}
		if err := q.judged(profile, strings.TrimSpace(answers[i]), said); err != nil {
			return usagef("--%s: %s", q.flag, err)
		}
		said = append(said, q.keys...)
		if q.unusual != nil {
			if remark := q.unusual(profile); remark != "" {
				c.say("--%s: %s", q.flag, remark)
			}
		}
	}
	return nil
}

// inquire asks for what no flag said, until the answer can be. An empty answer
// takes the usual one.
func (c console) inquire(profile *machine.Profile, asked []inquiry, answers []string, given map[string]bool) error {
	lines := bufio.NewScanner(c.stdin)
	var said []string
	for i, q := range asked {
		if q.unnecessary != nil && q.unnecessary(profile) {
			continue
		}
		answer, typed := answers[i], !given[q.flag]
		usual := q.otherwise
		switch {
		case q.usual != nil:
			usual = q.usual(profile)
		case typed:
			usual = answer
		}
		for accepted, doubtful := false, ""; !accepted; {
			if typed {
				fmt.Fprint(visible{c.stderr}, q.prompt(usual))
				_, err := c.unlessStopped(func() ([]byte, error) {
					if !lines.Scan() {
						return nil, io.EOF
					}
					return nil, nil
				})
				if err != nil {
					fmt.Fprintln(c.stderr)
					c.say("stopped; nothing was written")
					return exit(exitStopped)
				}
				if answer = strings.TrimSpace(lines.Text()); answer == "" {
					answer = usual
				}
			}
			err := q.judged(profile, strings.TrimSpace(answer), said)
			remark := ""
			if err == nil && q.unusual != nil {
				remark = q.unusual(profile)
			}
			switch {
			case err != nil:
				c.reject(err)
			case remark != "" && answer != usual && answer != doubtful:
				// What is offered stays on offer.
				c.say("%s", c.paragraph(c.stderr, "  ", remark+"; type it once more to keep it"))
				doubtful = answer
			default:
				if remark != "" && !typed {
					c.say("--%s: %s", q.flag, remark)
				}
				accepted = true
			}
			typed = true
		}
		said = append(said, q.keys...)
	}
	return nil
}

// reject says why an answer cannot be.
func (c console) reject(err error) {
	var faults diag.List
	if !errors.As(err, &faults) {
		c.say("%s", c.paragraph(c.stderr, "  ", err.Error()))
		return
	}
	c.say("%s", c.paragraph(c.stderr, "  ", faults[0].Message))
	if hint := faults[0].Hint; hint != "" {
		c.say("%s", c.paragraph(c.stderr, "  ", "hint: "+hint))
	}
}

// refuse says why nothing was done.
func (c console) refuse(err error) error {
	c.show(engine.Faults(err), false)
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
