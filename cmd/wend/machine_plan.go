package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"wend/runtime/machine"
)

type planFlags struct {
	teeth, pullOut string
	new, area      string
	drive          machine.Drive
	json           bool
}

func newMachinePlan(c console) *cobra.Command {
	f := planFlags{}
	d := &f.drive
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "design a drive: from gears, motor, supply and knob torque to speed and resolution",
		Long: `Works out what one axis can do before it is built: how fine its steps are, how fast
it can be with a stated reserve of torque and within the board's step rate, and what
slack costs.

The motor is given by its torque at two speeds or more, from its maker's pull-out
curve for the supply in use; or by holding torque, inductance, current and supply,
from which a rule of thumb follows. The knob's torque can be measured with a thread
wound round the knob and a spring balance: force in newton times radius in mm.

--new writes the profile of a machine with two such axes, with a first speed that is
slow, and asks for the rest as ` + "`wend machine new`" + ` does.`,
		Example: `  wend machine plan --teeth 20,40 --knob-line 64 --knob-torque 80 --pull-out 0:300,5:200,10:100
  wend machine plan --knob-line 32 --knob-torque 40 --holding 260 --inductance 3.2 --current 1.2 --supply 24
  wend machine plan --knob-line 32 --knob-torque 40 --pull-out 0:300,5:200 --new bench.toml --area 150,110`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := f.stated(cmd.Flags().Changed); err != nil {
				return err
			}
			teeth, err := numbers(f.teeth, 2, 2)
			if err != nil || !(teeth[0] > 0) || !(teeth[1] > 0) {
				return usagef("--teeth takes two numbers, motor and knob, such as 20,40, not `%s`", f.teeth)
			}
			d.GearRatio = teeth[1] / teeth[0]
			if d.GearRatio == 1 && !cmd.Flags().Changed("gear-efficiency") && !cmd.Flags().Changed("teeth") {
				d.GearEfficiency = 1 // the motor sits on the knob itself
			}
			if d.Motor.PullOut, err = curve(f.pullOut); err != nil {
				return err
			}
			if len(d.Motor.PullOut) > 0 && d.Motor.HoldingMNM > 0 {
				return usagef("give the motor's torque by --pull-out, or by --holding with --inductance, --current and --supply, not both")
			}
			out, err := d.Design()
			if err != nil {
				return usagef("%s", err)
			}
			if f.new != "" {
				return c.newFromDesign(&f, &out)
			}
			if f.json {
				if err := c.writeJSON(newDesignJSON(d, &out, f.assumed(cmd.Flags().Changed))); err != nil {
					return exit(exitErrors)
				}
				return nil
			}
			designText(c.readable(), d, &out, f.assumed(cmd.Flags().Changed))
			c.tell("`wend machine new NAME.toml --area W,H %s` writes a profile of two such axes;\nso does this plan with `--new NAME.toml --area W,H` added.\n", strings.Join(designFlags(d, &out), " "))
			return nil
		},
	}
	flags := cmd.Flags()
	flags.SortFlags = false // from the gears to the board
	flags.StringVar(&f.teeth, "teeth", "1,1", "teeth of the gears, `MOTOR,KNOB`; 1,1 for a motor on the knob itself")
	flags.Float64Var(&d.GearEfficiency, "gear-efficiency", 0.9, "`share` of the torque that comes through the gears; without any, 1")
	flags.Float64Var(&d.LineMMPerKnobTurn, "knob-line", 0, "line that one turn of the knob draws, in `mm`")
	flags.Float64Var(&d.KnobTorqueMNM, "knob-torque", 0, "torque that turns the knob, in `mN·m`")
	flags.StringVar(&f.pullOut, "pull-out", "", "the motor's pull-out torque, `TURNS/S:mN·m,…` at two speeds or more")
	flags.Float64Var(&d.Motor.HoldingMNM, "holding", 0, "the motor's holding torque, in `mN·m`")
	flags.Float64Var(&d.Motor.InductanceMH, "inductance", 0, "inductance of one winding, in `mH`")
	flags.Float64Var(&d.Motor.CurrentA, "current", 0, "current of one winding as the driver is set, in `A`")
	flags.Float64Var(&d.Motor.SupplyV, "supply", 0, "supply of the driver, in `V`")
	flags.IntVar(&d.StepsPerTurn, "steps", 200, "full `steps` of the motor in one turn")
	flags.IntVar(&d.Microsteps, "microsteps", 16, "`steps` that the driver makes of a full one")
	flags.Float64Var(&d.SlackMM, "slack", 0.5, "slack of the knob, `mm` of line")
	flags.Float64Var(&d.StepRateLimitHz, "step-rate", 30000, "most `steps` a second that the board makes")
	flags.Float64Var(&d.MaxAccelerationMMS2, "acceleration", newAccelerationMMS2, "acceleration of the axis, in `mm/s²`")
	flags.Float64Var(&d.Reserve, "reserve", 2, "`factor` by which the motor's torque must exceed the load")
	flags.StringVar(&f.new, "new", "", "write a `NAME.toml` profile of two such axes, as `wend machine new` does, and print no plan")
	flags.StringVar(&f.area, "area", "", "for --new: width and height of the area, in mm, `W,H`")
	flags.BoolVar(&f.json, "json", false, "print one JSON object instead of text")
	return cmd
}

