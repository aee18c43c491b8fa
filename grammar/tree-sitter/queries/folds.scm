[
  (tune)
  (part)
  (phrase)
  (melody)
  (ending)
] @fold
