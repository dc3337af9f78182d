"""How a file is opened that may have become anything since it was looked at.

Invariant: opens nothing itself.
"""

import os

READING = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
"""Follows no link and waits for no writer on a pipe; what was opened is then looked at by its handle. Windows knows the last flag alone."""
