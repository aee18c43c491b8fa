if vim.fn.has('nvim-0.11') == 0 then
  vim.notify('Lope needs Neovim 0.11 or newer', vim.log.levels.WARN)
  return
end

vim.lsp.enable('lope')

-- On Linux, Neovim does not watch files for a server; so it is told here when a book's settings are saved.
vim.api.nvim_create_autocmd('BufWritePost', {
  pattern = 'lope.toml',
  group = vim.api.nvim_create_augroup('lope', {}),
  callback = function(event)
    local changed = vim.lsp.protocol.FileChangeType.Changed
    for _, client in ipairs(vim.lsp.get_clients({ name = 'lope' })) do
      client:notify('workspace/didChangeWatchedFiles', {
        changes = { { uri = vim.uri_from_bufnr(event.buf), type = changed } },
      })
    end
  end,
})

-- Every mend in the file that keeps each pitch and each time.
vim.api.nvim_create_user_command('LopeMend', function()
  vim.lsp.buf.code_action({ context = { only = { 'source.fixAll.lope' }, diagnostics = {} }, apply = true })
end, { desc = 'Mend all that keeps the music' })

-- A rule's page: of the rule that is named, or of the one found in the cursor's line.
vim.api.nvim_create_user_command('LopeRule', function(command)
  local found = vim.diagnostic.get(0, { lnum = vim.fn.line('.') - 1 })[1]
  local rule = command.fargs[1] or (found and found.code)
  -- Without a rule, the list of them all.
  local program = vim.lsp.config.lope.cmd[1]
  local said = vim.system({ program, 'rule', rule }, { text = true }):wait()
  local text = said.code == 0 and said.stdout or said.stderr
  vim.lsp.util.open_floating_preview(vim.split(vim.trim(text), '\n'), 'text', { border = 'rounded', focus_id = 'lope-rule' })
end, { nargs = '?', desc = "Show a rule's page" })
