-- What a player does in Neovim, step by step.
-- Run as: nvim --headless -u NONE -l steps.lua PLUGIN PARSER LOPE TUNE, with a folder that holds parser/lope.so.
-- Prints one JSON object with what was seen at each step.
local plugin, parser, lope, tune = unpack(_G.arg)
local seen = {}

local function wait(what, ready)
  if not vim.wait(30000, ready, 20) then
    error('waited in vain for ' .. what)
  end
end

local function lines()
  return vim.api.nvim_buf_get_lines(0, 0, -1, false)
end

local function found(rule)
  local findings = vim.tbl_filter(function(finding)
    return finding.code == rule
  end, vim.diagnostic.get(0))
  table.sort(findings, function(a, b)
    return a.lnum < b.lnum
  end)
  return findings
end

local function ask(method, params)
  for _, answer in pairs(assert(vim.lsp.buf_request_sync(0, method, params, 30000))) do
    return answer.result
  end
end

-- What a player has in init.lua; the plugins of the runtime path are loaded as at a start.
vim.opt.runtimepath:append({ plugin, parser })
vim.lsp.config('lope', { cmd = { lope, 'lsp' } })
vim.cmd('filetype plugin on')
vim.cmd('syntax on')
vim.cmd('runtime! ftdetect/lope.lua plugin/lope.lua')
vim.cmd.edit(tune)

wait('a finding', function()
  return found('off-strike')[1]
end)
local finding = found('off-strike')[1]
local row = finding.lnum
seen.finding = { line = row, message = finding.message, count = #found('off-strike') }

-- The grammar colours the note that was found: a hammer-on.
vim.treesitter.get_parser(0):parse()
seen.colours = vim.tbl_map(function(capture)
  return capture.capture
end, vim.treesitter.get_captures_at_pos(0, row, finding.col))

vim.api.nvim_win_set_cursor(0, { row + 1, finding.col })
seen.hover = ask('textDocument/hover', vim.lsp.util.make_position_params(0, 'utf-16')).contents.value

local before = lines()[row + 1]
vim.lsp.buf.code_action({
  context = { only = { 'quickfix' }, diagnostics = { finding.user_data.lsp } },
  filter = function(action)
    return action.isPreferred
  end,
  apply = true,
})
wait('the mend', function()
  return lines()[row + 1] ~= before
end)
seen.mended = lines()[row + 1]
wait('the finding to go', function()
  return #found('off-strike') < seen.finding.count
end)
seen.count_mended = #found('off-strike')

-- Begin the line anew with the call of a phrase, and ask what may follow.
vim.api.nvim_buf_set_lines(0, row, row + 1, false, { '| @' })
vim.api.nvim_win_set_cursor(0, { row + 1, 3 })
local list = ask('textDocument/completion', vim.lsp.util.make_position_params(0, 'utf-16'))
seen.completions = vim.tbl_map(function(item)
  return item.label
end, list.items or list)

-- Crowd the mended line, and have the editor format.
vim.api.nvim_buf_set_lines(0, row, row + 1, false, { (seen.mended:gsub('%s+', ' ')) })
vim.lsp.buf.format({ timeout_ms = 30000 })
seen.formatted = lines()[row + 1]

local call = vim.fn.searchpos('@turn', 'cw')
vim.api.nvim_win_set_cursor(0, { call[1], call[2] })
vim.lsp.buf.rename('landing')
wait('the new name', function()
  return vim.fn.search('phrase landing', 'nw') > 0
end)
seen.renamed = vim.tbl_filter(function(line)
  return line:find('turn') or line:find('landing')
end, lines())

-- The book's settings change, in this editor.
vim.cmd.write()
vim.cmd.split(vim.fs.joinpath(vim.fs.dirname(tune), 'lope.toml'))
vim.api.nvim_buf_set_lines(0, 0, -1, false, { '[rules]', 'off-strike = "off"' })
vim.cmd.write()
vim.cmd.close()
wait('the rule to be off', function()
  return #found('off-strike') == 0
end)
seen.count_configured = #found('off-strike')

local client = vim.lsp.get_clients({ bufnr = 0 })[1]
vim.cmd.bdelete()
client:stop()
wait('the server to leave', function()
  return client:is_stopped()
end)
seen.closed = true
io.stdout:write(vim.json.encode(seen))
