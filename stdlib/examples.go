package stdlib

import _ "embed"

// moon is a picture made by a formula (see its test).
//
//go:embed pictures/moon.png
var moon string

// exampleFiles are the files that examples name.
var exampleFiles = map[string]string{
	"flowers.wend": `# Flowers that stand on a stem and face up.
figure tulip(height) {
  branch { turn 40; arc height * 0.6, 60 }
  ahead height
  loop 3 { arc height * 0.3, 70; turn 50 }
}
`,
	"leaf.svg": `<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="50mm" viewBox="0 0 40 50">
  <path d="M20 48 V8" fill="none" stroke="black"/>
  <path d="M20 2 C36 12 38 30 20 42 C2 30 4 12 20 2 Z" fill="#dfe8d8"/>
  <g fill="none" stroke="black">
    <path id="vein" d="M20 34 Q26 32 29 26 M20 26 Q26 24 29 18 M20 18 Q24 17 26 12"/>
    <use href="#vein" transform="matrix(-1 0 0 1 40 0)"/>
  </g>
</svg>
`,
	"moon.png": moon,
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
