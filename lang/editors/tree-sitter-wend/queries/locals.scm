; Where names are known.
[(program) (block) (function_definition) (figure_definition) (loop) (function) (curve)] @local.scope
(let name: (name) @local.definition.var)
(use name: (name) @local.definition.import)
(function_definition name: (name) @local.definition.function)
(figure_definition name: (name) @local.definition.function)
(parameter name: (name) @local.definition.parameter)
(loop count: (name) @local.definition.var)
(loop variable: (name) @local.definition.var)
(curve variable: (name) @local.definition.var)
(name) @local.reference
