"""Checks of a whole shop that need nothing but its notes, each a function that `purfle.notes.check` calls.

Invariant: a check tells troubles and gives no value.
"""