// firstAnswers are the answers to questions of `wend machine new` that follow
// from a design, by their flags. A machine starts slow, and at most at half of
// what it is designed for.
func firstAnswers(d *machine.Drive, out *machine.Designed) map[string]string {
	figure := func(v float64) string { return strconv.FormatFloat(micron(v), 'f', -1, 64) }
	answers := map[string]string{
		"steps": strconv.Itoa(d.StepsPerTurn), "microsteps": strconv.Itoa(d.Microsteps), "line": figure(out.LineMMPerMotorTurn),
		"slack": figure(d.SlackMM), "acceleration": figure(min(newAccelerationMMS2, d.MaxAccelerationMMS2)),
	}
	if out.TopSpeedMMS > 0 {
		answers["speed"] = figure(min(newSpeedMMS, math.Floor(out.TopSpeedMMS*5)/10))
	}
	return answers
}

// designFlags are those answers as flags, in the order of the questions.
func designFlags(d *machine.Drive, out *machine.Designed) []string {
	var flags []string
	answers := firstAnswers(d, out)
	for _, q := range inquiries() {
		if answer, known := answers[q.flag]; known {
			flags = append(flags, "--"+q.flag+" "+answer)
		}
	}
	return flags
}

// newFromDesign goes on as `wend machine new` does, with what the design
// answers.
func (c console) newFromDesign(f *planFlags, out *machine.Designed) error {
	asked := inquiries()
	answers, given := make([]string, len(asked)), map[string]bool{}
	known := firstAnswers(&f.drive, out)
	if f.area != "" {
		known["area"] = f.area
	}
	for i, q := range asked {
		if answers[i], given[q.flag] = known[q.flag]; !given[q.flag] {
			answers[i] = q.otherwise
		}
	}
	return c.newProfile(f.new, asked, answers, given)
}

// stated tells which flags are missing, and which have a figure that no drive
// has.
func (f *planFlags) stated(given func(flag string) bool) error {
	m := &f.drive.Motor
	winding := []figure{{"holding", m.HoldingMNM}, {"inductance", m.InductanceMH}, {"current", m.CurrentA}, {"supply", m.SupplyV}}
	var lacking, noMotor []string
	for _, flag := range []string{"knob-line", "knob-torque"} {
		if !given(flag) {
			lacking = append(lacking, "--"+flag)
		}
	}
	for _, w := range winding {
		if !given(w.flag) {
			noMotor = append(noMotor, "--"+w.flag)
		}
	}
	switch {
	case given("pull-out"):
	case len(noMotor) == len(winding):
		lacking = append(lacking, "the motor's torque (--pull-out, or --holding with --inductance, --current and --supply)")
	default:
		lacking = append(lacking, noMotor...)
	}
	if len(lacking) > 0 {
		return usagef("a plan also needs %s; `wend machine plan --help` has examples", inWords(lacking))
	}
	d := &f.drive
	for _, v := range append(winding, figure{"gear-efficiency", d.GearEfficiency}, figure{"knob-line", d.LineMMPerKnobTurn},
		figure{"knob-torque", d.KnobTorqueMNM}, figure{"steps", float64(d.StepsPerTurn)}, figure{"microsteps", float64(d.Microsteps)},
		figure{"step-rate", d.StepRateLimitHz}, figure{"acceleration", d.MaxAccelerationMMS2}, figure{"reserve", d.Reserve}) {
		if given(v.flag) && (!(v.value > 0) || math.IsInf(v.value, 0)) {
			return usagef("--%s takes a number above 0", v.flag)
		}
	}
	switch {
	case d.GearEfficiency > 1:
		return usagef("--gear-efficiency is at most 1: gears cannot pass on more than they are given")
	case !(d.SlackMM >= 0) || math.IsInf(d.SlackMM, 0):
		return usagef("--slack takes a number that is not below 0")
	}
	return nil
}

