package check

import (
	"slices"

	"golang.org/x/text/unicode/norm"

	"wend/lang/types"
)

// fields is what the fields of all records of a program can hold, by name: a
// field has the kinds of all fields of that name, wherever they stand.
type fields struct {
	byName map[string]*Object
	// unnamed has the kinds of what is put into fields whose names are known
	// only while running; it may be in any of them.
	unnamed *Object
	// open says that records come in whose fields the program does not name.
	open bool
}

func newFields() fields {
	return fields{byName: map[string]*Object{}, unnamed: &Object{Kind: FieldOf}}
}

// growField adds to the kinds of a field; of any field, if its name is empty.
func (c *checker) growField(name string, by shape) {
	by.mark = by.mark.plain()
	if name == "" {
		c.grow(c.fields.unnamed, by)
		return
	}
	c.grow(c.fieldNamed(name), by)
}

func (c *checker) fieldNamed(name string) *Object {
	name = norm.NFC.String(name)
	obj := c.fields.byName[name]
	if obj == nil {
		obj = &Object{Kind: FieldOf, Name: name}
		c.fields.byName[name] = obj
	}
	return obj
}

// fieldShape is what a field can hold.
func (c *checker) fieldShape(name string) shape {
	if c.fields.open {
		return anything
	}
	return c.shapeOf(c.fieldNamed(name)).join(c.shapeOf(c.fields.unnamed))
}

// madeFields takes in the fields of the records that a word of the library makes.
func (c *checker) madeFields(b *types.Builtin) {
	for _, name := range b.Fields {
		if name == types.AnyField {
			c.fields.open = true
		} else {
			c.growField(name, anything)
		}
	}
}

// fieldNames are the names of all fields of the program's records, in order.
func (c *checker) fieldNames() []string {
	var names []string
	for name, obj := range c.fields.byName {
		if c.flow.state(obj).kinds != types.Unknown {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}
