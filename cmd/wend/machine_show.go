package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"wend/lang/diag/render"
	"wend/runtime/lower"
	"wend/runtime/machine"
)

// profileFlags are those of the commands about one machine.
type profileFlags struct {
	machine     string
	json, plain bool
}

func (f *profileFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.machine, "machine", "", "machine profile, a TOML `file` (without it: the built-in desk toy)")
	flags.BoolVar(&f.json, "json", false, "print one JSON object instead of text")
	flags.BoolVar(&f.plain, "plain", false, "one fact a line, no columns")
}

func newMachineShow(c console) *cobra.Command {
	var f profileFlags
	cmd := &cobra.Command{
		Use:   "show",
		Short: "what a profile means: resolution, speeds, what the link can carry, what clashes",
		Long: `Says what follows from the figures of a profile: how fine a step is, how fast an axis
can be at the board's step rate, how many lines a second the link carries, how sure
the scale is; and warns where values do not go well together.`,
		Example: `  wend machine show --machine bench.toml
  wend machine show --machine bench.toml --json`,
		Args: cobra.NoArgs,
		RunE: func(_ *cobra.Command, _ []string) error {
			profile, list := c.profile(f.machine)
			var meaning meaningJSON
			if profile != nil {
				for _, d := range profile.Clashes(lower.LineBytes(profile)) {
					d.File = f.machine
					if d.Code == "machine-scale-unsure" && f.machine != "" {
						port := ""
						if profile.Board.Port == "" {
							port = "; --port says where the board is"
						}
						d = d.WithHint("measure a longer line: `%s --part length`%s", tuneCommand(f.machine), port)
					}
					list = append(list, d)
				}
				meaning = meaningOf(profile, f.machine)
			}
			meaning.OK, meaning.Diagnostics = !list.Failed(), render.JSON(list)
			if f.json {
				if err := c.writeJSON(meaning); err != nil {
					return exit(exitErrors)
				}
			} else {
				if profile != nil {
					meaning.text(c.readable(), f.plain)
				}
				c.show(list, f.plain)
			}
			if list.Failed() {
				return exit(exitErrors)
			}
			return nil
		},
	}
	f.add(cmd)
	return cmd
}

// tuneCommand is what calibrates the machine of a profile.
func tuneCommand(profile string) string {
	return "wend machine tune --machine " + quotedWord(profile)
}

// quotedWord is a word of a command as a person types it.
func quotedWord(word string) string {
	if strings.ContainsAny(word, " \t") {
		return `"` + word + `"`
	}
	return word
}

// meaningJSON is what `wend machine show --json` prints. The fields are a
// promise: they may be added to, not renamed.
type meaningJSON struct {
	File             string              `json:"file"`
	OK               bool                `json:"ok"`
	Diagnostics      []render.Diagnostic `json:"diagnostics"`
	Name             string              `json:"name"`
	BuiltIn          bool                `json:"built_in"`
	Calibrated       bool                `json:"calibrated"`
	AreaMM           [2]float64          `json:"area_mm"`
	PageMM           [2]float64          `json:"page_mm"`
	Reachable        boundsJSON          `json:"reachable"` // of the page, by axes that are out of square
	MarginMM         float64             `json:"margin_mm"`
	MarginNeededMM   float64             `json:"margin_needed_mm"`
	Start            pointJSON           `json:"start"`
	SquarenessDeg    float64             `json:"squareness_deg"`
	ToleranceMM      float64             `json:"tolerance_mm"`
	StepsMM          float64             `json:"steps_take_mm"`
	ReachedMM        float64             `json:"reached_mm"`
	Baud             int                 `json:"baud"`
	LineBytes        int                 `json:"line_bytes"`
	LinesPerSecond   float64             `json:"link_lines_per_second"`
	LinesNeeded      float64             `json:"curve_lines_per_second"`
	DrawingLineMM    float64             `json:"line_width_mm"`
	X                axisJSON            `json:"x"`
	Y                axisJSON            `json:"y"`
	EraserKind       string              `json:"eraser"`
	EraserRounds     int                 `json:"eraser_rounds"`
	EraserDisturbs   bool                `json:"eraser_disturbs_stylus"`
	QueueMoves       int                 `json:"queue_moves"`
	ReceiveBytes     int                 `json:"receive_buffer_bytes"`
	StepRateLimitHz  float64             `json:"step_rate_limit_hz"`
	DiagonalSpeedMMS float64             `json:"diagonal_speed_mm_s"`
}

