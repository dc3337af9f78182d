"""The stream of money events: on which day, in which order, about which build."""

from datetime import date

import pytest
from books_folder import folder

from purfle.events import money, stream
from purfle.events.work import Worked
from purfle.notes.shop import read_shop


def events(files: dict[str, str], shop: str = "name: T", today: date = date(2026, 12, 31)) -> list[object]:
    read, _ = read_shop(folder(files, shop), (), today)
    return list(stream(read, today))


def kinds(found: list[object]) -> list[str]:
    return [type(event).__name__ for event in found]


def test_within_a_day_received_salvaged_used_sold_counted() -> None:
    day = "counted: {item: peg, qty: 1}\nsold: {item: peg, price: 1}\nused: {item: peg, qty: 1, build: heron}\nsalvaged: {item: peg, build: heron}\nbought: {item: peg, cost: 1, for: stock}"
    assert kinds(events({"heron": "", "2026-02-01": day})) == ["GoodsHere", "SalvagedPart", "UsedUp", "StockSold", "StockCounted"]


def test_by_day_then_file_then_line() -> None:
    found = events(
        {"2026-02-02": "paid: [{what: c, cost: 1, kind: rent}]", "2026-02-01": "paid:\n  - {what: a, cost: 1, kind: rent}\n  - {what: b, cost: 1, kind: rent}"}
    )
    assert [event.record.what for event in found] == ["a", "b", "c"]  # type: ignore[attr-defined]


def test_goods_paid_ahead_are_two_events_and_planned_ones_none() -> None:
    parts = "parts: [{part: a, cost: 1, paid: 2026-03-01, arrived: 2026-03-05}, {part: b, cost: 1, arrived: 2026-03-02, paid: 2026-03-03}, {part: c, cost: 1, ordered: 2026-03-01}]"
    found = [event for event in events({"heron": parts}) if isinstance(event, money.PaidAhead | money.GoodsHere)]
    assert [(type(e).__name__, e.date.day, e.goods.what) for e in found] == [("PaidAhead", 1, "a"), ("GoodsHere", 2, "b"), ("GoodsHere", 5, "a")]


def test_a_part_that_moves_is_found_on_its_bill_whatever_its_case_and_spaces() -> None:
    files = {"heron": "parts: [{part: bone nut, cost: 7, arrived: 2026-02-01}]", "wren": "", "2026-02-02": "moved: {part: Bone  nut, from: heron, to: wren}"}
    (moved,) = (event for event in events(files) if isinstance(event, money.PartMoved))
    assert moved.part is not None and moved.part.cost == 7


def test_nothing_after_today() -> None:
    files = {"heron": "acquired: {date: 2026-01-02, price: 3}\nsale: {date: 2026-05-20, price: 9}"}
    assert kinds(events(files, today=date(2026, 5, 19))) == ["GoodsHere"]
    assert kinds(events(files, today=date(2026, 5, 20))) == ["GoodsHere", "BuildSold"]


def test_a_bench_notes_purchase_is_for_its_build_and_a_journal_days_for_stock() -> None:
    found = events({"heron": "", "builds/heron/2026-02-01.md": "bought: {item: nut, cost: 1}", "2026-02-02": "bought: {item: peg, cost: 1}"})
    assert [(e.goods.to, e.goods.build) for e in found] == [("build", "heron"), ("stock", None)]  # type: ignore[attr-defined]


def test_a_line_that_names_no_known_build_is_left_out_of_the_stream() -> None:
    found = events({"2026-02-02": "bought: {item: peg, cost: 1, for: herno}\nmoved: {part: x, from: herno, to: stock}"})
    assert kinds(found) == []


def test_a_refund_on_the_day_of_the_sale_follows_it_and_a_later_one_comes_before_a_new_sale() -> None:
    sales = (
        "sale: [{date: 2026-05-20, price: 9, back: [{date: 2026-05-20, refund: 1}, {date: 2026-06-01, refund: 8, goods: yes}]}, {date: 2026-06-01, price: 8}]"
    )
    assert kinds(events({"heron": sales})) == ["BuildSold", "CameBackAtOnce", "CameBack", "BuildSold"]


def test_of_one_days_sales_and_refunds_the_sheet_says_which_came_after_which() -> None:
    sold = "{date: 2026-05-20, price: 9, back: {date: 2026-05-20, refund: 9, goods: yes}}"
    assert kinds(events({"heron": f"sale: [{sold}, {{date: 2026-05-20, price: 8}}]"})) == ["BuildSold", "CameBackAtOnce", "BuildSold"]
    ordered = "commission: {back: {date: 2026-05-20, refund: 9, goods: yes}, customer: M., price: 9, delivered: {date: 2026-05-20}}"
    assert kinds(events({"heron": f"sale: {{date: 2026-05-20, price: 8}}\n{ordered}"})) == ["HandedOver", "HandedBack", "BuildSold"]


def test_hours_of_all_notes_of_the_day_share_what_is_used() -> None:
    files = {
        "heron": "",
        "wren": "",
        "2026-02-01": "bought: {item: peg, cost: 1}\nused: {item: peg, qty: 1, over: [heron, wren]}\nbench: {build: wren, hours: 1}",
        "builds/heron/2026-02-01.md": "hours: 2:30",
    }
    used = next(event for event in events(files) if isinstance(event, money.UsedUp))
    assert (used.builds, [str(w) for w in used.weights]) == (("heron", "wren"), ["2.5", "1"])
    assert sum(event.hours for event in events(files) if isinstance(event, Worked)) == 3.5


def test_a_standing_cost_ends_with_its_last_day() -> None:
    standing = "name: T\nstanding: {what: rent, cost: 1, kind: rent, every: week, from: 2026-11-30, until: 2026-12-14}"
    assert [event.date.isoformat() for event in events({}, standing)] == ["2026-11-30", "2026-12-07", "2026-12-14"]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("since", "every", "days"),
    [
        ("2026-01-31", "month", ["2026-01-31", "2026-02-28", "2026-03-31", "2026-04-30", "2026-05-31"]),
        ("2025-11-15", "month", ["2025-11-15", "2025-12-15", "2026-01-15", "2026-02-15", "2026-03-15", "2026-04-15", "2026-05-15"]),
        ("2025-08-31", "quarter", ["2025-08-31", "2025-11-30", "2026-02-28", "2026-05-31"]),
        ("2024-02-29", "year", ["2024-02-29", "2025-02-28", "2026-02-28"]),
    ],
)
def test_a_standing_cost_falls_due_on_its_day_or_the_last_of_a_shorter_month(since, every, days):
    """Counted off a calendar: February has 28 days in 2025 and 2026, 29 in 2024."""
    standing = f"name: T\nstanding: {{what: rent, cost: 1, kind: rent, every: {every}, from: {since}}}"
    assert [event.date.isoformat() for event in events({}, standing, date(2026, 5, 31))] == days


@pytest.mark.parametrize("line", ["stage: strip, hours: 2", "build: herno, hours: 2", "build: herno, stage: strip, hours: 2"])
def test_work_of_no_known_build_is_not_taken_for_the_shops_own(line):
    assert events({"heron": "", "2026-02-02": f"bench: [{{{line}}}]"}) == []


def test_hours_of_no_build_and_no_stage_are_the_shops_own():
    (worked,) = events({"2026-02-02": "bench: [{what: sweeping, hours: 2}]"})
    assert isinstance(worked, Worked) and (worked.build, worked.hours) == (None, 2)
