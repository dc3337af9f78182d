"""The plan counts the shelf from the notes alone; the books follow the same stock with its cost. Both must hold as much of each item."""

from decimal import Decimal

import pytest
from books_folder import TODAY, kept

from purfle.bench.shelf import moves_of, shelf_on

LINES = {
    "a part moves to stock, as many as the bill has": ("parts: [{part: peg, qty: 3, cost: 9, arrived: 2026-01-02}]", "moved: [{part: peg, to: stock}]"),
    "some of them": ("parts: [{part: peg, qty: 3, cost: 9, arrived: 2026-01-02}]", "moved: [{part: peg, to: stock, qty: 2}]"),
    "what is left of them after one went to another build": (
        "parts: [{part: peg, qty: 3, cost: 9, arrived: 2026-01-02}]",
        "moved: [{part: peg, to: wren, qty: 1}, {part: peg, to: stock}]",
    ),
    "what is left of them after one went back": (
        "parts: [{part: peg, qty: 3, cost: 9, arrived: 2026-01-02}]",
        "returned: [{item: peg, qty: 1, refund: 3}]\nNEXT\nmoved: [{part: peg, to: stock}]",
    ),
    "what was used of the shelf is taken off again": ("", "moved: [{part: wax, to: stock}]"),
    "as many as came from the shelf, with more on the same day": (
        "",
        "used: [{item: wax, qty: 1}]\nmoved: [{part: wax, to: stock}]\nNEXT\nmoved: [{part: wax, to: stock}]",
    ),
    "bought for it, and not on its bill": ("", "bought: [{item: post, qty: 4, cost: 8}]\nmoved: [{part: post, to: stock}]"),
    "as many as another build gave": (
        "parts: [{part: peg, qty: 6, cost: 12, arrived: 2026-01-02}]",
        "moved: [{part: peg, to: wren, qty: 4}]\nNEXT\nmoved: [{part: peg, from: wren, to: stock}]",
    ),
    "all of them by way of another build": (
        "parts: [{part: peg, qty: 6, cost: 12, arrived: 2026-01-02}]",
        "moved: [{part: peg, to: wren}]\nNEXT\nmoved: [{part: peg, from: wren, to: stock}]",
    ),
    "given away of the bill, and some of no cost": (
        "parts: [{part: peg, qty: 2, how: gifted, value: 4, arrived: 2026-01-02}]",
        "moved: [{part: peg, to: stock}]",
    ),
    "a part of the bill goes back to its supplier": ("parts: [{part: wax, cost: 9, arrived: 2026-01-02}]", "returned: [{item: wax, refund: 9}]"),
    "stock goes back from a build's note": ("", "returned: [{item: wax, qty: 2, refund: 4}]"),
    "salvaged": ("acquired: {date: 2026-01-01, price: 50}", "salvaged: [{item: peg, qty: 4, value: 8}]"),
    "used, spoiled, taken and sold": (
        "",
        "used: [{item: wax, qty: 1}]\nwritten_off: [{item: wax, qty: 1}]\nwithdrawn: [{item: wax, qty: 1}]\nsold: [{item: wax, qty: 2, price: 9, "
        "back: [{date: 2026-03-05, refund: 4, goods: yes, qty: 1}]}]",
    ),
    "stock goes back from a build's note, of what the build was given nothing": (
        "",
        "returned: [{item: wax, refund: 2}]\nNEXT\nmoved: [{part: wax, to: stock}]",
    ),
    "used over one build by two of its names": ("", "used: [{item: wax, qty: 3, over: [heron, Heron]}]\nNEXT\nmoved: [{part: wax, to: stock}]"),
    "what goes back is not of the shelf, which has none": ("parts: [{part: post, cost: 9, arrived: 2026-01-02}]", "returned: [{item: peg, refund: 2}]"),
    "counted": ("", "counted: [{item: wax, qty: 4.5}]"),
}


def test_a_lot_whose_stock_is_worth_nothing_brings_the_shelf_nothing() -> None:
    """Where nothing in it is worth anything, all share its cost evenly (`money.split`), the shelf too."""
    lot = "lots: [{{lot: winter, cost: 30, values: {{heron: {heron}, stock: 0}}, item: knob, qty: 5}}]"
    for heron, knobs in ((20, {}), (0, {"knob": 5})):
        books = kept({"heron": "", "2026-02-01": lot.format(heron=heron)})
        assert (shelf_on(moves_of(books.shop), TODAY).held, {move.item: move.qty for move in books.books.moves}) == (knobs, knobs)


def test_a_part_that_no_build_is_said_to_give_comes_from_nowhere() -> None:
    """The books tell of it and book nothing."""
    books = kept({"heron": "", "2026-03-01": "moved: [{part: peg, to: stock}, {part: peg, from: heorn, to: stock}]"})
    assert (shelf_on(moves_of(books.shop), TODAY).held, list(books.books.moves)) == ({}, [])


@pytest.mark.parametrize(("sheet", "note"), LINES.values(), ids=list(LINES))
def test_the_plan_and_the_books_have_as_much_on_the_shelf(sheet: str, note: str) -> None:
    files = {
        "heron": sheet,
        "2026-02-01": "bought: [{item: wax, qty: 9, cost: 18}]\nlots: [{lot: winter, cost: 30, values: {heron: 20, stock: 10}, item: knob, qty: 5}]",
        "builds/heron/2026-02-02.md": "used: [{item: wax, qty: 2}]",
        "wren": "",
        **{f"builds/heron/2026-03-0{n}.md": lines for n, lines in enumerate(note.split("\nNEXT\n"), 1)},
    }
    books = kept(files)
    value: dict[str, Decimal] = {}
    for move in books.books.moves:
        value[move.item] = value.get(move.item, Decimal(0)) + move.qty
    assert not [trouble for trouble in books.troubles if trouble.code != "lot-with-price"]
    held = shelf_on(moves_of(books.shop), TODAY).held
    assert {item: qty for item, qty in held.items() if qty} == {item: qty for item, qty in value.items() if qty}
