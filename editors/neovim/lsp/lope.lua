-- The language server. To change something, say it in vim.lsp.config('lope', { ... }).
return {
  cmd = { 'lope', 'lsp' },
  filetypes = { 'lope' },
  -- The root of a book; a tune outside of any is served by itself.
  root_markers = { 'lope.toml' },
}
