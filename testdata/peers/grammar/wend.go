// Package grammar holds the parser that editors use for wend (lang/editors), as a
// program in another language calls it.
package grammar

// #cgo CFLAGS: -std=c11 -I${SRCDIR}/../../../lang/editors/tree-sitter-wend/src
// #include "../../../lang/editors/tree-sitter-wend/src/parser.c"
// #include "../../../lang/editors/tree-sitter-wend/src/scanner.c"
import "C"

import "unsafe"

// Language is the parser's tables.
func Language() unsafe.Pointer { return unsafe.Pointer(C.tree_sitter_wend()) }
