package paraphrase

// isKind reports whether a word is the name of a kind of value elsewhere.
func isKind(word string) bool {
	switch word {
	case "int", "float", "double", "number", "string", "str", "bool", "boolean", "auto", "long", "short", "char", "byte", "void", "i32", "i64", "u32", "u64", "f32", "f64", "usize", "isize", "any",
		"Int", "Integer", "Double", "Float", "String", "Number", "Bool", "Boolean", "Long", "Single", "Any", "Variant":
		return true
	}
	return false
}
