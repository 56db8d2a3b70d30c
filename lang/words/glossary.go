package words

// Term is a word of drawing or of programming that the pages for beginners use,
// with what it means in everyday words.
type Term struct{ Word, Means string }

// Glossary are all such words: at most thirty, so that they can be learnt. What
// a page says otherwise, it says in everyday words.
func Glossary() []Term {
	return []Term{
		{"program", "The lines that say what is to be drawn, from the first to the last."},
		{"statement", "A line of a program that does something, such as `ahead 20`."},
		{"value", "What a program counts with: a number, a text, a point, a list."},
		{"expression", "Values and signs that make one value together, such as `2 * 3`."},
		{"variable", "A name for a value. `let` makes it, `=` changes it."},
		{"function", "A named recipe that makes one value out of others."},
		{"parameter", "A name for what a function or figure is given when it is called."},
		{"figure", "A drawing with a name, which can be drawn again and again."},
		{"block", "The lines between `{` and `}`, which belong together."},
		{"loop", "A block that runs again and again."},
		{"pass", "One run of the block of a loop."},
		{"condition", "What is true or false, and decides whether a block runs."},
		{"comparison", "Two values with a sign between that asks which is more, or if they are the same."},
		{"list", "Several values in a row, in square brackets."},
		{"range", "The numbers from one to another, such as `1..5`."},
		{"text", "Letters in double quotes."},
		{"character", "One letter, figure or sign of a text."},
		{"point", "A place: how far to the right and how far up, such as `(20, 30)`."},
		{"coordinates", "The two numbers of a point."},
		{"path", "A line as a value: it can be drawn, turned, made larger."},
		{"stylus", "The tip that draws. It never lifts."},
		{"heading", "The way the stylus faces, in degrees: 0 is to the right, 90 is up."},
		{"degrees", "What a turn is counted in. A full turn has 360, a corner of a square 90."},
		{"frame", "From where a drawing counts its places, and which way is ahead in it."},
		{"unseen", "Over line that is there already, so that nothing new shows."},
		{"sheet", "One picture, until it is wiped."},
		{"operator", "The person at the machine."},
		{"tolerance", "How far the line may be off at most, far less than its width."},
		{"library", "The words and drawings that wend brings along."},
		{"prompt", "Where lines are typed and drawn one by one."},
	}
}
