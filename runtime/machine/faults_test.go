package machine_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/machine"
)

func TestWhatIsSaidOfAProfileIsJudgedBeforeTheRestIs(t *testing.T) {
	axis := func(table string) []string {
		return []string{table + ".steps_per_turn", table + ".microsteps", table + ".line_mm_per_motor_turn", table + ".line_uncertainty_mm", table + ".slack_mm", table + ".max_speed_mm_s"}
	}
	area := []string{"area.width_mm", "area.height_mm", "area.margin_mm"}
	all := append(append(axis("x"), axis("y")...), area...)
	for _, c := range []struct {
		name   string
		change func(p *machine.Profile)
		said   []string
		want   diag.Code
	}{
		{"nothing", func(p *machine.Profile) { p.Area.WidthMM = -1 }, nil, ""},
		{"a width below 0", func(p *machine.Profile) { p.Area.WidthMM = -1 }, area[:2], "profile-value"},
		{"no steps", func(p *machine.Profile) { p.Y.StepsPerTurn = 0 }, axis("y"), "profile-value"},
		{"one of a pair", func(p *machine.Profile) { p.Board.StepsPerMM.Y = 0 }, []string{"board.steps_per_mm"}, "profile-value"},
		{"a margin before it is said", func(p *machine.Profile) { p.Area.MarginMM = 60 }, area[:2], ""},
		{"a margin without a page", func(p *machine.Profile) { p.Area.MarginMM = 60 }, area, "profile-page-empty"},
		{"a margin before the drive is said", func(p *machine.Profile) { p.Area.MarginMM = 0 }, area, ""},
		{"a margin that is too small", func(p *machine.Profile) { p.Area.MarginMM = 0 }, all, "profile-margin"},
		{"a speed beyond the step rate", func(p *machine.Profile) { p.Y.MaxSpeedMMS = 301 }, all, "profile-speed"},
		{"an eraser board before its port is said", func(p *machine.Profile) { p.Eraser.Kind = machine.EraserSerial }, []string{"eraser.kind"}, ""},
		{"an eraser board without a port", func(p *machine.Profile) { p.Eraser.Kind = machine.EraserSerial }, []string{"eraser.kind", "eraser.port"}, "profile-eraser"},
		{"a sound profile", func(*machine.Profile) {}, all, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := machine.DeskToy()
			c.change(p)
			list := machine.Faults(p, c.said...)
			if c.want == "" {
				require.Empty(t, list)
				return
			}
			require.Len(t, list, 1)
			require.Equal(t, c.want, list[0].Code)
		})
	}
}
