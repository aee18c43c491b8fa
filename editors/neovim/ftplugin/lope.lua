vim.bo.commentstring = '# %s'
-- A name such as `off-strike`, and a slot such as `t2:1`, is one word.
vim.opt_local.iskeyword:append({ '-', ':' })
vim.opt_local.wrap = false
vim.b.undo_ftplugin = 'setlocal commentstring< iskeyword< wrap<'

-- Where its parser was built, the grammar colours the text; elsewhere syntax/lope.vim does.
if pcall(vim.treesitter.start) then
  vim.b.undo_ftplugin = vim.b.undo_ftplugin .. ' | lua vim.treesitter.stop()'
end
