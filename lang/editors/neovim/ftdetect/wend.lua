vim.filetype.add({ extension = { wend = 'wend' } })
