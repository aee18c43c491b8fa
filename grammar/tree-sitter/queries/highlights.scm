; No two patterns match one node: editors differ in which of them would win.

(comment) @comment

; Fields
(field_name) @attribute
":" @punctuation.delimiter
((field
  name: (field_name) @_name
  text: (field_text) @markup.heading)
  (#eq? @_name "tune"))
((field
  name: (field_name) @_name
  text: (field_text) @string)
  (#not-eq? @_name "tune"))

; Headings
[
  (part_word)
  (phrase_word)
  (ending_word)
  (melody_word)
] @keyword
(part (heading name: (name) @type))
(melody (heading name: (name) @type))
(phrase (heading name: (name) @function))
[
  (times)
  (passes)
] @constant

; Bars
(bar_line) @punctuation.delimiter
(bar_again) @keyword
(phrase_call "@" @punctuation.special)
(phrase_call name: (name) @function)
[
  "["
  "]"
  "{"
  "}"
] @punctuation.bracket
(over) @operator

; Slots: what the finger, the thumb and the left hand sound is told apart.
(strike) @constant
(pitch) @constant
(thumb) @variable.builtin
[
  (hammer)
  (pull)
  (slide)
] @function.builtin
[
  (hold)
  (silence)
] @operator
[
  (accent)
  (vibrato)
  (choke)
  (finger)
] @punctuation.special

; Labels
(words) @string
(chord) @string.special
