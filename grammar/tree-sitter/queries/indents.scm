; As `lope tidy` sets it: an ending stands two blanks in, with its heading; nothing else is indented.
; `indent` is what one editor reads, `indent.begin` and `indent.zero` another.
((ending) @indent
  (#set! "scope" "all"))

(part) @indent.begin
(part [(heading) (bar_line) (bar) (field)] @indent.zero)
