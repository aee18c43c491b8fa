; As `lope tidy` sets it: an ending stands two blanks in, with its heading; nothing else is indented.
; The names are those of Neovim's plugin, which takes no others; helix/ has the same for Helix.
((ending) @indent.begin
  (#set! indent.immediate 1)
  (#set! indent.start_at_same_line 1))
