"""The shelf itself: named deliveries at average cost, and what it does when nothing is said. Sums worked by hand."""

from decimal import Decimal as D

from purfle.books.stock import Shelf

CENT = D("0.01")


def test_a_named_delivery_stays_apart_and_leaves_last_at_average_cost():
    """(10 + 14) ÷ 4 × 2 = 12; the named one keeps its own 50."""
    shelf = Shelf(CENT, average=True)
    shelf.receive("peg", D(1), D(50), lot="old pegs")
    shelf.receive("peg", D(2), D(10))
    shelf.receive("peg", D(2), D(14))
    assert shelf.take("peg", D(2)) == D(12)
    assert shelf.take("peg", D(1), lot="old pegs") == D(50)
    assert shelf.take("peg", D(2)) == D(12)


def test_a_named_delivery_after_a_plain_one_is_not_merged_into_it():
    shelf = Shelf(CENT, average=True)
    shelf.receive("peg", D(2), D(10))
    shelf.receive("peg", D(1), D(50), lot="old pegs")
    assert shelf.has("peg", "old pegs") == 1
    assert shelf.take("peg", D(2)) == D(10)


def test_plain_deliveries_on_both_sides_of_a_named_one_leave_at_their_own_average():
    """(10 + 14) ÷ 4 × 2 = 12, though the one between them cost 50."""
    shelf = Shelf(CENT, average=True)
    shelf.receive("peg", D(2), D(10))
    shelf.receive("peg", D(1), D(50), lot="old pegs")
    shelf.receive("peg", D(2), D(14))
    assert (shelf.take("peg", D(2)), shelf.has("peg"), shelf.has("peg", "old pegs")) == (12, 3, 1)


def test_when_nothing_is_said_the_first_in_leaves_first():
    shelf = Shelf(CENT)
    shelf.receive("peg", D(1), D(10))
    shelf.receive("peg", D(1), D(20))
    assert shelf.take("peg", D(1)) == D(10)
