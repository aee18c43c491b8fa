" Colours for tunes. What stands later in this file wins where two could begin at one place.

if exists('b:current_syntax')
  finish
endif
let s:save = &cpoptions
set cpoptions&vim

" Music
syntax match lopeUnknown  /[^[:blank:]|{}\[\]"<#]\+/
syntax match lopeHold     /-/
syntax match lopeSilence  /_/
syntax match lopeMark     /[!~^]\|\/[imrp]/
syntax match lopeOver     /\/\d\+/
syntax match lopeStrike   /\d\+:\d\+/
syntax match lopeThumb    /t\%(\d\+:\d\+\|\d\@!\)/
syntax match lopeSlur     /[hps]\d\+\%(:\d\+\)\=/
syntax match lopeBar      /|/
syntax match lopeBarAgain /%/
syntax match lopeCall     /@[^[:blank:]|{}\[\]"<>@#%]\+/
syntax match lopeTogether /[][{}]/
syntax match lopeChord    /<[^<>|]*>/
syntax match lopeWords    /"[^"]*"/

" Lines
syntax match lopePart     /^\s*part\>/ nextgroup=lopePartName skipwhite
syntax match lopePhrase   /^\s*phrase\>/ nextgroup=lopePhraseName skipwhite
syntax match lopeEnding   /^\s*ending\>/ nextgroup=lopeTimes skipwhite
syntax match lopePartName   /[^[:blank:]|{}\[\]"<>@#%]\+/ contained nextgroup=lopeTimes skipwhite
syntax match lopePhraseName /[^[:blank:]|{}\[\]"<>@#%]\+/ contained
syntax match lopeTimes      /x\=\d[0-9,]*/ contained
syntax match lopeField      /^\s*\a[A-Za-z0-9_-]*\s*:/ nextgroup=lopeText skipwhite
syntax match lopeTitle      /^\s*tune\s*:/ nextgroup=lopeTitleText skipwhite
" A hash starts a comment only after a blank: `tuning: f#DF#AD` holds none.
syntax match lopeText       /[^[:blank:]#]\S*\%(\s\+[^[:blank:]#]\S*\)*/ contained
syntax match lopeTitleText  /[^[:blank:]#]\S*\%(\s\+[^[:blank:]#]\S*\)*/ contained
syntax match lopeComment    /#.*/ contains=lopeKeep
syntax match lopeKeep       /#\s*\zskeep\ze\s/ contained

highlight default link lopeUnknown Error
highlight default link lopeHold Comment
highlight default link lopeSilence Comment
highlight default link lopeMark Special
highlight default link lopeOver Operator
highlight default link lopeStrike Number
highlight default link lopeThumb Constant
highlight default link lopeSlur Function
highlight default link lopeBar Delimiter
highlight default link lopeBarAgain Keyword
highlight default link lopeCall Identifier
highlight default link lopeTogether Delimiter
highlight default link lopeChord Type
highlight default link lopeWords String
highlight default link lopePart Keyword
highlight default link lopePhrase Keyword
highlight default link lopeEnding Keyword
highlight default link lopePartName Type
highlight default link lopePhraseName Identifier
highlight default link lopeTimes Number
highlight default link lopeField Statement
highlight default link lopeTitle Statement
highlight default link lopeText String
highlight default link lopeTitleText Title
highlight default link lopeComment Comment
highlight default link lopeKeep Todo

let b:current_syntax = 'lope'
let &cpoptions = s:save
unlet s:save
