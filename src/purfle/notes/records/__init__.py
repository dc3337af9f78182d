"""The vocabulary: every key of every kind of file, each declared once.

Adding a key is one line in one of these modules; its reader, check, near name, reference, JSON Schema and
tested example follow from it.
"""
