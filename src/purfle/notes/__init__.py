"""Notes: bytes of the shop folder to checked values, and every trouble found on the way.

`spots` says which files are read, `parse` and `journal` read one: its keys (`frontmatter` → `vocabulary` → `records`) and its words (`bodies`).
`shop` puts together what they come to, the `model` that every later phase reads, and `check` runs over the whole of it (`checks`, `leaks`).
Invariant: opens no file; text and names come in as values.
"""
