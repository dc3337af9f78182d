"""Private names, serials and amounts in words that may be published.

`private_names` and `private_amounts` gather what must not stand there, `seen` makes the words what a visitor reads, `name_index` and `sums` find
names and sums in them, and `check` tells what was found.
Invariant: hides nothing and changes nothing; what is private in a text was cut when it was read.
"""
