if exists('b:did_ftplugin')
  finish
endif
let b:did_ftplugin = 1

setlocal commentstring=#\ %s
setlocal comments=:#
setlocal nowrap
" A name such as `off-strike`, and a slot such as `t2:1`, is one word.
setlocal iskeyword+=-,:
let b:undo_ftplugin = 'setlocal commentstring< comments< wrap< iskeyword<'

" With ALE: completion by the server, and :ALEFix to tidy.
if exists(':ALEFix') == 2
  call ale#Set('lope_executable', 'lope')
  setlocal omnifunc=lope#Complete
  let b:ale_fixers = get(b:, 'ale_fixers', [function('ale#fixers#lope#Fix')])
  let b:undo_ftplugin .= ' omnifunc< | unlet! b:ale_fixers'
endif
