package check

import (
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

// isStatement reports whether a library word only stands as a statement: it does
// something and gives no value.
func isStatement(b *types.Builtin) bool {
	for _, form := range b.Forms {
		if form.Result != types.Nothing {
			return false
		}
	}
	return len(b.Forms) > 0
}

// placeOf holds a library word to the places where it may stand.
func (r *resolver) placeOf(b *types.Builtin, span source.Span) {
	args := diag.Args{"word": b.Name, "where": r.where}
	switch {
	case b.May&types.Outermost != 0:
		r.begin(b, span)
		return
	case b.May&types.TopLevel != 0 && r.where != inFile:
		r.report(r.stmt, diag.New("top-level-only", span, args))
	case b.May&types.NoBranch != 0 && r.branch > 0:
		r.report(r.stmt, diag.New("not-in-branch", span, args))
	case b.May&types.Draws != 0 && !r.draws():
		r.report(r.stmt, diag.New("draws-in-function", span, args))
	case b.May&types.Stylus != 0 && !r.draws():
		r.report(r.stmt, diag.New("stylus-in-function", span, args))
	case b.May&types.Chance != 0 && r.curve != nil:
		r.report(r.stmt, diag.New("chance-in-curve", span, args))
	}
	if b.May&types.Chance != 0 {
		r.reach.chance(r.unit, r.body)
	}
	if b.Op == types.Erase && r.where == inFile {
		if r.erased = r.depth == 0; !r.drawn.Known() {
			r.drawn = span // the first sheet is over
		}
	}
	if b.May&types.Draws != 0 && b.Op != types.Turn && b.Op != types.Face && r.where == inFile && !r.drawn.Known() {
		r.drawn = span
	}
}

// begin holds `begin` to its places: outside every block and before the first
// statement that draws, or directly after an `erase`; once a sheet.
func (r *resolver) begin(b *types.Builtin, span source.Span) {
	args := diag.Args{"word": b.Name, "where": r.where}
	switch {
	case r.where != inFile:
		r.report(r.stmt, diag.New("top-level-only", span, args))
	case r.erases(r.before):
	case r.depth > 0:
		r.report(r.stmt, diag.New("begin-in-block", span, args))
	case r.begun.Known():
		r.report(r.stmt, diag.New("begin-twice", span, args).WithRelated(r.begun, "the line begins here"))
	case r.erased && r.before != nil:
		r.report(r.stmt, diag.New("begin-late", span, args).WithRelated(r.before.Place(), "this stands between `erase` and `begin`"))
	case r.drawn.Known():
		r.report(r.stmt, diag.New("begin-late", span, args).WithRelated(r.drawn, "this draws already"))
	default:
		r.begun = span
	}
}

// erases reports whether a statement is `erase`.
func (r *resolver) erases(stmt ast.Stmt) bool {
	do, ok := stmt.(*ast.Do)
	if !ok {
		return false
	}
	obj := r.program.Refs[do.Call.Fn]
	return obj != nil && obj.Kind == Builtin && obj.Builtin.Op == types.Erase
}

// do resolves a call in statement position.
func (r *resolver) do(s *ast.Do) {
	target := r.call(s.Call, asStatement)
	if target != nil && target.Kind == Figure {
		r.drawing(target.Name, calleeSpan(s.Call))
	}
	r.flowItem(roleDo, s.Call, nil)
}

// calleeSpan is the place of the name that is called.
func calleeSpan(call *ast.Call) source.Span {
	if field, ok := call.Fn.(*ast.Field); ok {
		return field.Name.Span
	}
	return call.Fn.Place()
}
