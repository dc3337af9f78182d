"""Values every other layer speaks in: places, troubles, money, quantities.

Invariant: imports nothing of purfle outside this package.
"""
