package code

// Op is what an instruction does. n is the number bank, v the value bank, K the
// program's numbers; "fails" means a diagnostic at the instruction's span.
type Op uint8

// The operations.
const (
	Fail Op = iota // fails: the body holds more values at once than there are registers

	// Moving values about.
	ConstN        // n[A] = K[D]
	ConstI        // n[A] = D
	ConstT        // v[A] = text D
	Nothing       // v[A] = nothing: a left-out argument
	Absent        // n[A] = NaN: a left-out argument
	MoveN         // n[A] = n[B]
	MoveP         // n[A], n[A+1] = n[B], n[B+1]
	MoveV         // v[A] = v[B]
	BoxN          // v[A] = number n[B]
	BoxB          // v[A] = bool n[B]
	BoxP          // v[A] = point n[B], n[B+1]
	UnboxN        // n[A] = v[B], fails unless a number; D: note
	UnboxB        // n[A] = v[B], fails unless a bool; D: note
	UnboxP        // n[A], n[A+1] = v[B], fails unless a point; D: note
	Fit           // fails unless v[A]… fit one of the forms of fit D
	Share         // v[A] is held in two places from now on
	GlobalN       // n[A] = number register of a module, D = module<<16 | register; fails before its let
	GlobalP       // likewise a point
	GlobalV       // likewise a value
	GlobalSpilled // likewise a value without a register
	GetSpilled    // v[A] = spilled variable D
	SetSpilled    // spilled variable D = v[A]
	Forget        // n[A] = NaN: the variable has no value yet
	ForgetV       // v[A] = nothing: the variable has no value yet

	// Arithmetic; each fails where the result is not a finite number.
	AddN     // n[A] = n[B] + n[C]
	SubN     // n[A] = n[B] - n[C]
	MulN     // n[A] = n[B] * n[C]
	DivN     // n[A] = n[B] / n[C]
	PowN     // n[A] = n[B] ^ n[C]
	NegN     // n[A] = -n[B]
	AddK     // n[A] = n[B] + K[D]
	MulK     // n[A] = n[B] * K[D]
	DivK     // n[A] = n[B] / K[D]
	KSub     // n[A] = K[D] - n[B]
	KDiv     // n[A] = K[D] / n[B]
	MulKAdd  // n[A] = n[B]*K[D] + n[C]
	MulKSub  // n[A] = n[B] * (K[D] - n[C])
	MulAdd   // n[A] = n[B]*n[C] + n[D]
	MulSub   // n[A] = n[B]*n[C] - n[D]
	ArithV   // v[A] = v[B] (D: Arith) v[C]
	NegV     // v[A] = -v[B]
	Compare2 // n[A] = v[B] (D: Compare) v[C]

	// Going elsewhere; D is the target.
	Jump
	JumpTrue  // if n[A] != 0
	JumpFalse // if n[A] == 0
	JumpLt    // if n[A] < n[B]
	JumpLe    // if n[A] <= n[B]
	JumpEq    // if n[A] == n[B]
	JumpNe    // if n[A] != n[B]
	JumpLtK   // if n[A] < K[BC]
	JumpLeK   // if n[A] <= K[BC]
	JumpGtK   // if n[A] > K[BC]
	JumpGeK   // if n[A] >= K[BC]
	JumpEqK   // if n[A] == K[BC]
	JumpNeK   // if n[A] != K[BC]
	GivenN    // if n[A] is not NaN
	GivenV    // if v[A] is not nothing

	// Loops. A loop's passes are counted in a register (code.Loop).
	RangePrep  // n[A], n[A+1], n[A+2] = from, step, to: works out the count in n[A+2], n[A+3] = -1; to D
	RangeLoop  // n[A+3]++; while below n[A+2]: n[B] = from + n[A+3]*step, to D; at the end C instructions on
	RepeatPrep // n[A] is made a whole number of passes, n[A+1] = -1; to D
	RepeatLoop // n[A+1]++; while below n[A]: to D; at the end BC instructions on
	Pass       // n[A]++: one more pass of a loop while
	IterPrep   // v[A] is to be looped over, n[B] = -1; to D
	IterN      // n[B]++; while v[A] has such an item: n[C] = it, to D
	IterP      // likewise a point
	IterV      // likewise a value
	IterLook   // likewise a value whose fields are taken at once

	// Calls. The callee's frame begins at n[A], v[B].
	Call       // function D
	CallFigure // figure D as a statement: draws from here
	CallApart  // figure D as a statement, whose line is drawn by itself and then put here
	CallPath   // figure or path body D as a value; the path arrives in v[B]
	CallValue  // v[A] with C arguments in v[A+1]…; the result arrives in v[A]
	Native     // v[A] = builtin D with C arguments in v[B]…
	WordN      // n[A] = value of the library word D, a number
	WordV      // v[A] = value of the library word D
	Native1    // n[A] = builtin D of n[B]
	Native2    // n[A] = builtin D of n[B], n[C]
	ReturnN    // n[A]
	ReturnP    // n[A], n[A+1]
	ReturnV    // v[A]
	Return     // no value; ends figures, path bodies and files
	Closure    // v[A] = function D with C captured values from v[B]…
	FuncRef    // v[A] = function D
	BuiltinRef // v[A] = builtin D

	// Values.
	ListOf     // v[A] = list of C values from v[B]…
	ListPush   // the list v[A], held nowhere else, gains v[B]
	ListAppend // v[A] = v[A] + v[B], in place if v[A] is held nowhere else
	RangeList  // v[A] = list of n[B], step n[B+1], up to n[B+2]
	IndexN     // n[A] = v[B][n[C]], known to be a number
	IndexV     // v[A] = v[B][n[C]]
	IndexAny   // v[A] = v[B][v[C]]
	Part       // v[A] = v[B][n[C] .. n[C+1]]
	Shorten    // v[A] = v[A][n[B] .. n[B+1]], in place if v[A] is held nowhere else
	SetIndex   // v[A][n[B]]…[n[B+C-1]] = v[D]
	SetField   // field D of v[A] = v[B]
	SetOfItem  // field D of v[A][n[B]] = v[C]
	SetAt      // v[A][v[B]]…[v[B+C-1]] = v[D], by places in lists and names in records
	ToChange   // v[A] may be changed in place unless v[B], which holds it, is held twice
	RecordOf   // v[A] = record of layout D with C values from v[B]…
	Field      // v[A] = field D of v[B]
	FieldN     // n[A] = field D of v[B], known to be a number
	TakeField  // v[A] = field D of v[B]; nothing if it is no record that has one
	Taken      // v[A] = v[C]; if that is nothing, field D of v[B]
	TakenN     // n[A] likewise, known to be a number
	Concat     // v[A] = text of C values from v[B]…

	// The stylus; D is the site, for provenance.
	Ahead     // n[A]
	TurnBy    // n[A]
	Face      // n[A]
	Reach     // n[A], n[A+1]
	Shift     // n[A], n[A+1]
	Arc       // n[A], n[A+1]
	Bezier    // n[A] … n[A+5]
	Spline    // v[A]
	Draw      // v[A], from here on
	DrawAt    // v[A] at n[B], n[B+1]
	DrawCall  // v[A], the value of a call in statement position
	Sneak     // n[A], n[A+1]
	Begin     // n[A], n[A+1]
	PrintNote // v[A]
	Pause     // v[A]
	Erase     //
	Seed      // n[A]
	Here      // n[A], n[A+1] = position
	Heading   // n[A] = heading
	Page      // v[A] = page box
	Branch    // remember where to come back to
	ComeBack  // go there
	Step      // statement D begins; in programs that are compiled for stepping alone
	Curve     // v[A] = path of formula D over n[B] .. n[B+1]; captured variables from n[B+2], v[C]

	opCount
)

