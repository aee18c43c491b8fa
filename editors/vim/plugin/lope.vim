if exists('g:loaded_lope')
  finish
endif
let g:loaded_lope = 1

" ALE does not tell a server of files that change: so this tells it when a book's settings are saved.
function! s:SettingsChanged() abort
  if !exists('*ale#lsp_linter#SendRequest')
    return
  endif
  let l:changed = {'changes': [{'uri': ale#util#ToURI(expand('<afile>:p')), 'type': 2}]}
  for l:buffer in filter(range(1, bufnr('$')), 'getbufvar(v:val, "&filetype") is# "lope"')
    call ale#lsp_linter#SendRequest(l:buffer, 'lope', [1, 'workspace/didChangeWatchedFiles', l:changed])
  endfor
endfunction

augroup lope
  autocmd!
  autocmd BufWritePost lope.toml call s:SettingsChanged()
augroup END
