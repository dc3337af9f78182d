"""How far each build has come: its route, its stages and passes, and its state in one word.

Read by books, bench, show and views alike. Invariant: says what is and was, never what will be.
"""

from purfle.progress.tell import progress_of

__all__ = ["progress_of"]
