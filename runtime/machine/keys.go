package machine

import (
	"wend/runtime/geom"
)

// key is one setting of a profile file. The table of them is all that reading
// and writing know about what a profile can hold.
type key struct {
	table, name string // table is empty for the top of the file
	// at is the field: a *float64, *int, *bool, *string, *EraserKind or
	// *geom.Point (a pair of numbers).
	at       func(*Profile) any
	required bool
	// least and most are the smallest and largest number allowed; above tells
	// that least itself is not.
	least, most float64
	above       bool
	remark      string // unit and meaning, beside the key in a written file
	// absent tells that a profile does without the key: it is not written.
	absent func(*Profile) bool
}

func (k *key) path() string {
	if k.table == "" {
		return k.name
	}
	return k.table + "." + k.name
}

// tables are those of a profile, in the order in which they are written.
var tables = []string{"area", "x", "y", "frame", "drawing", "board", "eraser"}

// keys is every setting, in the order in which they are written.
var keys = func() []key {
	all := []key{
		{name: "name", at: func(p *Profile) any { return &p.Name }, required: true, remark: "what people call it"},
		{name: "calibrated", at: func(p *Profile) any { return &p.Calibrated }, remark: "direction, scale and area were confirmed"},
		{table: "area", name: "width_mm", at: func(p *Profile) any { return &p.Area.WidthMM }, required: true, least: 1, most: 10000, remark: "where the stylus may go, edge to edge"},
		{table: "area", name: "height_mm", at: func(p *Profile) any { return &p.Area.HeightMM }, required: true, least: 1, most: 10000},
		{table: "area", name: "margin_mm", at: func(p *Profile) any { return &p.Area.MarginMM }, required: true, most: 1000, remark: "the page keeps this far from every edge"},
		{table: "area", name: "start_mm", at: func(p *Profile) any { return &p.Area.StartMM }, most: 10000, remark: "page coordinates where the stylus usually stands"},
	}
	all = append(all, axisKeys("x", func(p *Profile) *Axis { return &p.X })...)
	all = append(all, axisKeys("y", func(p *Profile) *Axis { return &p.Y })...)
	return append(all, []key{
		{table: "frame", name: "squareness_deg", at: func(p *Profile) any { return &p.Frame.SquarenessDeg }, least: 80, most: 100, remark: "angle from the x axis to the y axis, 90 if true"},
		{table: "drawing", name: "tolerance_mm", at: func(p *Profile) any { return &p.Drawing.ToleranceMM }, least: 0.001, most: 5, remark: "how far the drawn line may be from the one asked for"},
		{table: "drawing", name: "corner_deviation_mm", at: func(p *Profile) any { return &p.Drawing.CornerDeviationMM }, least: 0.001, most: 5, remark: "speed in corners: smaller is slower; the path stays exact"},
		{table: "drawing", name: "line_width_mm", at: func(p *Profile) any { return &p.Drawing.LineWidthMM }, least: 0.01, most: 10},
		{table: "board", name: "port", at: func(p *Profile) any { return &p.Board.Port }, remark: "serial port, or empty", absent: func(p *Profile) bool { return p.Board.Port == "" }},
		{table: "board", name: "baud", at: func(p *Profile) any { return &p.Board.Baud }, least: 300, most: 4000000},
		{table: "board", name: "receive_buffer_bytes", at: func(p *Profile) any { return &p.Board.ReceiveBufferBytes }, least: 64, most: 1 << 20},
		{table: "board", name: "queue_moves", at: func(p *Profile) any { return &p.Board.QueueMoves }, least: 2, most: 10000},
		{table: "board", name: "line_limit_bytes", at: func(p *Profile) any { return &p.Board.LineLimitBytes }, least: 50, most: 256},
		{table: "board", name: "step_rate_limit_hz", at: func(p *Profile) any { return &p.Board.StepRateLimitHz }, least: 100, most: 1e8, remark: "most steps a second on one axis"},
		{table: "board", name: "steps_per_mm", at: func(p *Profile) any { return &p.Board.StepsPerMM }, above: true, most: 100000, remark: "what the board itself is set to"},
		{table: "eraser", name: "kind", at: func(p *Profile) any { return &p.Eraser.Kind }, remark: "operator, serial or none"},
		{table: "eraser", name: "port", at: func(p *Profile) any { return &p.Eraser.Port }, absent: noSerialEraser},
		{table: "eraser", name: "baud", at: func(p *Profile) any { return &p.Eraser.Baud }, least: 300, most: 4000000, absent: noSerialEraser},
		{table: "eraser", name: "send", at: func(p *Profile) any { return &p.Eraser.Send }, remark: "text that starts one wiping", absent: noSerialEraser},
		{table: "eraser", name: "done", at: func(p *Profile) any { return &p.Eraser.Done }, remark: "text that tells it is over", absent: noSerialEraser},
		{table: "eraser", name: "timeout_s", at: func(p *Profile) any { return &p.Eraser.TimeoutS }, above: true, most: 3600},
		{table: "eraser", name: "rounds", at: func(p *Profile) any { return &p.Eraser.Rounds }, least: 1, most: 100, remark: "wipings until the sheet is clean"},
		{table: "eraser", name: "disturbs_stylus", at: func(p *Profile) any { return &p.Eraser.DisturbsStylus }, remark: "the stylus may have moved: look before the next line"},
	}...)
}()

