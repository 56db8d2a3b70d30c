// Package svg reads drawings that were made elsewhere (SVG 2) and gives their
// strokes, in mm with y pointing up and (0, 0) at the lower left of the
// drawing's viewport.
//
// Read makes a tree of a file; Draw finds the strokes of the tree. What is
// drawn is what a stroke or the edge of a fill shows: stroked lines along their
// middle, whatever their width, and fills by their outline or by hatching. What
// is hidden, has no size, or lies outside a viewport or clip path is left out.
// Where fills are to cover, those that nothing shines through hide what the file
// draws before them; else nothing is hidden.
//
// What has no line (text that is not outlined, images, gradients, filters,
// masks, markers, patterns, animation) is left out or drawn without, and each
// such thing is named once, at its first place.
//
// The reader trusts no file: sizes, counts and depths are bounded, nothing
// outside the text is ever looked at, and every fault has its place.
package svg
