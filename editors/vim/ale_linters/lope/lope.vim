" The language server, by way of ALE: findings, mends, completion, hover, names.

call ale#Set('lope_executable', 'lope')

function! ale_linters#lope#lope#Root(buffer) abort
  let l:settings = ale#path#FindNearestFile(a:buffer, 'lope.toml')
  return empty(l:settings) ? expand('#' . a:buffer . ':p:h') : fnamemodify(l:settings, ':h')
endfunction

call ale#linter#Define('lope', {
\   'name': 'lope',
\   'lsp': 'stdio',
\   'executable': {buffer -> ale#Var(buffer, 'lope_executable')},
\   'command': '%e lsp',
\   'project_root': function('ale_linters#lope#lope#Root'),
\})
