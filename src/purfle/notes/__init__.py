"""Notes: bytes of the shop folder to checked values, and every trouble found on the way.

read (bytes, fences) → tree (located YAML) → fields and records (the vocabulary) → parse → check.
Invariant: opens no file; text and names come in as values.
"""
