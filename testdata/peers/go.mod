module peers

go 1.26.0

require (
	github.com/d5/tengo/v2 v2.17.0
	github.com/dop251/goja v0.0.0-20260917113740-793a2a65c13b
	github.com/stretchr/testify v1.12.1
	github.com/tree-sitter/go-tree-sitter v0.25.0
	github.com/yuin/gopher-lua v1.1.2
	go.starlark.net v0.0.0-20260908191801-89a6a09411d5
	wend v0.0.0
)

require (
	github.com/alecthomas/participle/v2 v2.1.4 // indirect
	github.com/dlclark/regexp2/v2 v2.5.2 // indirect
	github.com/go-sourcemap/sourcemap v2.1.3+incompatible // indirect
	github.com/google/pprof v0.0.0-20230207041349-798e818bf904 // indirect
	github.com/mattn/go-pointer v0.0.1 // indirect
	github.com/rivo/uniseg v0.4.7 // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/image v0.47.0 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/text v0.44.0 // indirect
)

replace wend => ../..
