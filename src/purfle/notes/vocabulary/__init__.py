"""What the vocabulary is made with: how a key is declared (`fields`), what a value may be (`kinds`), how a mapping is read by it (`mapping`).

Invariant: knows no key; those are declared in `purfle.notes.records`.
"""
