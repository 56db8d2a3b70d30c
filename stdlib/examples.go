package stdlib

// exampleFiles are the files that examples name.
var exampleFiles = map[string]string{
	"flowers.wend": `# Flowers that stand on a stem and face up.
figure tulip(height) {
  branch { turn 40; arc height * 0.6, 60 }
  ahead height
  loop 3 { arc height * 0.3, 70; turn 50 }
}
`,
	"walk.csv": `minute,x,y,place
0,20,30,gate
4,45,62,oak
9,70,48,pond
15,96,70,hill
22,120,40,gate
`,
}

// ExampleFile is the content of a file that an example of the reference names.
func ExampleFile(name string) (string, bool) {
	text, ok := exampleFiles[name]
	return text, ok
}
