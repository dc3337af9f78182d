"""Drawn photographs of invented instruments for the demo shop.

Invariant: nothing here is part of purfle or of its wheel; every outline, name and picture is made up.
"""
