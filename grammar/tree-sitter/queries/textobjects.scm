; Editors call the two sides of an object `outer` and `inner`, or `around` and `inside`; both are here.
; The names are those that editors have keys for: what follows is how a tune fits into them.

; A tune
(tune) @class.outer @class.around
(tune (_) @class.inner @class.inside)

; A part, phrase, melody or ending, and the music in it
[
  (part)
  (phrase)
  (melody)
  (ending)
] @function.outer @function.around
(part [(bar_line) (bar) (field) (ending)] @function.inner @function.inside)
(melody [(bar_line) (bar) (field) (ending)] @function.inner @function.inside)
(phrase [(bar_line) (bar) (field)] @function.inner @function.inside)
(ending [(bar_line) (bar) (field)] @function.inner @function.inside)

; A bar. No node may have more than three captures in one pattern.
(bar) @block.outer @block.inner
(bar) @entry.around @entry.inside

; A slot
[
  (note)
  (pitch)
  (brush)
  (brace)
  (hold)
  (silence)
] @parameter.outer @parameter.inner
[
  (note)
  (pitch)
  (brush)
  (brace)
  (hold)
  (silence)
] @parameter.around @parameter.inside

(comment) @comment.outer @comment.inner
(comment) @comment.around @comment.inside
