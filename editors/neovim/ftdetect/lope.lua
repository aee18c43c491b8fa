vim.filetype.add({ extension = { lope = 'lope' } })