type axisJSON struct {
	LineMMPerMotorTurn    float64 `json:"line_mm_per_motor_turn"`
	StepsPerMM            float64 `json:"steps_per_mm"`
	BoardStepsPerMM       float64 `json:"board_steps_per_mm"`
	ResolutionMM          float64 `json:"resolution_mm"`
	ScaleUncertaintyShare float64 `json:"scale_uncertainty_percent"`
	ScaleUncertaintyMM    float64 `json:"scale_uncertainty_over_area_mm"`
	SlackMM               float64 `json:"slack_mm"`
	SlackSteps            int     `json:"slack_steps"`
	Reversed              bool    `json:"reversed"`
	MaxSpeedMMS           float64 `json:"max_speed_mm_s"`
	StepRateHz            float64 `json:"step_rate_at_max_speed_hz"`
	LargestSpeedMMS       float64 `json:"largest_speed_at_step_rate_mm_s"`
	AccelerationMMS2      float64 `json:"max_acceleration_mm_s2"`
	RunUpMM               float64 `json:"run_up_mm"`
}

func meaningOf(p *machine.Profile, file string) meaningJSON {
	axis := func(a *machine.Axis, span, set float64) axisJSON {
		return axisJSON{
			LineMMPerMotorTurn: micron(a.MMPerMotorTurn()), StepsPerMM: micron(a.StepsPerMM()), BoardStepsPerMM: set,
			ResolutionMM: math.Round(a.ResolutionMM()*1e5) / 1e5, ScaleUncertaintyShare: micron(100 * a.ScaleUncertainty()),
			ScaleUncertaintyMM: micron(a.ScaleUncertainty() * span), SlackMM: a.SlackMM, SlackSteps: a.SlackSteps(), Reversed: a.Reversed,
			MaxSpeedMMS: a.MaxSpeedMMS, StepRateHz: math.Round(a.MaxSpeedMMS * a.StepsPerMM()),
			LargestSpeedMMS:  math.Floor(a.LargestSpeedMMS(p.Board.StepRateLimitHz)*10) / 10,
			AccelerationMMS2: a.MaxAccelerationMMS2, RunUpMM: micron(a.RunUpMM()),
		}
	}
	page := p.Page()
	bytes := lower.LineBytes(p)
	return meaningJSON{
		File: file, Name: p.Name, BuiltIn: p.BuiltIn, Calibrated: p.Calibrated,
		AreaMM: [2]float64{p.Area.WidthMM, p.Area.HeightMM}, PageMM: [2]float64{micron(page.Width()), micron(page.Height())},
		Reachable: newBoundsJSON(p.Reachable()), MarginMM: p.Area.MarginMM,
		MarginNeededMM: micron(max(p.X.MarginNeededMM(p.Area.WidthMM), p.Y.MarginNeededMM(p.Area.HeightMM))),
		Start:          newPointJSON(p.Area.StartMM), SquarenessDeg: p.Frame.SquarenessDeg,
		ToleranceMM: p.Drawing.ToleranceMM, StepsMM: micron(p.StepsMM(true)), ReachedMM: micron(p.ReachedMM()), DrawingLineMM: p.Drawing.LineWidthMM,
		Baud: p.Board.Baud, LineBytes: int(bytes), LinesPerSecond: math.Floor(p.LinkBytesPerSecond() / bytes),
		LinesNeeded: math.Ceil(p.CurveLinesPerSecond()),
		X:           axis(&p.X, p.Area.WidthMM, p.Board.StepsPerMM.X), Y: axis(&p.Y, p.Area.HeightMM, p.Board.StepsPerMM.Y),
		EraserKind: string(p.Eraser.Kind), EraserRounds: p.Eraser.Rounds, EraserDisturbs: p.Eraser.DisturbsStylus,
		QueueMoves: p.Board.QueueMoves, ReceiveBytes: p.Board.ReceiveBufferBytes, StepRateLimitHz: p.Board.StepRateLimitHz,
		DiagonalSpeedMMS: micron(math.Hypot(p.X.MaxSpeedMMS, p.Y.MaxSpeedMMS)),
	}
}

// fact is a row of the text; y is empty where it is about the whole machine.
type fact struct{ name, x, y string }

func (m *meaningJSON) tolerance() string {
	said := fmt.Sprintf("%g mm, of which whole steps take up to %.3f mm", m.ToleranceMM, m.StepsMM)
	if m.ReachedMM > m.ToleranceMM {
		said += fmt.Sprintf("; %.3f mm are reached", m.ReachedMM)
	}
	return said
}