// layout says which fields of an instruction mean something, for the dump:
// n/v a register of a bank, N/V the first of several, k a number of the
// program, j a target, and single letters for the tables.
var layouts = [opCount]struct{ name, fields string }{
	Fail: {"fail", ""}, ConstN: {"const", "nk"}, ConstI: {"const", "ni"}, ConstT: {"const", "vt"},
	Nothing: {"nothing", "v"}, Absent: {"absent", "n"},
	MoveN: {"move", "nn"}, MoveP: {"move.p", "nn"}, MoveV: {"move", "vv"},
	BoxN: {"box", "vn"}, BoxB: {"box.b", "vn"}, BoxP: {"box.p", "vn"},
	UnboxN: {"unbox", "nvo"}, UnboxB: {"unbox.b", "nvo"}, UnboxP: {"unbox.p", "nvo"}, Fit: {"fit", "vw"}, Share: {"share", "v"},
	GlobalN: {"global", "ng"}, GlobalP: {"global.p", "ng"}, GlobalV: {"global", "vg"}, GlobalSpilled: {"global.spilled", "vg"},
	GetSpilled: {"spilled.get", "vi"}, SetSpilled: {"spilled.set", "vi"}, Forget: {"forget", "n"}, ForgetV: {"forget", "v"},
	AddN: {"add", "nnn"}, SubN: {"sub", "nnn"}, MulN: {"mul", "nnn"}, DivN: {"div", "nnn"}, PowN: {"pow", "nnn"}, NegN: {"neg", "nn"},
	AddK: {"add", "nnk"}, MulK: {"mul", "nnk"}, DivK: {"div", "nnk"}, KSub: {"rsub", "nnk"}, KDiv: {"rdiv", "nnk"},
	MulKAdd: {"muladd", "nnnk"}, MulKSub: {"mulrsub", "nnnk"}, MulAdd: {"muladd", "nnnN"}, MulSub: {"mulsub", "nnnN"},
	ArithV: {"arith", "vvva"}, NegV: {"neg", "vv"}, Compare2: {"compare", "nvvc"},
	Jump: {"jump", "j"}, JumpTrue: {"jump.true", "nj"}, JumpFalse: {"jump.false", "nj"},
	JumpLt: {"jump.lt", "nnj"}, JumpLe: {"jump.le", "nnj"}, JumpEq: {"jump.eq", "nnj"}, JumpNe: {"jump.ne", "nnj"},
	JumpLtK: {"jump.lt", "nKj"}, JumpLeK: {"jump.le", "nKj"}, JumpGtK: {"jump.gt", "nKj"}, JumpGeK: {"jump.ge", "nKj"},
	JumpEqK: {"jump.eq", "nKj"}, JumpNeK: {"jump.ne", "nKj"}, GivenN: {"given", "nj"}, GivenV: {"given", "vj"},
	RangePrep: {"range", "nj"}, RangeLoop: {"range.next", "nnj"}, RepeatPrep: {"repeat", "nj"}, RepeatLoop: {"repeat.next", "nj"},
	Pass: {"pass", "n"}, IterPrep: {"iter", "vnj"}, IterN: {"iter.next", "vnnj"}, IterP: {"iter.next.p", "vnnj"}, IterV: {"iter.next", "vnvj"}, IterLook: {"iter.look", "vnvj"},
	Call: {"call", "nvf"}, CallFigure: {"call.figure", "nvf"}, CallApart: {"call.apart", "nvf"}, CallPath: {"call.path", "nvf"}, CallValue: {"call.value", "v-#"},
	WordN: {"word", "nb"}, WordV: {"word", "vb"}, Native: {"native", "vv#b"}, Native1: {"native", "nnb"}, Native2: {"native", "nnnb"},
	ReturnN: {"return", "n"}, ReturnP: {"return.p", "n"}, ReturnV: {"return", "v"}, Return: {"return", ""},
	Closure: {"closure", "vv#f"}, FuncRef: {"func", "vf"}, BuiltinRef: {"builtin", "vb"},
	ListOf: {"list", "vv#"}, ListPush: {"list.push", "vv"}, ListAppend: {"list.append", "vv"}, RangeList: {"list.range", "vn"},
	IndexN: {"index", "nvn"}, IndexV: {"index", "vvn"}, IndexAny: {"index.any", "vvv"}, Part: {"part", "vvn"}, Shorten: {"shorten", "vn"}, SetIndex: {"index.set", "vn#V"},
	SetField: {"field.set", "vvd"}, SetOfItem: {"item.field.set", "vnvd"}, SetAt: {"at.set", "vv#V"}, ToChange: {"to.change", "vv"}, RecordOf: {"record", "vv#l"},
	Field: {"field", "vvd"}, FieldN: {"field", "nvd"}, TakeField: {"field.take", "vvd"}, Taken: {"field.taken", "vvvd"}, TakenN: {"field.taken", "nvvd"}, Concat: {"concat", "vv#"},
	Ahead: {"ahead", "n"}, TurnBy: {"turn", "n"}, Face: {"face", "n"}, Reach: {"reach", "n"}, Shift: {"shift", "n"}, Arc: {"arc", "n"},
	Bezier: {"bezier", "n"}, Spline: {"spline", "v"}, Draw: {"draw", "v"}, DrawAt: {"draw.at", "vn"}, DrawCall: {"draw.call", "v"},
	Sneak: {"sneak", "n"}, Begin: {"begin", "n"}, PrintNote: {"note", "v"}, Pause: {"pause", "v"}, Erase: {"erase", ""}, Seed: {"seed", "n"},
	Here: {"here", "n"}, Heading: {"heading", "n"}, Page: {"page", "v"}, Branch: {"branch", ""}, ComeBack: {"comeback", ""}, Step: {"step", "i"},
	Curve: {"curve", "vnvf"},
}

func (op Op) String() string { return layouts[op].name }
