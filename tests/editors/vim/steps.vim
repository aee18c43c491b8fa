" What a player does in Vim with ALE, step by step.
" Run as: vim -n -N -e -s -u steps.vim, with LOPE_PLUGIN, LOPE and LOPE_TUNE set.
" Prints one JSON object with what was seen at each step.

let s:seen = {}
let s:answers = []

function! s:Wait(what, ready) abort
  let l:start = reltime()
  while !eval(a:ready)
    if reltimefloat(reltime(l:start)) > 30
      throw 'waited in vain for ' . a:what
    endif
    sleep 20m
  endwhile
endfunction

function! s:Found(rule) abort
  let l:all = copy(get(get(g:ale_buffer_info, bufnr(''), {}), 'loclist', []))
  return filter(l:all, 'get(v:val, "code", "") is# a:rule')
endfunction

function! s:Walk() abort
  " Questions on the screen are answered as by a player.
  runtime autoload/ale/util.vim
  function! ale#util#Input(message, ...) abort
    return remove(s:answers, 0)
  endfunction
  " A script cannot wait in insert mode, without which ALE drops completions.
  function! ale#util#Mode(...) abort
    return 'i'
  endfunction

  execute 'edit' fnameescape($LOPE_TUNE)
  call s:Wait('a finding', '!empty(s:Found("off-strike"))')
  let l:finding = s:Found('off-strike')[0]
  let l:row = l:finding.lnum
  let s:seen.finding = {'line': l:row - 1, 'message': l:finding.text, 'count': len(s:Found('off-strike'))}
  call cursor(l:row, l:finding.col)
  let s:seen.colours = synIDattr(synID(l:row, l:finding.col, 1), 'name')

  ALEHover
  call s:Wait('the hover', 'bufnr("ALEPreviewWindow") > 0')
  let s:seen.hover = join(getbufline(bufnr('ALEPreviewWindow'), 1, '$'), "\n")
  pclose

  let l:before = getline(l:row)
  call add(s:answers, '1')
  ALECodeAction
  call s:Wait('the mend', 'getline(' . l:row . ') isnot# ' . string(l:before))
  let s:seen.mended = getline(l:row)
  " Vim tells of a changed text when it waits for a key, which it does not do here.
  doautocmd TextChanged
  call s:Wait('the finding to go', 'len(s:Found("off-strike")) == 1')
  let s:seen.count_mended = len(s:Found('off-strike'))

  " Begin the line anew with the call of a phrase, and ask what may follow.
  call setline(l:row, '| @')
  call cursor(l:row, 4)
  let l:start = call(&omnifunc, [1, ''])
  call s:Wait('completions', 'ale#completion#GetCompletionResult() isnot v:null')
  let s:seen.completions = map(copy(ale#completion#GetCompletionResult()), 'v:val.word')
  if l:start != 2
    throw 'a completion would replace the text from column ' . l:start
  endif

  " Crowd the mended line, and have the editor tidy.
  let l:crowded = substitute(s:seen.mended, '\s\+', ' ', 'g')
  call setline(l:row, l:crowded)
  ALEFix
  call s:Wait('the tidy line', 'getline(' . l:row . ') isnot# ' . string(l:crowded))
  let s:seen.formatted = getline(l:row)

  call search('@turn', 'cw')
  call cursor(line('.'), col('.') + 1)
  call add(s:answers, 'landing')
  ALERename
  call s:Wait('the new name', 'search("phrase landing", "nw") > 0')
  let s:seen.renamed = filter(getline(1, '$'), 'v:val =~# "turn\\|landing"')

  write
  execute 'split' fnameescape(fnamemodify($LOPE_TUNE, ':h') . '/lope.toml')
  call setline(1, ['[rules]', 'off-strike = "off"'])
  write
  close
  call s:Wait('the rule to be off', 'empty(s:Found("off-strike"))')
  let s:seen.count_configured = len(s:Found('off-strike'))

  bdelete
  ALEStopAllLSPs
  call s:Wait('the server to leave', 'empty(ale#lsp#GetConnections())')
  let s:seen.closed = v:true
  call writefile([json_encode(s:seen)], '/dev/stdout')
endfunction

function! s:Start() abort
  try
    call s:Walk()
    qall!
  catch
    call writefile([v:exception . ' at ' . v:throwpoint, json_encode(s:seen)], '/dev/stderr')
    cquit!
  endtry
endfunction

" What a player has in .vimrc.
set nomore shortmess+=AI virtualedit=onemore
let &runtimepath .= ',' . $LOPE_PLUGIN . ',/usr/share/vim-ale'
let g:ale_lope_executable = $LOPE
let g:ale_hover_to_preview = 1
filetype plugin on
syntax on
autocmd VimEnter * ++nested call s:Start()
