; What is coloured how, in the names that Neovim and the command-line tool use.
; ../../helix/queries/highlights.scm says the same in Helix's names. The lists of
; words are those of the table of words: `go test ./lang/editors -update`.

(comment) @comment @spell
(text) @string
(escape) @string.escape
(insert "{" @punctuation.special "}" @punctuation.special)
(number) @number
(unit) @type
[(true) (false)] @boolean

[(name) (member)] @variable
(member) @variable.member

; words: value
((name) @variable.builtin (#match? @variable.builtin "^(heading|here|page|pi)$"))
; words: statement function
((name) @function.builtin (#match? @function.builtin "^(abs|acos|ahead|along|arc|area|asin|atan2|begin|behind|bezier|ceil|centered|centroid|choose|clamp|clip|contains|contours|cos|crop|crossings|cut|data|difference|direction|distance|drawing|erase|exp|face|facing|fill|find|fit|fixed|floor|fold|follow|group|halftone|has|hatch|image|inside|intersection|join|keep|log|lower|map|max|min|mirror|mix|mod|move|names|near|nearest|noise|note|number|offset|outline|outside|pad|pause|points|polar|polyline|random|reach|resample|reverse|rotate|round|scale|seed|shade|shift|shuffle|sign|sin|smooth|sneak|sort|spline|split|spot|sqrt|sum|tan|text|text_box|tone|tour|trim|turn|union|upper|weave|zip)$"))
; words: module
((field of: (name) @module) (#match? @module "^(borders|curves|fields|fractals|knots|mazes|plants|plots|solids|tilings)$"))

(do callee: (name) @function.call)
(call callee: (name) @function.call)
(do callee: (field name: (member) @function.method.call))
(call callee: (field name: (member) @function.method.call))
; words: statement function
((do callee: (name) @function.builtin) (#match? @function.builtin "^(abs|acos|ahead|along|arc|area|asin|atan2|begin|behind|bezier|ceil|centered|centroid|choose|clamp|clip|contains|contours|cos|crop|crossings|cut|data|difference|direction|distance|drawing|erase|exp|face|facing|fill|find|fit|fixed|floor|fold|follow|group|halftone|has|hatch|image|inside|intersection|join|keep|log|lower|map|max|min|mirror|mix|mod|move|names|near|nearest|noise|note|number|offset|outline|outside|pad|pause|points|polar|polyline|random|reach|resample|reverse|rotate|round|scale|seed|shade|shift|shuffle|sign|sin|smooth|sneak|sort|spline|split|spot|sqrt|sum|tan|text|text_box|tone|tour|trim|turn|union|upper|weave|zip)$"))
; words: statement function
((call callee: (name) @function.builtin) (#match? @function.builtin "^(abs|acos|ahead|along|arc|area|asin|atan2|begin|behind|bezier|ceil|centered|centroid|choose|clamp|clip|contains|contours|cos|crop|crossings|cut|data|difference|direction|distance|drawing|erase|exp|face|facing|fill|find|fit|fixed|floor|fold|follow|group|halftone|has|hatch|image|inside|intersection|join|keep|log|lower|map|max|min|mirror|mix|mod|move|names|near|nearest|noise|note|number|offset|outline|outside|pad|pause|points|polar|polyline|random|reach|resample|reverse|rotate|round|scale|seed|shade|shift|shuffle|sign|sin|smooth|sneak|sort|spline|split|spot|sqrt|sum|tan|text|text_box|tone|tour|trim|turn|union|upper|weave|zip)$"))

(function_definition name: (name) @function)
(figure_definition name: (name) @function)
(use name: (name) @module)
(let name: (name) @variable)
(parameter name: (name) @variable.parameter)
(named_argument name: (name) @variable.parameter)
(loop count: (name) @variable)
(loop variable: (name) @variable)
(curve variable: (name) @variable)
(entry name: (member) @variable.member)

["let" "draw" "at" "branch" "curve" "path" "in" "by"] @keyword
(break) @keyword.repeat
(continue) @keyword.repeat
["loop" "while"] @keyword.repeat
["if" "else"] @keyword.conditional
["fn" "figure"] @keyword.function
"return" @keyword.return
["use" "as"] @keyword.import
["and" "or" "not"] @keyword.operator

["=" "+=" "-=" "*=" "/=" "==" "!=" "<" "<=" ">" ">=" "+" "-" "*" "/" "^" ".."] @operator
["(" ")" "[" "]" "{" "}"] @punctuation.bracket
["," ":" "." ";"] @punctuation.delimiter
