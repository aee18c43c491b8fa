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

" With ALE: Tab-like completion by its server, and mends and tidying by command.
if exists(':ALEFix') == 2
  setlocal omnifunc=ale#completion#OmniFunc
  let b:undo_ftplugin .= ' omnifunc<'
endif
