; Neovim, with its tree-sitter plugin: two blanks more within brackets, and for what
; stands below the line it belongs to.
[(block) (list) (record) (arguments) (parameters) (group) (point) (choice)] @indent.begin
["}" "]" ")"] @indent.branch @indent.end
(comment) @indent.ignore
(ERROR) @indent.auto
