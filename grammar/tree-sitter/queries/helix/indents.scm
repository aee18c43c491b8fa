; As `lope tidy` sets it: an ending stands two blanks in, with its heading; nothing else is indented.
((ending) @indent
  (#set! "scope" "all"))
