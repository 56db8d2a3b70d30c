// Package lettering sets text in single-stroke faces for a stylus that never
// lifts: it reads faces, composes letters and their marks, spaces them by eye,
// breaks and aligns rows, and finds the one line through all of them.
//
// Read makes a Face from its text (the format is described at the top of
// fonts/linden.letters). Set lays a text out, and Block.Line finds its line.
// Faces count in hundredths of the height of a capital, styles and results in
// mm.
//
// A face keeps what it finds out about its letters, so the first text that uses
// a letter pays for it and later ones do not. Results do not depend on that.
package lettering
