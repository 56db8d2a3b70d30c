package simulator

// The bytes that line-acknowledging motion boards speak: common practice on
// 8-bit boards, from memory, no source. This table is the simulator's own copy;
// the sending side has another, since the two peers must not share code.

// Single bytes that act at once wherever they stand, and are never acknowledged.
const (
	wireStatus    = '?'
	wireHold      = '!'
	wireResume    = '~'
	wireReset     = 0x18
	wireDoor      = 0x84
	wireJogCancel = 0x85
	wireFeedFirst = 0x90 // feed, rapid and spindle overrides: taken note of, not acted on
	wireFeedLast  = 0x9d
)

const (
	wireGreeting   = "\r\nMotion 1.1 ['$' for help]\r\n"
	wireOK         = "ok\r\n"
	wireErrorStart = "error:"
	wireAlarmStart = "ALARM:"
	wireLineEnd    = "\r\n"
)

// Error numbers.
const (
	errLetter      = 1  // a word begins with a letter
	errNumber      = 2  // bad number
	errStatement   = 3  // `$` statement not known
	errLocked      = 9  // locked by an alarm
	errLong        = 11 // line too long
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
)

// Alarm numbers.
const (
	alarmHardLimit = 1
	alarmSoftLimit = 2
	alarmReset     = 3 // reset while moving: the position is lost
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
