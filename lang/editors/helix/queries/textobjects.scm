(function_definition body: (_) @function.inside) @function.around
(figure_definition body: (_) @function.inside) @function.around
(parameter) @parameter.inside
(parameters (_) @parameter.inside)
(arguments (_) @parameter.inside)
(comment) @comment.inside
(comment)+ @comment.around
