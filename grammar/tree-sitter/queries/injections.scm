; A comment may hold what editors mark in any comment, such as a thing to do.
((comment) @injection.content
  (#set! injection.language "comment"))
