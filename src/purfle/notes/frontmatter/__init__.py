"""The keys at the top of a note as located text: bytes, fences, YAML, and the slips that YAML gives up on.

`text` cuts a note in two, `tree` makes located text of its YAML, `slips` says what was meant where there is none.
Invariant: knows no key but the words handed in, and types nothing.
"""
