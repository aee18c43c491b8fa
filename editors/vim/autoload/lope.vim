" Completes by way of ALE. Its own function takes a word to be letters; here `@turn`, `2:1` and `off-strike` are.
function! lope#Complete(findstart, base) abort
  if !a:findstart
    return ale#completion#OmniFunc(0, a:base)
  endif
  let l:before = strpart(getline('.'), 0, col('.') - 1)
  let l:word = matchstr(l:before, '[^[:blank:]|{}\[\]"<>#%]*$')
  let l:started = ale#completion#GetCompletions('ale-omnifunc', {'prefix': l:word})
  " Without a server, nothing is said.
  return l:started ? strlen(l:before) - strlen(l:word) : -3
endfunction
