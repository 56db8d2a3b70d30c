-- Drawings in wend: comments, indentation, colours and folds from tree-sitter where
-- its grammar is there, and all that `wend language-server` knows.
vim.bo.commentstring = '# %s'
vim.bo.comments = 'b:#'
vim.bo.expandtab = true
vim.bo.shiftwidth = 2
vim.bo.softtabstop = 2
vim.bo.indentexpr = "v:lua.require'wend.indent'.of(v:lnum)"
vim.bo.indentkeys = '0},0],0),!^F,o,O'

if pcall(vim.treesitter.start) then
  vim.wo.foldmethod = 'expr'
  vim.wo.foldexpr = 'v:lua.vim.treesitter.foldexpr()'
  vim.wo.foldenable = false
end

vim.lsp.start({
  name = 'wend',
  cmd = vim.g.wend_command or { 'wend', 'language-server' },
  root_dir = vim.fs.dirname(vim.api.nvim_buf_get_name(0)),
  init_options = { inlayHints = vim.g.wend_inlay_hints or false },
})
