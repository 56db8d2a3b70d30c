package check

import (
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
)

// module is a Module while it is checked.
type module struct {
	*Module
	main  bool
	theme bool // of the library: its warnings are not the person's
	scope *scope
	uses  []*module // in order, for the order in which modules run
	self  *Object   // what a theme's name stands for
	// unknown are the names that were reported as unknown in this file.
	unknown map[string]bool
	// gone are the variables of blocks and loops that have ended, by name.
	gone map[string]*Object
}

func (c *checker) addMain(file *ast.File) *module {
	file = c.applySettings(file)
	m := c.newModule("", file)
	m.main = true
	c.modules[sameFile(file.Source)] = m
	c.load(m)
	return m
}

// sameFile is what two sources of one file have in common.
func sameFile(s *source.File) string { return filepath.Clean(s.Name) }

func (c *checker) newModule(name string, file *ast.File) *module {
	m := &module{Module: &Module{Name: name, File: file, Members: map[string]*Object{}}, unknown: map[string]bool{}, gone: map[string]*Object{}}
	m.Body = &Body{Node: file}
	c.program.Bodies[file] = m.Body
	m.scope = &scope{names: map[string]*Object{}}
	return m
}

// load collects the names of a file and those of the files it uses.
func (c *checker) load(m *module) {
	c.loading = append(c.loading, m)
	c.pending = append(c.pending, m)
	for _, stmt := range m.File.Body {
		switch s := stmt.(type) {
		case *ast.Use:
			obj := &Object{Kind: ModuleRef, Name: s.Name.Name, Place: s.Name.Span}
			if used := c.use(m, s); used != nil {
				obj.Module = used.Module
				m.uses = append(m.uses, used)
			}
			c.program.Defs[s] = obj
			if c.define(m, stmt, obj) && !m.theme {
				c.uses = append(c.uses, obj)
			}
		case *ast.FuncDef:
			obj := &Object{Kind: Function, Name: s.Name.Name, Place: s.Name.Span, Def: s, Module: m.Module}
			c.program.Defs[s] = obj
			c.define(m, stmt, obj)
		case *ast.FigureDef:
			obj := &Object{Kind: Figure, Name: s.Name.Name, Place: s.Name.Span, Def: s, Module: m.Module}
			c.program.Defs[s] = obj
			c.define(m, stmt, obj)
		case *ast.Let:
			obj := &Object{Kind: Variable, Name: s.Name.Name, Place: s.Name.Span, Body: m.Body, Global: true, Module: m.Module}
			if c.define(m, stmt, obj) {
				c.program.Defs[s] = obj
				m.Body.Vars = append(m.Body.Vars, obj)
			} else if first := m.Members[s.Name.Name]; first != nil && first.Kind == Variable {
				c.program.Defs[s] = first
			}
		}
	}
	c.loading = c.loading[:len(c.loading)-1]
}

// define gives a file-scope name its object; false if the name is taken.
func (c *checker) define(m *module, stmt ast.Stmt, obj *Object) bool {
	if obj.Name == "" {
		return false // it could not be read, which was reported
	}
	if first := m.scope.names[obj.Name]; first != nil {
		d := diag.New("defined-twice", obj.Place, diag.Args{"name": obj.Name}).WithRelated(first.Place, "the other definition")
		if let, ok := stmt.(*ast.Let); ok && first.Kind == Variable {
			d = removeLet(d, let, true)
		}
		c.report(stmt, d)
		return false
	}
	m.scope.names[obj.Name] = obj
	if obj.Kind != ModuleRef {
		m.Members[obj.Name] = obj
	}
	if !m.theme {
		c.warnMixedScripts(obj.Name, obj.Place)
	}
	return true
}

// removeLet offers to make an assignment of a let.
func removeLet(d diag.Diagnostic, let *ast.Let, certain bool) diag.Diagnostic {
	d.Hint = "to change the variable, leave out `let`; for a second variable, choose another name"
	return d.WithEdit(source.Span{File: let.Span.File, Start: let.Span.Start, End: let.Name.Span.Start}, "", certain)
}

