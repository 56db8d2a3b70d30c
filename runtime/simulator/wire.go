package simulator

// The bytes that line-acknowledging motion boards speak: common practice on
// 8-bit boards, from memory, no source. This table is the simulator's own copy;
// the sending side has another, since the two peers must not share code.

// Single bytes that act at once wherever they stand, and are never acknowledged.
const (
	wireStatus      = '?'
	wireHold        = '!'
	wireResume      = '~'
	wireReset       = 0x18
	wireDoor        = 0x84
	wireJogCancel   = 0x85
	wireFeedWhole   = 0x90 // feed at 100 %; the next four change it
	wireFeedUpTen   = 0x91
	wireFeedDownTen = 0x92
	wireFeedUpOne   = 0x93
	wireFeedDownOne = 0x94
	wireRapidWhole  = 0x95
	wireRapidHalf   = 0x96
	wireRapidFourth = 0x97
	wireExtended    = 0x80 // this and all above never enter a line
	wireEnd         = '\n' // ends a line
)

const (
	wireGreeting   = "\r\nBench board [$ says more]\r\n"
	wireOK         = "ok"
	wireErrorStart = "error:"
	wireAlarmStart = "ALARM:"
	wireLineEnd    = "\r\n"
)

// Error numbers.
const (
	errLetter      = 1  // a word begins with a letter
	errNumber      = 2  // bad number
	errStatement   = 3  // `$` statement not known
	errHomingOff   = 5  // homing without its setting
	errBusy        = 8  // only when nothing moves
	errLocked      = 9  // locked by an alarm, or by a jog under way
	errLong        = 11 // line too long
	errStartUpLong = 14
	errJogTravel   = 15 // jog beyond travel
	errJog         = 16 // not a jog
	errWord        = 20 // word not supported
	errModal       = 21 // two words of one group
	errFeed        = 22 // no feed said
	errInteger     = 23 // whole number needed
	errTwoAxis     = 24 // two commands that use axis words
	errRepeated    = 25
	errAxisMissing = 26
	errLineNumber  = 27
	errValue       = 28 // value missing
	errArc         = 33
	errArcRadius   = 34
	errUnused      = 36 // a word that nothing on the line uses
)

// Alarm numbers.
const (
	alarmSoftLimit    = 2
	alarmReset        = 3 // reset while moving: the position is lost
	alarmHomingReset  = 6
	alarmHomingFailed = 9 // no switch found
)

// Numbers of the settings.
const (
	setStepPulse    = 0
	setIdleLock     = 1
	setDirections   = 3
	setReportMask   = 10
	setCornerMM     = 11
	setArcTolerance = 12
	setReportInches = 13
	setSoftLimits   = 20
	setHardLimits   = 21
	setHoming       = 22
	setStepsPerMM   = 100 // and 101, 102
	setRate         = 110 // mm/min
	setAcceleration = 120 // mm/s²
	setTravel       = 130 // mm
)

// Bits of the report mask.
const (
	reportMachine = 1 // machine coordinates, not the program's
	reportBuffer  = 2 // free places and bytes
)
