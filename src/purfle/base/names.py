"""How names are compared.

Invariant: knows no name.
"""

from functools import lru_cache


@lru_cache(maxsize=4096)
def folded(name: str) -> str:
    """A name as it is compared: case and runs of space are no matter."""
    return " ".join(name.casefold().split())
