[(block) (list) (record) (arguments) (parameters) (group) (point) (choice)] @indent
["}" "]" ")"] @outdent
