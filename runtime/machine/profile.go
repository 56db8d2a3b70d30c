// Package machine describes one drawing machine: its profile (a TOML file a
// person can read and edit), the arithmetic of its drive, and the instruction
// types that everything between a plan and the port speaks in.
//
// Two coordinate systems meet here. Page millimetres have (0, 0) at the lower
// left of the page and are what people type and read. Machine millimetres have
// (0, 0) at the lower left of the area; the page lies margin_mm inside it.
// Whole steps count from the same corner as machine millimetres.
package machine

import "wend/runtime/geom"

// Profile is everything wend knows about one machine.
type Profile struct {
	Name string
	// Calibrated tells that direction, scale and area were confirmed by an
	// operator. Without it nothing is drawn through a real port.
	Calibrated bool
	Area       Area
	X, Y       Axis
	Frame      Frame
	Drawing    Drawing
	Board      Board
	Eraser     Eraser
	// BuiltIn marks the desk toy of this package: good for building,
	// previewing and the simulated machine, never for a real port.
	BuiltIn bool
}

// Area is where the stylus may go.
type Area struct {
	WidthMM, HeightMM float64
	MarginMM          float64    // the page keeps this far from each edge of the area
	StartMM           geom.Point // page mm: where the stylus stands if nothing else is said
}

// Axis is one knob with its motor.
type Axis struct {
	StepsPerTurn int // full steps of the motor in one turn
	Microsteps   int // steps the driver makes of one full step
	// Either LineMMPerMotorTurn (measured on the sheet, gears included) or
	// LineMMPerKnobTurn with GearRatio (motor turns in one knob turn) is given;
	// the other way is zero.
	LineMMPerMotorTurn  float64
	LineMMPerKnobTurn   float64
	GearRatio           float64
	LineUncertaintyMM   float64 // half width of the measured line's uncertainty
	Reversed            bool
	SlackMM             float64 // lost motion after a reversal, whole width
	MaxSpeedMMS         float64
	MaxAccelerationMMS2 float64
}

// Frame is how the axes stand to one another.
type Frame struct {
	SquarenessDeg float64 // angle from the x axis to the y axis; 90 if true
}

// Drawing is how the line is to be drawn.
type Drawing struct {
	ToleranceMM       float64 // how far the drawn line may be from the one asked for
	CornerDeviationMM float64 // for the speed in corners only: the path is exact
	LineWidthMM       float64
}

// Board is the motion board and the link to it.
type Board struct {
	Port               string // empty if it is named when sending
	Baud               int
	ReceiveBufferBytes int
	QueueMoves         int
	LineLimitBytes     int
	StepRateLimitHz    float64
	// StepsPerMM is what the board itself is set to. It must agree with the
	// drive: StepsPerMM of each Axis, as far as a board can hold it.
	StepsPerMM geom.Point
}

// Eraser is what wipes the sheet.
type Eraser struct {
	Kind           EraserKind
	Port           string
	Baud           int
	Send           string // text that starts one wiping
	Done           string // text that tells it is over
	TimeoutS       float64
	Rounds         int
	DisturbsStylus bool
}

// EraserKind says who wipes.
type EraserKind string

const (
	EraserOperator EraserKind = "operator" // a person, asked to
	EraserSerial   EraserKind = "serial"   // a board on a port of its own
	EraserNone     EraserKind = "none"
)

// DeskToy is the built-in machine, used when no profile is named. Its figures
// are invented: it is for building, previewing and the simulated machine only.
func DeskToy() *Profile {
	axis := Axis{
		StepsPerTurn: 200, Microsteps: 16, LineMMPerMotorTurn: 32, LineUncertaintyMM: 0.1,
		SlackMM: 0.4, MaxSpeedMMS: 60, MaxAccelerationMMS2: 400,
	}
	return &Profile{
		Name:    "desk toy",
		Area:    Area{WidthMM: 150, HeightMM: 110, MarginMM: 5},
		X:       axis,
		Y:       axis,
		Frame:   Frame{SquarenessDeg: 90},
		Drawing: Drawing{ToleranceMM: 0.02, CornerDeviationMM: 0.05, LineWidthMM: 0.5},
		Board: Board{
			Baud: 115200, ReceiveBufferBytes: 128, QueueMoves: 15, LineLimitBytes: 80,
			StepRateLimitHz: 30000, StepsPerMM: geom.Point{X: 100, Y: 100},
		},
		Eraser:  Eraser{Kind: EraserOperator, Baud: 115200, TimeoutS: 60, Rounds: 1, DisturbsStylus: true},
		BuiltIn: true,
	}
}

// Page is the part of the area that may be drawn on, in page mm: its lower
// left is (0, 0).
func (p *Profile) Page() geom.Box {
	return geom.Box{Max: geom.Point{X: p.Area.WidthMM - 2*p.Area.MarginMM, Y: p.Area.HeightMM - 2*p.Area.MarginMM}}
}

// AreaBox is the whole area in machine mm: its lower left is (0, 0).
func (p *Profile) AreaBox() geom.Box {
	return geom.Box{Max: geom.Point{X: p.Area.WidthMM, Y: p.Area.HeightMM}}
}

// ToMachine turns page mm into machine mm.
func (p *Profile) ToMachine(page geom.Point) geom.Point {
	return geom.Point{X: page.X + p.Area.MarginMM, Y: page.Y + p.Area.MarginMM}
}

// ToPage turns machine mm into page mm.
func (p *Profile) ToPage(m geom.Point) geom.Point {
	return geom.Point{X: m.X - p.Area.MarginMM, Y: m.Y - p.Area.MarginMM}
}