// assumed are the figures that nobody gave, as the flags that would say them.
func (f *planFlags) assumed(given func(flag string) bool) []string {
	d := &f.drive
	var out []string
	for _, v := range []figure{{"steps", float64(d.StepsPerTurn)}, {"microsteps", float64(d.Microsteps)}, {"slack", d.SlackMM},
		{"step-rate", d.StepRateLimitHz}, {"acceleration", d.MaxAccelerationMMS2}, {"reserve", d.Reserve}} {
		if !given(v.flag) {
			out = append(out, fmt.Sprintf("--%s %g", v.flag, v.value))
		}
	}
	switch {
	case !given("teeth"):
		out = append(out, "--teeth 1,1")
	case !given("gear-efficiency"):
		out = append(out, fmt.Sprintf("--gear-efficiency %g", d.GearEfficiency))
	}
	return out
}

// figure is the value of a flag.
type figure struct {
	flag  string
	value float64
}

// inWords is a list with commas, and an "and" before the last.
func inWords(items []string) string {
	if len(items) == 1 {
		return items[0]
	}
	last := len(items) - 1
	return strings.Join(items[:last], ", ") + " and " + items[last]
}

// curve reads a torque curve: turns a second and mN·m, pair by pair.
func curve(text string) ([]machine.Torque, error) {
	if text == "" {
		return nil, nil
	}
	var out []machine.Torque
	for _, pair := range strings.Split(text, ",") {
		speed, torque, ok := strings.Cut(pair, ":")
		s, errS := strconv.ParseFloat(strings.TrimSpace(speed), 64)
		t, errT := strconv.ParseFloat(strings.TrimSpace(torque), 64)
		if !ok || errS != nil || errT != nil {
			return nil, usagef("--pull-out takes pairs such as 1:250,5:180, turns a second and mN·m, not `%s`", text)
		}
		out = append(out, machine.Torque{TurnsPerS: s, MNM: t})
	}
	return out, nil
}

// designJSON is what `wend machine plan --json` prints. The fields are a
// promise: they may be added to, not renamed.
type designJSON struct {
	LineMMPerMotorTurn float64 `json:"line_mm_per_motor_turn"`
	StepsPerMM         float64 `json:"steps_per_mm"`
	ResolutionMM       float64 `json:"resolution_mm"`
	LoadMNM            float64 `json:"load_at_motor_mn_m"`
	TopSpeedMMS        float64 `json:"top_speed_mm_s"`
	TorqueSpeedMMS     float64 `json:"top_speed_by_torque_mm_s"`
	StepSpeedMMS       float64 `json:"top_speed_by_step_rate_mm_s"`
	Limit              string  `json:"limited_by"`
	StepRateHz         float64 `json:"step_rate_hz"`
	MotorTurnsPerS     float64 `json:"motor_turns_per_s"`
	Reserve            float64 `json:"reserve_wanted"`
	ReserveStanding    float64 `json:"reserve_standing"`
	ReserveAtTop       float64 `json:"reserve_at_top_speed"`
	MicrostepMNM       float64 `json:"microstep_torque_mn_m"`
	LagMM              float64 `json:"lag_mm"`
	TakeUpS            float64 `json:"take_up_s"`
	SlackSteps         int     `json:"slack_steps"`
	FlatMM             float64 `json:"flat_on_circle_mm"`
	CircleMM           float64 `json:"circle_radius_mm"`
	// Assumed are the figures that were not given, as flags.
	Assumed []string `json:"assumed"`
}

