"""The exit status of a command.

Invariant: imports nothing, for every command line loads it.
"""

FINE = 0
STOPPED = 1
"""A trouble stops something, or what was asked could not be written."""
USAGE = 2
"""Wrong usage, as click has it."""
OUR_FAULT = 70
"""A fault of purfle's own (EX_SOFTWARE of sysexits.h)."""
INTERRUPTED = 130
"""Ctrl-C: 128 and the number of the signal, as shells show it."""
