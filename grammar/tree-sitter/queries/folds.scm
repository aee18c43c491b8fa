[
  (tune)
  (part)
  (phrase)
  (ending)
] @fold
