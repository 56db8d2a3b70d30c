package simulator

// The bytes of one family of line-acknowledging motion boards: interoperability
// data, from memory, no source. Only what wend sends, and the answers to that.
// This table is the simulator's own copy; the sending side has another, since
// the two peers must not share code.

// Single bytes that act at once wherever they stand, and are never acknowledged.
const (
	wireStatus = '?'
	wireHold   = '!'
	wireResume = '~'
	wireReset  = 0x18
	wireHigh   = 0x80 // this and all above never enter a line
	wireEnd    = '\n' // ends a line
)

const (
	wireGreeting   = "\r\nBench board [simulated]\r\n"
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
	errBusy        = 8  // only when nothing moves
	errLocked      = 9  // locked by an alarm
	errLong        = 11 // line too long
	errWord        = 20 // word not supported
	errModal       = 21 // two words of one group
	errFeed        = 22 // no feed said
	errTwoAxis     = 24 // two commands that use axis words
	errRepeated    = 25
	errAxisMissing = 26
	errValue       = 28 // value missing
	errUnused      = 36 // a word that nothing on the line uses
)

// alarmReset is a reset while moving: the position is lost.
const alarmReset = 3

// Numbers of the settings.
const (
	setDirections   = 3
	setReportMask   = 10
	setCornerMM     = 11
	setReportInches = 13
	setSoftLimits   = 20
	setHardLimits   = 21
	setHoming       = 22
	setStepsPerMM   = 100 // and 101
	setRate         = 110 // mm/min
	setAcceleration = 120 // mm/s²
	setTravel       = 130 // mm
)

// Bits of the report mask.
const (
	reportMachine = 1 // machine coordinates, not the program's
	reportBuffer  = 2 // free places and bytes
)
