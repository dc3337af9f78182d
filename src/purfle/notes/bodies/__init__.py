"""The words below the keys, as far as reading a note asks: what is private, headings and pictures.

Invariant: looks at one text alone, knows no key, and makes no HTML.
"""
