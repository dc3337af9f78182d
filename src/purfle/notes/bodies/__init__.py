"""The words below the keys, as far as reading a note asks: what is private, headings, pictures, and keys that stand where none is read.

Invariant: looks at one text alone, and makes no HTML.
"""
