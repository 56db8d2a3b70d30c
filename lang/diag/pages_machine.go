package diag

import "strings"

// soundProfile is a small machine with nothing wrong.
const soundProfile = `name = "bench toy"

[area]
width_mm = 150
height_mm = 110
margin_mm = 5

[x]
steps_per_turn = 200
microsteps = 16
line_mm_per_motor_turn = 32
slack_mm = 0.4
max_speed_mm_s = 20
max_acceleration_mm_s2 = 150

[y]
steps_per_turn = 200
microsteps = 16
line_mm_per_motor_turn = 32
slack_mm = 0.4
max_speed_mm_s = 20
max_acceleration_mm_s2 = 150
`

// profileWith is the sound profile with one part replaced.
func profileWith(old, now string) string { return strings.Replace(soundProfile, old, now, 1) }

// machinePages are the codes about machine profiles and what they allow (raised by runtime/machine and runtime/lower).
var machinePages = []Page{
	{
		Code:    "motor-outside-area",
		Message: "taking up slack or skew leads past the {edge} edge of the area, by {mm} mm",
		Hint:    "make the margin of the profile larger, or keep the drawing farther from that edge",
		Rule: "The motors run a little farther than the stylus: half the slack to either side, and more where the axes are not square. " +
			"There are no limit switches, so their path must stay inside the area, not only the stylus inside the page.",
		Subject: Outside,
		Bad:     "a profile whose squareness is 88 degrees and whose margin is 1 mm, and a line along the upper edge of the page",
		Good:    "the same with a margin of 6 mm",
	},
	{
		Code:     "link-too-slow",
		Severity: Warning,
		Message:  "at {baud} baud the link carries {lines} lines a second, {factor} times too few",
		Rule: "Every piece of the line is an instruction of some twenty bytes. Where the pieces are short and the speed is high, " +
			"the board would run out of instructions and stop between them, which shows in the line. The speed is lowered there instead.",
		Subject: Outside,
		Bad:     "a profile with baud = 9600 and tolerance_mm = 0.005, and a program of many small circles",
		Good:    "the same with baud = 115200",
	},
	{
		Code:    "profile-syntax",
		Message: "this line of the profile cannot be read",
		Hint:    "write `key = value`, text in double quotes, and tables like [area] on lines of their own",
		Rule:    "A profile is a TOML 1.0 file: keys with values, in named tables, each once.",
		Subject: Profile,
		Bad:     profileWith(`name = "bench toy"`, `name = bench toy`),
		Good:    soundProfile,
	},
	{
		Code:    "profile-key-unknown",
		Message: "a profile has no key {key}",
		Hint:    "leave it out, or see `wend machine show` for all keys",
		Rule:    "A key that is not known is an error: it may be a known one misspelt, and then the machine would run with a value that nobody chose.",
		Subject: Profile,
		Bad:     profileWith("margin_mm = 5", "margin_mm = 5\nstart_m = [0, 0]"),
		Good:    profileWith("margin_mm = 5", "margin_mm = 5\nstart_mm = [0, 0]"),
	},
	{
		Code:    "profile-key-missing",
		Message: "the profile does not say {key}{more}",
		Rule:    "Keys whose value only the machine itself can tell have no default: its size, its drive, its slack and its largest speeds.",
		Subject: Profile,
		Bad:     profileWith("margin_mm = 5\n", ""),
		Good:    soundProfile,
	},
	{
		Code:    "profile-kind",
		Message: "{key} has another kind of value; it takes {wanted}",
		Rule:    "Each key takes one kind of value. Numbers stand without quotes and without units: the unit is in the key's name.",
		Subject: Profile,
		Bad:     profileWith("margin_mm = 5", `margin_mm = "5 mm"`),
		Good:    soundProfile,
	},
	{
		Code:    "profile-value",
		Message: "{key} cannot have this value: {why}",
		Rule:    "Values that no machine can have are refused at once, before anything is computed from them.",
		Subject: Profile,
		Bad:     profileWith("steps_per_turn = 200", "steps_per_turn = 0"),
		Good:    soundProfile,
	},
	{
		Code:    "profile-line-per-turn",
		Message: "the line that one turn of the {axis} motor draws is not given in just one way",
		Hint:    "give line_mm_per_motor_turn alone, or line_mm_per_knob_turn with gear_ratio",
		Rule:    "The scale of an axis is either the line measured for one motor turn, or the line of one knob turn with the motor turns that one knob turn takes. Two figures could contradict each other.",
		Subject: Profile,
		Bad:     profileWith("line_mm_per_motor_turn = 32", "line_mm_per_motor_turn = 32\ngear_ratio = 2"),
		Good:    profileWith("line_mm_per_motor_turn = 32", "line_mm_per_knob_turn = 64\ngear_ratio = 2"),
	},
	{
		Code:    "profile-page-empty",
		Message: "the margin leaves no page inside the area",
		Hint:    "make margin_mm less than half of the area's smaller side",
		Rule:    "The page is the area less the margin on each side.",
		Subject: Profile,
		Bad:     profileWith("margin_mm = 5", "margin_mm = 60"),
		Good:    soundProfile,
	},
	{
		Code:    "profile-start",
		Message: "the start ({x}, {y}) is not on the page, which is {width} by {height} mm",
		Hint:    "start_mm is in page coordinates: (0, 0) is the lower left of the page",
		Rule:    "The stylus never leaves the page, so it cannot start elsewhere.",
		Subject: Profile,
		Bad:     profileWith("margin_mm = 5", "margin_mm = 5\nstart_mm = [145, 0]"),
		Good:    profileWith("margin_mm = 5", "margin_mm = 5\nstart_mm = [140, 0]"),
	},
	{
		Code:    "profile-margin",
		Message: "a margin of {margin} mm is too small for the {axis} axis: it needs {needed} mm",
		Hint:    "it covers slack {slack} mm, scale error {scale} mm over the area and a step of {step} mm",
		Rule:    "There are no limit switches. The margin must cover what the stylus may be off at the far edge of the area: the slack, the uncertainty of the scale over the whole span, and one step.",
		Subject: Profile,
		Bad:     profileWith("margin_mm = 5", "margin_mm = 0.3"),
		Good:    soundProfile,
	},
	{
		Code:    "profile-speed",
		Message: "{speed} mm/s is more than {rate} steps a second allow: at most {largest} mm/s",
		Hint:    "lower the speed or the microsteps: {steps} steps draw 1 mm",
		Rule:    "The largest speed of an axis is the board's largest step rate divided by the steps of one mm. Beyond it the board loses steps or stops.",
		Subject: Profile,
		Bad:     profileWith("max_speed_mm_s = 20", "max_speed_mm_s = 350"),
		Good:    soundProfile,
	},
	{
		Code:    "profile-steps-differ",
		Message: "the board is set to {board} steps a mm on {axis}, but the drive needs {drive}",
		Hint:    "set the board to the drive's figure, then board.steps_per_mm here",
		Rule:    "Instructions are in mm and the board multiplies by its own setting. If that is not what the drive needs, every drawing has another size, and may be larger than the area.",
		Subject: Profile,
		Bad:     soundProfile + "\n[board]\nsteps_per_mm = [80, 100]\n",
		Good:    soundProfile + "\n[board]\nsteps_per_mm = [100, 100]\n",
	},
	{
		Code:    "profile-eraser",
		Message: "a serial eraser needs a port and what to send",
		Hint:    "add eraser.port and eraser.send, or let kind be \"operator\"",
		Rule:    "A serial eraser is a second board: wend opens its port, sends its text and waits for the answer.",
		Subject: Profile,
		Bad:     soundProfile + "\n[eraser]\nkind = \"serial\"\n",
		Good:    soundProfile + "\n[eraser]\nkind = \"serial\"\nport = \"/dev/ttyUSB1\"\nsend = \"E\"\n",
	},
	{
		Code:     "profile-tolerance",
		Severity: Warning,
		Message:  "a tolerance of {tolerance} mm is finer than the steps: {reached} mm are reached",
		Hint:     "raise drawing.tolerance_mm, or use more microsteps",
		Rule:     "Whole steps move the stylus by up to half a step on each axis, and where slack is made up for an axis waits for another half before it reverses. That share of the tolerance cannot be bought back by finer curves. What is built, is read back against what is reached.",
		Subject:  Profile,
		Bad:      soundProfile + "\n[drawing]\ntolerance_mm = 0.005\n",
		Good:     soundProfile + "\n[drawing]\ntolerance_mm = 0.02\n",
	},
	{
		Code:     "machine-link-slow",
		Severity: Warning,
		Message:  "curves at full speed take {needed} lines a second; the link carries {carried}",
		Hint:     "raise board.baud (now {baud}) or drawing.tolerance_mm, or accept that curves are drawn slower",
		Rule: "A curve is drawn as chords. How many a second follows from the acceleration and the tolerance, not from the size of the curve: √(a/8δ). " +
			"What the link cannot carry is drawn slower, so nothing is spoilt but time.",
		Subject: Outside,
		Bad:     "a profile with baud = 9600, max_acceleration_mm_s2 = 400 and tolerance_mm = 0.02",
		Good:    "the same with baud = 115200",
	},
	{
		Code:     "machine-speed-unreached",
		Severity: Warning,
		Message:  "{axis} never reaches {speed} mm/s: that takes {run} mm, the page has {span} mm",
		Hint:     "the figure does no harm; a larger acceleration would make use of it",
		Rule:     "Running up to a speed takes v²/2a of way, and as much to stop. Where the page is shorter than both, the largest speed is never driven and was never tried.",
		Subject:  Outside,
		Bad:      "a profile with max_speed_mm_s = 200 and max_acceleration_mm_s2 = 150 for a page of 140 mm",
		Good:     "the same with max_speed_mm_s = 60",
	},
	{
		Code:     "machine-scale-unsure",
		Severity: Warning,
		Message:  "the scale of {axis} may be off by {off} mm over the {span} mm of the area",
		Hint:     "measure a longer line, with the part `length` of `wend machine tune`",
		Rule: "The uncertainty of a measured line grows with every turn of the motor. Where it comes to more than the line is wide, drawings have visibly another size than the page says. " +
			"The longer the measured line, the smaller the share of the ruler's error.",
		Subject: Outside,
		Bad:     "a profile with line_mm_per_motor_turn = 32 and line_uncertainty_mm = 0.5",
		Good:    "the same with line_uncertainty_mm = 0.05",
	},
	{
		Code:     "machine-page-leans",
		Severity: Warning,
		Message:  "axes at {degrees} degrees leave up to {lost} mm of the page out of reach",
		Hint:     "keep to x {left} to {right} and y {lower} to {upper}, set margin_mm to {margin} or more, or square the frame (see `wend machine tune --part squareness`)",
		Rule: "Where the axes are not at right angles, the motors make up for that: towards the top they run farther to one side. " +
			"A corner of the page that they would leave the area for is refused when it is drawn; `wend machine show` says what can be reached.",
		Subject: Outside,
		Bad:     "a profile with an area of 150 by 110 mm, margin_mm = 5 and squareness_deg = 86",
		Good:    "the same with margin_mm = 8",
	},
	{
		Code:     "machine-board-rounds",
		Severity: Warning,
		Message:  "the board's {set} steps a mm on {axis} put the far edge {off} mm off",
		Hint:     "the drive has {drive} steps a mm; boards keep three decimals",
		Rule:     "The board multiplies millimetres by its own stored figure. Where that differs from the drive's, every drawing is that much larger or smaller.",
		Subject:  Outside,
		Bad:      "a profile whose drive has 101.2658 steps a mm, with steps_per_mm = [101, 101]",
		Good:     "the same with steps_per_mm = [101.266, 101.266]",
	},
	{
		Code:     "machine-slack-lost",
		Severity: Warning,
		Message:  "the {slack} mm of slack on {axis} are less than half a step and count as none",
		Hint:     "one step is {step} mm; more microsteps would make it count",
		Rule:     "Slack is made up for in whole steps of the motor.",
		Subject:  Outside,
		Bad:      "a profile with microsteps = 1, line_mm_per_motor_turn = 32 and slack_mm = 0.05",
		Good:     "the same with microsteps = 16",
	},
	{
		Code:    "profile-exists",
		Message: "there is already a file `{name}`, and it stays as it is",
		Hint:    "choose another name, or change that profile with `wend machine tune` or an editor",
		Rule:    "A profile holds measurements that took an operator an afternoon. A new one never takes its place.",
		Subject: Outside,
		Bad:     "`wend machine new bench.toml` where bench.toml is there",
		Good:    "`wend machine new bench-2.toml`",
	},
	{
		Code:    "simulate-terminal",
		Message: "no pseudo-terminal could be opened: {reason}",
		Hint:    "pseudo-terminals are a thing of Unix systems; elsewhere use `--port sim`",
		Rule:    "`wend simulate` answers on a pseudo-terminal, which other programs open like a serial port. Windows has none that a serial client can open; commands that send know the simulated machine by the port name sim.",
		Subject: Outside,
		Bad:     "`wend simulate` on Windows",
		Good:    "`wend send drawing.wend --port sim`",
	},
}
