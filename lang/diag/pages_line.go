package diag

// linePages are the codes about where the line goes (raised by runtime/bounds).
var linePages = []Page{
	{
		Code:    "line-off-page",
		Message: "the line leaves the page here, {mm} mm past the {edge} edge",
		Rule: "The page is the part of the area that the stylus may use, with (0, 0) at its lower left. Nothing on the machine stops the motors at the edge, " +
			"so a drawing that leaves the page is an error of the program, found before anything moves. Touching the edge is fine. " +
			"Each statement that leads off the page is reported once, with the farthest that the line gets before it comes back.",
		Bad:  "begin 70, 50\nahead 80\n",
		Good: "begin 50, 50\nahead 80\n",
	},
	{
		Code:    "begin-off-page",
		Message: "the line begins off the page, {mm} mm past the {edge} edge",
		Rule: "`begin` says where the line starts: the stylus walks there first, and may no more leave the page on the way than anywhere else. " +
			"The page has (0, 0) at its lower left; `page.width` and `page.height` tell its size.",
		Bad:  "begin 150, 50\nahead -80\n",
		Good: "begin 140, 50\nahead -80\n",
	},
	{
		Code:     "way-in",
		Severity: Warning,
		Message:  "the way to where this path begins leaves {length} mm of line",
		Rule: "The stylus never lifts. A path that is put somewhere is reached over line that is there already; before anything is drawn there is none, and the way is a line of its own. " +
			"A program without `begin` that first moves by `follow` or by `draw … at` begins its line where that path begins, so nothing is left; on a further sheet `begin` stands directly behind `erase`.",
		Bad:  "begin 0, 0\nlet wave = path { reach 30, 8; reach 60, 0 }\nfollow wave.move(20, 40)\n",
		Good: "let wave = path { reach 30, 8; reach 60, 0 }\nfollow wave.move(20, 40)\n",
	},
	{
		Code:    "start-off-page",
		Message: "the stylus stands off the page, {mm} mm past the {edge} edge",
		Hint:    "bring it onto the page with `wend machine jog`, or let the program say where the line begins",
		Rule:    "Without `begin`, the line starts where the stylus stands. In the margin it is still inside the area, but no line may be drawn there.",
		Subject: Outside,
		Bad:     "wend send pinwheel.wend, with the stylus in the margin and no `begin` in the program",
		Good:    "the same with `begin page.center` in the program",
	},
	{
		Code:    "line-not-finite",
		Message: "the line goes to a place that has no coordinates",
		Hint:    "this is a fault of wend; please report it with the program",
		Rule:    "Every operation that would make a number without a value is an error of its own, so no line can get here; the check stands all the same, since such a number passes every comparison.",
		Subject: Outside,
		Bad:     "a plan with a coordinate that is not a number",
		Good:    "any plan that a program makes",
	},
}
