; What is coloured how, in Helix's names; the first pattern that fits counts.
; ../../tree-sitter-wend/queries/highlights.scm says the same in Neovim's. The lists of words
; are those of the table of words: `go test ./lang/editors -update`.

(comment) @comment.line
(escape) @constant.character.escape
(insert "{" @punctuation.special "}" @punctuation.special)
(text) @string
(unit) @type.builtin
(number) @constant.numeric
[(true) (false)] @constant.builtin.boolean

(function_definition name: (name) @function)
(figure_definition name: (name) @function)
(use name: (name) @namespace)
(parameter name: (name) @variable.parameter)
(named_argument name: (name) @variable.parameter)
(let name: (name) @variable)
(loop count: (name) @variable)
(loop variable: (name) @variable)
(curve variable: (name) @variable)

; words: statement function
((do callee: (name) @function.builtin) (#match? @function.builtin "^(abs|acos|ahead|along|arc|area|asin|atan2|begin|behind|bezier|ceil|centered|centroid|choose|clamp|clip|contains|contours|cos|crop|crossings|cut|data|difference|direction|distance|drawing|erase|exp|face|facing|fill|find|fit|fixed|floor|fold|follow|group|halftone|has|hatch|image|inside|intersection|join|keep|log|lower|map|max|min|mirror|mix|mod|move|names|near|nearest|noise|note|number|offset|outline|outside|pad|pause|points|polar|polyline|random|reach|resample|reverse|rotate|round|scale|seed|shade|shift|shuffle|sign|sin|smooth|sneak|sort|spline|split|spot|sqrt|sum|tan|text|text_box|tone|tour|trim|turn|union|upper|weave|zip)$"))
; words: statement function
((call callee: (name) @function.builtin) (#match? @function.builtin "^(abs|acos|ahead|along|arc|area|asin|atan2|begin|behind|bezier|ceil|centered|centroid|choose|clamp|clip|contains|contours|cos|crop|crossings|cut|data|difference|direction|distance|drawing|erase|exp|face|facing|fill|find|fit|fixed|floor|fold|follow|group|halftone|has|hatch|image|inside|intersection|join|keep|log|lower|map|max|min|mirror|mix|mod|move|names|near|nearest|noise|note|number|offset|outline|outside|pad|pause|points|polar|polyline|random|reach|resample|reverse|rotate|round|scale|seed|shade|shift|shuffle|sign|sin|smooth|sneak|sort|spline|split|spot|sqrt|sum|tan|text|text_box|tone|tour|trim|turn|union|upper|weave|zip)$"))
(do callee: (name) @function)
(call callee: (name) @function)
(do callee: (field name: (member) @function.method))
(call callee: (field name: (member) @function.method))
(member) @variable.other.member

; words: value
((name) @variable.builtin (#match? @variable.builtin "^(heading|here|page|pi)$"))
; words: statement function
((name) @function.builtin (#match? @function.builtin "^(abs|acos|ahead|along|arc|area|asin|atan2|begin|behind|bezier|ceil|centered|centroid|choose|clamp|clip|contains|contours|cos|crop|crossings|cut|data|difference|direction|distance|drawing|erase|exp|face|facing|fill|find|fit|fixed|floor|fold|follow|group|halftone|has|hatch|image|inside|intersection|join|keep|log|lower|map|max|min|mirror|mix|mod|move|names|near|nearest|noise|note|number|offset|outline|outside|pad|pause|points|polar|polyline|random|reach|resample|reverse|rotate|round|scale|seed|shade|shift|shuffle|sign|sin|smooth|sneak|sort|spline|split|spot|sqrt|sum|tan|text|text_box|tone|tour|trim|turn|union|upper|weave|zip)$"))
; words: module
((field of: (name) @namespace) (#match? @namespace "^(borders|curves|fields|fractals|knots|mazes|plants|plots|solids|tilings)$"))
(name) @variable

["let" "draw" "at" "branch" "curve" "path" "in" "by"] @keyword
[(break) (continue)] @keyword.control.repeat
["loop" "while"] @keyword.control.repeat
["if" "else"] @keyword.control.conditional
["fn" "figure"] @keyword.function
"return" @keyword.control.return
["use" "as"] @keyword.control.import
["and" "or" "not"] @keyword.operator

["=" "+=" "-=" "*=" "/=" "==" "!=" "<" "<=" ">" ">=" "+" "-" "*" "/" "^" ".."] @operator
["(" ")" "[" "]" "{" "}"] @punctuation.bracket
["," ":" "." ";"] @punctuation.delimiter
