"""Numbers of things in words.

Invariant: knows no thing.
"""


def counted(number: int, noun: str) -> str:
    """So many of a noun that takes an s: `1 day`, `2 days`."""
    return f"{number} {noun}{'' if number == 1 else 's'}"
