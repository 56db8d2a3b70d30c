// Package weave finds ways for a stylus that never lifts.
//
// WayBack retraces what a block drew. A Trace finds the way over a line drawn
// so far on which the least new line shows. Weave turns any set of separate
// strokes into one continuous line with the least visible extra line first and
// the least retraced line second.
//
// All three look at a drawing as a graph: its vertices are the points that the
// line visits, meets or crosses, and points within geom.SamePoint of each
// other are one vertex. Lengths are mm. The same input gives the same output to
// the last bit on every processor.
package weave
