package parse

import (
	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"wend/lang/ast"
)

// The grammar of the statements that begin with a keyword. Names at the start
// of a statement, blocks and expressions are read by functions of session:
// there, spaces and the bracket before count, and precedence is climbed.

type (
	expression interface{ ast.Expr } // any expression
	optional   interface{ ast.Expr } // an expression, or nothing before the statement's end
	condition  interface{ ast.Expr } // an expression in which = is a slip for ==
	quoted     interface{ ast.Expr } // a text literal
	block      interface{ ast.Node } // statements in braces

	useForm struct {
		Path quoted      `parser:"'use' @@"`
		As   string      `parser:"@'as'"`
		Name lexer.Token `parser:"@Name"`
	}
	letForm struct {
		Name  lexer.Token `parser:"'let' @Name"`
		Is    string      `parser:"@'='"`
		Value expression  `parser:"@@"`
	}
	funcForm struct {
		Name   lexer.Token `parser:"'fn' @Name"`
		Params paramList   `parser:"@@"`
		Is     string      `parser:"( @'='"`
		Result expression  `parser:"@@"`
		Body   block       `parser:"| @@ )"`
	}
	figureForm struct {
		Name   lexer.Token `parser:"'figure' @Name"`
		Params paramList   `parser:"@@"`
		Body   block       `parser:"@@"`
	}
	paramList struct {
		Open   string  `parser:"@'('"`
		Params []param `parser:"( @@ ( ',' @@ )* ','? )?"`
		Close  string  `parser:"@')'"`
	}
	param struct {
		Name    lexer.Token `parser:"@Name"`
		Is      string      `parser:"( @'='"`
		Default expression  `parser:"@@ )?"`
	}
	repeatForm struct {
		Count expression `parser:"'loop' @@"`
		Body  block      `parser:"@@"`
	}
	loopInForm struct {
		First  lexer.Token `parser:"'loop' @Name"`
		Second lexer.Token `parser:"( ',' @Name )?"`
		Values expression  `parser:"'in' @@"`
		Body   block       `parser:"@@"`
	}
	loopWhileForm struct {
		Cond condition `parser:"'loop' 'while' @@"`
		Body block     `parser:"@@"`
	}
	ifForm struct {
		Cond    condition    `parser:"'if' @@"`
		Then    block        `parser:"@@"`
		ElseIfs []elseIfForm `parser:"@@*"`
		Else    block        `parser:"( 'else' @@ )?"`
	}
	elseIfForm struct {
		Else lexer.Token `parser:"@'else'"`
		If   lexer.Token `parser:"@'if'"`
		Cond condition   `parser:"@@"`
		Then block       `parser:"@@"`
	}
	returnForm struct {
		Value optional `parser:"'return' @@?"`
	}
	drawForm struct {
		Path expression `parser:"'draw' @@"`
		At   expression `parser:"( 'at' @@ )?"`
	}
	branchForm struct {
		Body block `parser:"'branch' @@"`
	}
	statementForm interface{ form() }
)

func (useForm) form()       {}
func (letForm) form()       {}
func (funcForm) form()      {}
func (figureForm) form()    {}
func (repeatForm) form()    {}
func (loopInForm) form()    {}
func (loopWhileForm) form() {}
func (ifForm) form()        {}
func (returnForm) form()    {}
func (drawForm) form()      {}
func (branchForm) form()    {}

// grammar is the built grammar, one parser a statement, over functions that
// work on one session at a time.
type grammar struct {
	session

	use       *participle.Parser[useForm]
	let       *participle.Parser[letForm]
	function  *participle.Parser[funcForm]
	figure    *participle.Parser[figureForm]
	repeat    *participle.Parser[repeatForm]
	loopIn    *participle.Parser[loopInForm]
	loopWhile *participle.Parser[loopWhileForm]
	ifElse    *participle.Parser[ifForm]
	giveBack  *participle.Parser[returnForm]
	draw      *participle.Parser[drawForm]
	branch    *participle.Parser[branchForm]
	params    *participle.Parser[paramList]
}

func newGrammar() *grammar {
	g := &grammar{}
	all := participle.MustBuild[statementForm](
		participle.Lexer(definition{}),
		participle.Union[statementForm](useForm{}, letForm{}, funcForm{}, figureForm{}, loopWhileForm{}, loopInForm{},
			repeatForm{}, ifForm{}, returnForm{}, drawForm{}, branchForm{}),
		participle.ParseTypeWith(g.expression),
		participle.ParseTypeWith(g.optional),
		participle.ParseTypeWith(g.condition),
		participle.ParseTypeWith(g.quoted),
		participle.ParseTypeWith(g.block),
	)
	g.use = production[useForm](all)
	g.let = production[letForm](all)
	g.function = production[funcForm](all)
	g.figure = production[figureForm](all)
	g.repeat = production[repeatForm](all)
	g.loopIn = production[loopInForm](all)
	g.loopWhile = production[loopWhileForm](all)
	g.ifElse = production[ifForm](all)
	g.giveBack = production[returnForm](all)
	g.draw = production[drawForm](all)
	g.branch = production[branchForm](all)
	g.params = production[paramList](all)
	return g
}

func production[P any](all *participle.Parser[statementForm]) *participle.Parser[P] {
	p, err := participle.ParserForProduction[P](all)
	if err != nil {
		panic(err) // the grammar above lacks a production it names
	}
	return p
}

// The functions below are how the grammar calls the session: participle hands
// them its place in the tokens, and takes it back where they stopped.

func (g *grammar) expression(lex *lexer.PeekingLexer) (expression, error) {
	return within(g, lex, g.expr)
}

func (g *grammar) condition(lex *lexer.PeekingLexer) (condition, error) {
	return within(g, lex, g.condExpr)
}

func (g *grammar) optional(lex *lexer.PeekingLexer) (optional, error) {
	switch g.tokens[g.index(lex)].kind {
	case kindEnd, kindBlockClose, kindEOF, kindInsertClose:
		return nil, participle.NextMatch
	}
	return within(g, lex, g.expr)
}

func (g *grammar) quoted(lex *lexer.PeekingLexer) (quoted, error) {
	if g.tokens[g.index(lex)].kind != kindTextOpen {
		return nil, participle.NextMatch
	}
	return within(g, lex, func() ast.Expr { return g.textLit() })
}

func (g *grammar) block(lex *lexer.PeekingLexer) (block, error) {
	if g.tokens[g.index(lex)].kind != kindBlockOpen {
		return nil, participle.NextMatch
	}
	return within(g, lex, func() ast.Node { return g.braces() })
}

func within[T any](g *grammar, lex *lexer.PeekingLexer, read func() T) (T, error) {
	start := g.index(lex)
	g.at = start
	node := read()
	if g.at > start {
		lex.FastForward(lexer.RawCursor(g.at - g.peekFrom - 1))
	}
	return node, nil
}

// index is the index of the token that participle reads next.
func (g *grammar) index(lex *lexer.PeekingLexer) int { return g.peekFrom + int(lex.RawCursor()) }
