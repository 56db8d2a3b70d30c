package diag

// machinePages are the codes about machine profiles and what they allow (raised by runtime/machine and runtime/lower).
var machinePages = []Page{
	{
		Code:    "motor-outside-area",
		Message: "taking up slack or skew leads the {edge} edge of the area, by {mm} mm",
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
		Message:  "at {baud} baud the link carries {lines} lines a second; {factor} times that is needed",
		Rule: "Every piece of the line is an instruction of some twenty bytes. Where the pieces are short and the speed is high, " +
			"the board would run out of instructions and stop between them, which shows in the line. The speed is lowered there instead.",
		Subject: Outside,
		Bad:     "a profile with baud = 9600 and tolerance_mm = 0.005, and a program of many small circles",
		Good:    "the same with baud = 115200",
	},
}
