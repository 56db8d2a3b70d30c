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
		Code:    "line-not-finite",
		Message: "the line goes to a place that has no coordinates",
		Hint:    "this is a fault of wend; please report it with the program",
		Rule:    "Every operation that would make a number without a value is an error of its own, so no line can get here; the check stands all the same, since such a number passes every comparison.",
		Subject: Outside,
		Bad:     "a plan with a coordinate that is not a number",
		Good:    "any plan that a program makes",
	},
}
