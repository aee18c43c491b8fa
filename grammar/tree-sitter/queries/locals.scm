; A phrase belongs to its tune, and may be called above the line where it is written.
(tune) @local.scope
(phrase (heading name: (name) @local.definition))
(phrase_call name: (name) @local.reference)
