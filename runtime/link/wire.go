package link

// The bytes of one family of line-acknowledging motion boards: interoperability
// data, from memory, no source. Only the answers to what wend sends. This table
// is the link's own copy; the simulated machine has another, since the two peers
// must not share code.

const (
	wireOK    = "ok"
	wireError = "error:"
	wireAlarm = "ALARM:"
)

// Numbers of the settings that are read back.
const (
	setDirections   = 3
	setReportMask   = 10
	setCornerMM     = 11
	setReportInches = 13
	setSoftLimits   = 20
	setHardLimits   = 21
	setHoming       = 22
	setStepsPerMM   = 100
	setRate         = 110
	setAcceleration = 120
)

// reportAll asks for machine coordinates (1) and free places (2) in reports.
const reportAll = 3

// The words of a status report that matter here.
const (
	stateIdle  = "Idle"
	stateRun   = "Run"
	stateAlarm = "Alarm"
	stateHold  = "Hold"
	stateHeld  = "Hold:0"
	stateDoor  = "Door"
)

// causeOfError says why a board answers a line with an error, from its number.
func causeOfError(number int) string {
	switch number {
	case 1, 2, 28:
		return "it found a letter or a number missing in the line, as when bytes get lost on the way"
	case 3:
		return "it does not know the command, as when bytes get changed on the way"
	case 9:
		return "it is locked"
	case 11:
		return "the line is longer than it takes; see line_limit_bytes in the profile"
	case 20:
		return "it does not know a word of the line, as when bytes get changed on the way"
	case 21, 24, 25:
		return "two words of the line clash, as when the end of a line gets lost on the way"
	case 22:
		return "no speed was set"
	case 23, 26, 27:
		return "a word of the line is not as it must be, as when bytes get changed on the way"
	}
	return "it gives no reason that is known here"
}

// causeOfAlarm says why a board stopped by itself, from the alarm's number.
func causeOfAlarm(number int) string {
	switch number {
	case 1:
		return "a limit switch was met, or interference on its wire looked like it"
	case 2:
		return "a target lies beyond the travel that the board is set to"
	case 3:
		return "it was reset while the motors turned"
	}
	return "it gives no reason that is known here"
}