func newDesignJSON(d *machine.Drive, out *machine.Designed, assumed []string) designJSON {
	return designJSON{
		LineMMPerMotorTurn: micron(out.LineMMPerMotorTurn), StepsPerMM: micron(out.StepsPerMM), ResolutionMM: micron(out.ResolutionMM),
		LoadMNM: micron(out.LoadMNM), TopSpeedMMS: micron(out.TopSpeedMMS), TorqueSpeedMMS: micron(out.TorqueSpeedMMS),
		StepSpeedMMS: micron(out.StepSpeedMMS), Limit: out.Limit.String(), StepRateHz: micron(out.StepRateHz), MotorTurnsPerS: micron(out.MotorTurnsPerS),
		Reserve: d.Reserve, ReserveStanding: micron(out.ReserveStanding), ReserveAtTop: micron(out.ReserveAtTop),
		MicrostepMNM: micron(out.MicrostepMNM), LagMM: micron(out.LagMM),
		TakeUpS: micron(out.Slack.TakeUpS), SlackSteps: out.Slack.StepsTaken, FlatMM: micron(out.Slack.FlatMM), CircleMM: out.Slack.CircleMM,
		Assumed: append([]string{}, assumed...),
	}
}

func designText(w io.Writer, d *machine.Drive, out *machine.Designed, assumed []string) {
	row := func(name, format string, args ...any) {
		fmt.Fprintf(w, "  %-12s %s\n", name, fmt.Sprintf(format, args...))
	}
	fmt.Fprintln(w, "one axis, by its design")
	row("gears", "%g motor turns in one knob turn; one motor turn draws %.4g mm", d.GearRatio, out.LineMMPerMotorTurn)
	row("steps", "%.4g a mm: %d × %d ÷ %.4g; one step is %.4g mm", out.StepsPerMM, d.StepsPerTurn, d.Microsteps, out.LineMMPerMotorTurn, out.ResolutionMM)
	row("load", "%.4g mN·m at the motor: %g ÷ (%g × %g)", out.LoadMNM, d.KnobTorqueMNM, d.GearRatio, d.GearEfficiency)
	if len(d.Motor.PullOut) == 0 {
		row("motor", "its torque fades beyond %.3g turns a second, U/(2 L I N): a rule of thumb", d.Motor.FadingTurnsPerS(d.StepsPerTurn))
	}
	row("reserve", "%.3g times the load standing, %.3g at top speed; wanted: %g", out.ReserveStanding, out.ReserveAtTop, d.Reserve)
	if out.TopSpeedMMS == 0 {
		row("top speed", "none: the motor has not %g times the load at any speed; gear it down, or use a stronger one", d.Reserve)
	} else {
		row("top speed", "%.4g mm/s, limited by %s (torque: %.4g, step rate: %.4g)", out.TopSpeedMMS, out.Limit, out.TorqueSpeedMMS, out.StepSpeedMMS)
		row("step rate", "%.0f a second there, at %.3g motor turns a second", out.StepRateHz, out.MotorTurnsPerS)
	}
	row("microsteps", "one has %.3g mN·m, sin(90°/m) of the holding torque; the load needs %.3g", out.MicrostepMNM, out.LoadMNM)
	if out.LoadMNM > out.MicrostepMNM {
		row("", "so single microsteps do not turn the knob: steps finer than the lag below are only smoother")
	}
	row("lag", "the load holds the stylus %.3g mm behind; at a reversal it shows twice, as slack", out.LagMM)
	row("slack", "%g mm: each reversal takes %.3g s longer (%d steps)", d.SlackMM, out.Slack.TakeUpS, out.Slack.StepsTaken)
	row("", "not made up for, a circle of radius %g mm has four flats of %.3g mm and is %g mm narrower", out.Slack.CircleMM, out.Slack.FlatMM, d.SlackMM)
	if len(assumed) > 0 {
		row("assumed", "%s: measure or look them up, and say them", strings.Join(assumed, " "))
	}
	fmt.Fprintln(w, "Acceleration of the motor's own rotor is not counted: it is part of the reserve.")
	fmt.Fprintln(w, "Set the driver's current to the motor, from a ready-made supply with a fuse or a current limit.")
}
