// Package sending carries drawings to a machine: the one flow that `wend send` and
// the window run. A drawing is read and judged, the stylus looked at, the word asked
// for, and each sheet walked to, wiped and drawn; one that was cut off is found,
// gone on with or dropped.
//
// The talk with the operator is that of package operate. Where the operator sits, at
// a terminal or before a page, is a Seat: it reads drawings and shows what became of
// them. How far a list of drawings is, is a List, on the disk before each step.
package sending