// use finds the module of a used file, or reports why there is none.
func (c *checker) use(from *module, s *ast.Use) *module {
	path, plain := fixedText(s.Path)
	if !plain {
		return nil // reported when the file was read
	}
	if !strings.HasPrefix(s.Path.Span.Text(), "\"") {
		// That it is no file in quotes was reported; a theme is meant as it stands.
		return c.theme(path, from)
	}
	if c.opts.Load == nil {
		c.report(s, diag.New("use-unavailable", s.Path.Span, nil))
		return nil
	}
	file, list := c.opts.Load(s.Span.File, path)
	if file == nil {
		c.failed[s] = true
		c.reportLoading(s, list)
		return nil
	}
	key := sameFile(file.Source)
	m := c.modules[key]
	if m == nil {
		c.unread(list)
		c.reportLoading(s, list)
		m = c.newModule(s.Name.Name, file)
		c.modules[key] = m
		c.load(m)
		return m
	}
	at := slices.Index(c.loading, m)
	if at < 0 {
		return m
	}
	var way []string
	for _, on := range c.loading[at:] {
		way = append(way, on.File.Source.Name)
	}
	way = append(way, m.File.Source.Name)
	c.report(s, diag.New("use-cycle", s.Path.Span, diag.Args{"file": path}).
		WithHint("the circle is %s: move what both need into a third file", strings.Join(way, " → ")))
	return nil
}

// reportLoading hands on what loading a file had to say.
func (c *checker) reportLoading(s *ast.Use, list diag.List) {
	for _, d := range list {
		if !d.Span.Known() {
			d.Span = s.Path.Span
		}
		c.diags = append(c.diags, d)
	}
}

// theme is the module of a theme of the library, loaded when it is first named.
func (c *checker) theme(name string, by *module) *module {
	m, known := c.themes[name]
	if !known {
		if c.opts.Module != nil {
			if file := c.opts.Module(name); file != nil {
				m = c.newModule(name, file)
				m.theme = true
			}
		}
		c.themes[name] = m
		if m != nil {
			c.load(m)
		}
	}
	if m != nil && !slices.Contains(by.uses, m) {
		by.uses = append(by.uses, m)
	}
	return m
}

// ordered is every module after those it uses. Themes may name each other, so
// each is entered once, whatever the way to it.
func (c *checker) ordered(main *module) []*Module {
	var order []*Module
	entered := map[*module]bool{}
	var visit func(m *module)
	visit = func(m *module) {
		if entered[m] {
			return
		}
		entered[m] = true
		for _, used := range m.uses {
			visit(used)
		}
		order = append(order, m.Module)
	}
	visit(main)
	return order
}

// mostListed is how many names a hint lists.
const mostListed = 8

// applySettings puts the values of Options.Set in the place of those that the
// file gives its variables. The file's own tree stays as it is.
func (c *checker) applySettings(file *ast.File) *ast.File {
	if len(c.opts.Set) == 0 {
		return file
	}
	changed := *file
	changed.Body = slices.Clone(file.Body)
	var known []string
	found := map[string]bool{}
	for i, stmt := range changed.Body {
		let, ok := stmt.(*ast.Let)
		if !ok {
			continue
		}
		known = append(known, let.Name.Name)
		if set := c.opts.Set[let.Name.Name]; set != nil && !found[let.Name.Name] {
			found[let.Name.Name] = true
			replaced := *let
			replaced.Value = set.Value
			changed.Body[i] = &replaced
		}
	}
	for _, name := range slices.Sorted(maps.Keys(c.opts.Set)) {
		if !found[name] {
			d := diag.New("unknown-setting", c.opts.Set[name].Name.Span, diag.Args{"name": name})
			if len(known) > 0 && len(known) <= mostListed {
				d.Hint = "those that can be set: " + joinWith(quoted(known), "and")
			}
			c.report(nil, suggest(d, diag.Nearest(name, known, maxSuggestions)))
		}
	}
	return &changed
}
