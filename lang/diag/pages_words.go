package diag

// wordPages are the codes about words that people bring along (raised by lang/mend).
var wordPages = []Page{
	{
		Code: "everyday-word", Message: "`{name}` is `{now}` here",
		Hint: "write `{now}`",
		Rule: "The words of the language are few, so that they can be learnt. Everyday words of six languages are known well enough to name the one that is meant.",
		Bad:  "walk 50\n", Good: "ahead 50\n",
	},
	{
		Code: "everyday-thing", Message: "{thing} is drawn by `{now}`",
		Hint: "write `{now}`",
		Rule: "Shapes are drawn with the few words of the language, or are taken from the library: curves.circle gives a circle, and draw puts it on the page.",
		Bad:  "begin page.center\ncircle 20\n", Good: "begin page.center\ndraw curves.circle(20)\n",
	},
	{
		Code: "no-such-word", Message: "there is no word `{name}` here",
		Hint: "leave it out",
		Rule: "Some words that a program has elsewhere have no meaning for one line that is drawn without a break: it has one width and no colour, and the stylus is always down.",
		Bad:  "color \"red\"\nahead 20\n", Good: "ahead 20\n",
	},
	{
		Code: "order-word", Message: "`{name}` is an order, and a program is no place for it",
		Hint: "leave it out",
		Rule: "A program is a text that is drawn from its first line to its last. Orders, such as to take something back, to save or to leave, are for the prompt or the command.",
		Bad:  "ahead 20\nundo\n", Good: "ahead 20\n",
	},
}
