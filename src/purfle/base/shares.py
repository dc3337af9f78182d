"""Whole units shared in proportion, none lost.

Invariant: integers alone; what a unit is, a cent or a quarter hour, the caller knows.
"""

from collections.abc import Sequence


def largest_remainders(units: int, weights: Sequence[int]) -> list[int]:
    """The shares of some units in proportion to weights, one of which is above nothing, by Hamilton's method: on a tie the first listed gains."""
    whole = sum(weights)
    shares = [units * weight // whole for weight in weights]
    by_remainder = sorted(range(len(weights)), key=lambda i: -(units * weights[i] % whole))
    for index in by_remainder[: units - sum(shares)]:
        shares[index] += 1
    return shares
