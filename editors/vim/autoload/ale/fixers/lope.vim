" Tidies a tune by way of ALE: `lope tidy` reads it and writes it back, changing blanks alone.

function! ale#fixers#lope#Fix(buffer) abort
  let l:program = ale#Escape(ale#Var(a:buffer, 'lope_executable'))
  return {'command': l:program . ' tidy --name %s -'}
endfunction
