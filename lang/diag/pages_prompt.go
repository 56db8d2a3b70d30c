package diag

// promptPages are the codes that only the prompt gives: a program as a whole
// has no earlier entries.
var promptPages = []Page{
	{
		Code: "live-word-used", Message: "`{name}` is a word of the library that earlier entries use",
		Hint:    "choose another name, so that they keep doing what they did",
		Rule:    "At the prompt a new definition replaces an old one from there on. A word of the library that earlier entries use would change under them, and with it the line that is there.",
		Subject: Outside, Bad: "at the prompt: `note max(1, 2)`, then `fn max(a, b) = a`", Good: "at the prompt: `note max(1, 2)`, then `fn larger(a, b) = a`",
	},
	{
		Code: "live-line-changed", Message: "with this entry the line that is there would be another one",
		Hint:    "what is drawn stays; save the entries, change the program and load it anew",
		Rule:    "Each entry at the prompt goes on from the end of the line. One that would change an earlier part of it is refused.",
		Subject: Outside, Bad: "an entry that changes what earlier entries drew", Good: "an entry that draws on from there",
	},
	{
		Code: "output-exists", Message: "there is a file `{name}` already",
		Hint:    "choose another name, or move the file away",
		Rule:    "What is saved at the prompt, and what `wend new` writes, replaces no file that was there before.",
		Subject: Outside, Bad: "/save fern.wend, with another fern.wend in the folder", Good: "/save fern-2.wend",
	},
}
