-- What a player does in Neovim, step by step: open a tune of the demo book, see a finding, ask about it,
-- put it right, tidy. Run as: nvim --headless -u NONE -l steps.lua LOPE TUNE
-- Prints one JSON object with what was seen at each step.
local lope, tune = unpack(_G.arg)
local seen = {}

local function wait(what, ready)
  if not vim.wait(20000, ready, 20) then
    error('waited in vain for ' .. what)
  end
end

local function lines()
  return vim.api.nvim_buf_get_lines(0, 0, -1, false)
end

local function findings_of(rule)
  return vim.tbl_filter(function(finding)
    return finding.code == rule
  end, vim.diagnostic.get(0))
end

-- The configuration that `lope start` prints.
vim.cmd('filetype on')
vim.filetype.add({ extension = { lope = 'lope' } })
vim.lsp.config('lope', { cmd = { lope, 'lsp' }, filetypes = { 'lope' }, root_markers = { 'lope.toml' } })
vim.lsp.enable('lope')
vim.cmd.edit(tune)

wait('a finding', function()
  return findings_of('off-strike')[1]
end)
local finding = findings_of('off-strike')[1]
seen.finding = { line = finding.lnum, column = finding.col, message = finding.message, count = #findings_of('off-strike') }
seen.line_before = lines()[finding.lnum + 1]

vim.api.nvim_win_set_cursor(0, { finding.lnum + 1, finding.col })
local position = vim.lsp.util.make_position_params(0, 'utf-16')
local answers = vim.lsp.buf_request_sync(0, 'textDocument/hover', position, 20000)
for _, answer in pairs(answers) do
  seen.hover = answer.result.contents.value
end

vim.lsp.buf.code_action({
  context = { only = { 'quickfix' }, diagnostics = { finding.user_data.lsp } },
  filter = function(action)
    return action.isPreferred
  end,
  apply = true,
})
wait('the mend', function()
  return lines()[finding.lnum + 1] ~= seen.line_before
end)
seen.line_after = lines()[finding.lnum + 1]
wait('the finding to go', function()
  return #findings_of('off-strike') < seen.finding.count
end)
seen.count_after = #findings_of('off-strike')

-- Crowd the mended line, and have the editor format.
local crowded = seen.line_after:gsub('%s+', ' ')
vim.api.nvim_buf_set_lines(0, finding.lnum, finding.lnum + 1, false, { crowded })
vim.lsp.buf.format({ timeout_ms = 20000 })
seen.line_formatted = lines()[finding.lnum + 1]

local client = vim.lsp.get_clients({ bufnr = 0 })[1]
client:stop()
wait('the server to leave', function()
  return client:is_stopped()
end)
io.stdout:write(vim.json.encode(seen))