func (m *meaningJSON) text(w io.Writer, plain bool) {
	title := m.Name
	switch {
	case m.BuiltIn:
		title += ", built in and invented: for building, previewing and the simulated machine only"
	case m.Calibrated:
		title += ", calibrated"
	default:
		title += fmt.Sprintf(", not calibrated: `%s` comes before the first drawing", tuneCommand(m.File))
	}
	whole := []fact{
		{"area", fmt.Sprintf("%g by %g mm", m.AreaMM[0], m.AreaMM[1]), ""},
		{"page", fmt.Sprintf("%g by %g mm, a margin of %g mm inside (needed: %.2f mm)", m.PageMM[0], m.PageMM[1], m.MarginMM, m.MarginNeededMM), ""},
		{"reachable", m.reach(), ""},
		{"start", fmt.Sprintf("(%g, %g) on the page", m.Start.X, m.Start.Y), ""},
		{"axes", fmt.Sprintf("%g degrees apart", m.SquarenessDeg), ""},
		{"tolerance", m.tolerance(), ""},
		{"link", fmt.Sprintf("%d baud: %.0f lines a second of %d bytes; curves take up to %.0f", m.Baud, m.LinesPerSecond, m.LineBytes, m.LinesNeeded), ""},
		{"board", fmt.Sprintf("holds %d moves and %d bytes, makes %g steps a second", m.QueueMoves, m.ReceiveBytes, m.StepRateLimitHz), ""},
		{"eraser", m.eraser(), ""},
	}
	pair := func(name, format string, of func(*axisJSON) []any) fact {
		return fact{name, fmt.Sprintf(format, of(&m.X)...), fmt.Sprintf(format, of(&m.Y)...)}
	}
	axes := []fact{
		pair("line of a motor turn", "%g mm", func(a *axisJSON) []any { return []any{a.LineMMPerMotorTurn} }),
		pair("steps a mm", "%g", func(a *axisJSON) []any { return []any{a.StepsPerMM} }),
		pair("steps a mm, board", "%g", func(a *axisJSON) []any { return []any{a.BoardStepsPerMM} }),
		pair("resolution", "%g mm", func(a *axisJSON) []any { return []any{a.ResolutionMM} }),
		pair("scale, unsure by", "%.2f mm in all", func(a *axisJSON) []any { return []any{a.ScaleUncertaintyMM} }),
		pair("slack", "%s", func(a *axisJSON) []any { return []any{a.slack()} }),
		pair("speed, largest", "%g mm/s", func(a *axisJSON) []any { return []any{a.MaxSpeedMMS} }),
		pair("  in steps", "%.0f a second", func(a *axisJSON) []any { return []any{a.StepRateHz} }),
		pair("  at the step rate", "%g mm/s", func(a *axisJSON) []any { return []any{a.LargestSpeedMMS} }),
		pair("acceleration", "%g mm/s²", func(a *axisJSON) []any { return []any{a.AccelerationMMS2} }),
		pair("run-up to it", "%.1f mm", func(a *axisJSON) []any { return []any{a.RunUpMM} }),
	}
	fmt.Fprintln(w, title)
	row := func(f fact) {
		switch name := strings.TrimSpace(f.name); {
		case !plain && f.y == "":
			fmt.Fprintf(w, "  %-20s %s\n", f.name, f.x)
		case !plain:
			fmt.Fprintf(w, "  %-20s %-18s %s\n", f.name, f.x, f.y)
		case f.y == "":
			fmt.Fprintf(w, "%s: %s\n", name, f.x)
		default:
			fmt.Fprintf(w, "x, %s: %s\ny, %s: %s\n", name, f.x, name, f.y)
		}
	}
	for _, f := range whole {
		row(f)
	}
	if !plain {
		row(fact{"", "x", "y"})
	}
	for _, f := range axes {
		row(f)
	}
	row(fact{"diagonal", fmt.Sprintf("%.1f mm/s, both knobs at once", m.DiagonalSpeedMMS), ""})
}

// reach is what of the page can be drawn on.
func (m *meaningJSON) reach() string {
	r := m.Reachable
	if r.XMin == 0 && r.YMin == 0 && r.XMax == m.PageMM[0] && r.YMax == m.PageMM[1] {
		return "all of the page"
	}
	return fmt.Sprintf("x %.2f to %.2f, y %.2f to %.2f of the page, since the axes are out of square", r.XMin, r.XMax, r.YMin, r.YMax)
}

// slack in words. Knobs and gears have some: none in a profile means that nobody
// has measured it.
func (a *axisJSON) slack() string {
	if a.SlackMM == 0 {
		return "not measured yet"
	}
	return fmt.Sprintf("%g mm, %d steps", a.SlackMM, a.SlackSteps)
}

func (m *meaningJSON) eraser() string {
	switch m.EraserKind {
	case string(machine.EraserNone):
		return "none"
	case string(machine.EraserSerial):
		text := fmt.Sprintf("a board of its own, %d rounds", m.EraserRounds)
		if m.EraserDisturbs {
			text += "; look at the stylus afterwards"
		}
		return text
	}
	return "the operator wipes when asked"
}
