"""Notes: bytes of the shop folder to checked values, and every trouble found on the way.

`spots` says which files are read, `shop` puts together what they come to, the `model` that every later phase reads, and `check` runs over the whole of it
(`checks`, `leaks`). `parse` reads one file, and `journal` one that is about several builds:

- `frontmatter` cuts the bytes in two at the fences and makes a tree of located text of the YAML;
- `vocabulary` reads the tree by the declarations of the keys, which are in `records`;
- `bodies` takes from the words what is private, and finds headings and pictures; `keys_in_text` finds keys that stand there.

Invariant: opens no file; text and names come in as values.
"""