func axisKeys(table string, axis func(*Profile) *Axis) []key {
	byKnob := func(p *Profile) bool { return axis(p).LineMMPerMotorTurn == 0 }
	byMotor := func(p *Profile) bool { return axis(p).LineMMPerMotorTurn != 0 }
	return []key{
		{table: table, name: "steps_per_turn", at: func(p *Profile) any { return &axis(p).StepsPerTurn }, required: true, least: 1, most: 100000, remark: "full steps; 200 for a motor of 1.8 degrees"},
		{table: table, name: "microsteps", at: func(p *Profile) any { return &axis(p).Microsteps }, required: true, least: 1, most: 1024},
		{table: table, name: "line_mm_per_motor_turn", at: func(p *Profile) any { return &axis(p).LineMMPerMotorTurn }, above: true, most: 10000, remark: "as measured on the sheet, gears included", absent: byKnob},
		{table: table, name: "line_mm_per_knob_turn", at: func(p *Profile) any { return &axis(p).LineMMPerKnobTurn }, above: true, most: 10000, absent: byMotor},
		{table: table, name: "gear_ratio", at: func(p *Profile) any { return &axis(p).GearRatio }, above: true, most: 1000, remark: "motor turns in one knob turn", absent: byMotor},
		{table: table, name: "line_uncertainty_mm", at: func(p *Profile) any { return &axis(p).LineUncertaintyMM }, most: 1000, remark: "how far the measured line may be off, either way"},
		{table: table, name: "reversed", at: func(p *Profile) any { return &axis(p).Reversed }},
		{table: table, name: "slack_mm", at: func(p *Profile) any { return &axis(p).SlackMM }, required: true, most: 100, remark: "lost motion after a reversal"},
		{table: table, name: "max_speed_mm_s", at: func(p *Profile) any { return &axis(p).MaxSpeedMMS }, required: true, least: 0.1, most: 10000},
		{table: table, name: "max_acceleration_mm_s2", at: func(p *Profile) any { return &axis(p).MaxAccelerationMMS2 }, required: true, least: 0.1, most: 1e6},
	}
}

func noSerialEraser(p *Profile) bool { return p.Eraser.Kind != EraserSerial }

// Blank is a profile with nothing but the values that a file may leave out.
func Blank() *Profile {
	return &Profile{
		Frame:   Frame{SquarenessDeg: 90},
		Drawing: Drawing{ToleranceMM: 0.02, CornerDeviationMM: 0.05, LineWidthMM: 0.5},
		Board: Board{
			Baud: 115200, ReceiveBufferBytes: 128, QueueMoves: 15, LineLimitBytes: 70,
			StepRateLimitHz: 30000, StepsPerMM: geom.Point{},
		},
		Eraser: Eraser{Kind: EraserOperator, Baud: 115200, TimeoutS: 60, Rounds: 1, DisturbsStylus: true},
	}
}
