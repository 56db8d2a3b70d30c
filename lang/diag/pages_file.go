package diag

// filePages are the codes about files, folders and the command line (raised by cmd/wend).
var filePages = []Page{
	{
		Code: "file-missing", Message: "there is no file `{name}`",
		Hint:    "look at the spelling and the folder",
		Rule:    "The file that was named could not be found in the folder where wend was started.",
		Subject: Outside, Bad: "wend build pinwhel.wend, with pinwheel.wend in the folder", Good: "wend build pinwheel.wend",
	},
	{
		Code: "file-unreadable", Message: "`{name}` cannot be read: {reason}",
		Hint:    "look at who may read the file, and whether the disk is there",
		Rule:    "The system refused to give the content of the file, for the reason it states.",
		Subject: Outside, Bad: "a file that only another user may read", Good: "the same file after chmod",
	},
	{
		Code: "file-folder", Message: "`{name}` is a folder, not a file",
		Hint:    "name one file in it",
		Rule:    "Commands that read a program, a profile or an instruction file need one file.",
		Subject: Outside, Bad: "wend build examples", Good: "wend build examples/fern.wend",
	},
	{
		Code: "file-large", Message: "`{name}` has {size} MB; at most {limit} MB are read",
		Hint:    "split it, or check that it is the file you meant",
		Rule:    "A program written by a person stays far below this size. The limit keeps a wrong file from filling the memory.",
		Subject: Outside, Bad: "a program of 40 MB", Good: "a program that computes its points in a loop",
	},
	{
		Code: "file-not-text", Message: "`{name}` is not a text in UTF-8: {reason}",
		Hint:    "programs and profiles are UTF-8 texts; check that it is the file you meant",
		Rule:    "The file holds bytes that no UTF-8 text has. Either it is another kind of file (a picture, an archive, a program in machine code), or a text that an editor saved in another encoding; the message names the likely one, and the first place where it shows.",
		Subject: Outside, Bad: "a program saved as UTF-16", Good: "the same program saved as UTF-8",
	},
	{
		Code: "file-pipe", Message: "nobody writes to the pipe `{name}`: waited {seconds} s for it",
		Hint:    "start the command that writes to it, then this one; or name a file",
		Rule:    "A named pipe has nothing to read until another command writes to it.",
		Subject: Outside, Bad: "mkfifo leaf; wend build leaf", Good: "mkfifo leaf; cat leaf.wend > leaf & wend build leaf",
	},
	{
		Code: "file-kind", Message: "`{name}` is {kind}; `{command}` does not work with that",
		Hint:    "{want}",
		Rule:    "What a file is, is told from what stands in it, and only where that does not say it, from the ending of its name: .wend for programs, .toml for machine profiles, .gcode, .nc or .ngc for instruction files, .svg for drawings.",
		Subject: Outside, Bad: "wend live picture.png", Good: "wend live flower.wend",
	},
	{
		Code: "program-empty", Severity: Error, Message: "this program draws nothing",
		Hint: "a first line: `ahead 40`",
		Rule: "A program that is built must leave a line of more than one point: there would be nothing to see and nothing to send. One that prints with `note` was not meant to draw.",
		Bad:  "begin 20, 20\nturn 90\n", Good: "begin 20, 20\nturn 90\nahead 40\n",
	},
	{
		Code: "file-outside", Message: "`{name}` does not lie beside the program or below it",
		Hint:    "move the file into the program's folder, and name it from there",
		Rule:    "A program reads files from its own folder and the folders below, and from nowhere else. So it can be moved or handed on whole, and a program from somebody else cannot look around.",
		Subject: Outside, Bad: "use \"../flowers.wend\" as flowers", Good: "use \"flowers.wend\" as flowers",
	},
	{
		Code: "flag-unfit", Message: "{flag} is for {of}; this file is none",
		Hint:    "leave it out",
		Rule:    "A flag that has no use for what is drawn is refused rather than passed over: chance and top-level variables belong to programs, travel to instruction files.",
		Subject: Outside, Bad: "wend build bracket.nc --seed 4", Good: "wend build bracket.nc",
	},
	{
		Code: "output-input", Message: "the output `{name}` would overwrite an input",
		Hint:    "rename the input, or write to another folder with --out",
		Rule:    "wend never overwrites what it reads: the output has the name of the program with another ending, and here that is one of the files the drawing is made of.",
		Subject: Outside, Bad: "wend build fern.png, a program in a file of that name", Good: "wend build fern.wend",
	},
	{
		Code: "output-foreign", Message: "`{name}` stands in the way: wend did not write it, and it would be overwritten",
		Hint:    "rename or move that file, or write to another folder with --out",
		Rule:    "The outputs have the name of the program with another ending. A file of that name that wend wrote (its heading or metadata say so) is replaced; any other may be the only copy of somebody's work.",
		Subject: Outside, Bad: "wend build bracket.wend, beside a bracket.gcode from elsewhere", Good: "wend build bracket.wend --out made",
	},
	{
		Code: "output-failed", Message: "`{name}` cannot be written: {reason}",
		Hint:    "look at the folder: whether it exists, who may write in it, whether the disk is full",
		Rule:    "All outputs of a run are written together or not at all; nothing half-written is left behind. A folder that is not there is made if the one it lies in is there; a path that is missing farther up is more likely misspelt.",
		Subject: Outside, Bad: "wend build fern.wend --out /proc", Good: "wend build fern.wend --out pictures",
	},
	{
		Code: "output-stale", Severity: Warning, Message: "`{name}` is of an earlier run and cannot be removed: {reason}",
		Hint:    "remove it yourself, before it is sent or shown by mistake",
		Rule:    "Outputs of an earlier run that this one replaces are removed, so that no sheet is sent that the program does not have any more. Only files that name the program as theirs are touched.",
		Subject: Outside, Bad: "a second sheet in a folder that is write-protected by now", Good: "the same after chmod",
	},
	{
		Code: "export-engine", Message: "the engine for the browser cannot be made: {reason}",
		Hint:    "run it in a clone of wend, on a computer with the Go toolchain",
		Rule:    "A site that `wend open --export` writes has the engine as WebAssembly, which is compiled from the sources of wend: they must lie around the current folder, and the Go toolchain must be there. Nothing is written where it cannot be made.",
		Subject: Outside, Bad: "wend open --export site without the Go toolchain", Good: "the same in a clone of wend, with it",
	},
	{
		Code: "window-closed", Message: "the window cannot be opened: {reason}",
		Hint:    "look whether this computer lets programs serve pages to itself, at 127.0.0.1",
		Rule:    "The window is a page that this computer serves to its own browser, at the loopback address 127.0.0.1 and a port that is free. Where nothing may listen there, or the folder cannot be opened, there is no window; `wend build --watch` draws on every save without one.",
		Subject: Outside, Bad: "wend open where no port of 127.0.0.1 is free", Good: "the same once one is",
	},
	{
		Code: "wend-fault", Message: "wend itself failed here: {reason}",
		Hint:    "please report it, with the program; nothing was written and nothing moved",
		Rule:    "This is a fault of wend, not of the program. The message says what went wrong inside; a report with the program makes it possible to mend it.",
		Subject: Outside, Bad: "no program is meant to cause it", Good: "every program",
	},
}
