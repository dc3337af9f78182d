"""Ways of writing the same shop that must come to the same: the notes of the demo shop are rewritten, and every answer is compared.

What is left out of the comparison is what tells of the writing itself: the place in the notes, and the order of what happened on one day.
"""

import re
from collections.abc import Callable
from datetime import date, timedelta
from functools import cache
from random import Random

import pytest
import yaml
from demo_shop import TODAY, analysis, notes

from purfle.books import year_of, years
from purfle.books.decisions import take_on_next
from purfle.books.quote import quote
from purfle.compile import Analysis
from purfle.sheets import expected_shipping, sending_of
from purfle.shell import contract_money, contract_week, worked
from purfle.shell.job_sheet import job_sheet_of

Shop = dict[str, tuple[dict, str]]
"""File → its frontmatter, each value as text, and its body."""
ONE = re.compile(r"builds/[^/]+/[0-9]")
DAY = re.compile(r"journal/[0-9]")
NAMED = ("routes", "cures", "suppliers", "channels", "items", "expense_kinds", "values", "limits")
"""Keys under which names stand that the owner chose, in an order that may be meant."""


def loaded() -> Shop:
    parted = {file: data.decode().removeprefix("---\n").partition("\n---\n") for file, data in notes().items()}
    return {file: (yaml.load(head, yaml.BaseLoader) or {}, body) for file, (head, _, body) in parted.items()}


def written(shop: Shop, block: bool = False) -> dict[str, bytes]:
    dumped = {file: yaml.dump(head, default_flow_style=not block, allow_unicode=True, sort_keys=False, width=10**6) for file, (head, _) in shop.items()}
    return {file: f"---\n{dumped[file]}---\n{body}".encode() for file, (_, body) in shop.items()}


def answers(files: dict[str, bytes], today: date = TODAY) -> dict[str, object]:
    """All that the commands print as JSON, and the codes of the troubles."""
    a = Analysis(files, analysis().assets, today)
    currency = a.shop.settings.currency
    told = {"check": sorted((t.code, t.found) for t in a.troubles), "week": contract_week.week(a.plan, a.show, a.on_sale, currency)}
    told |= {
        "lineup": contract_week.lineup(a.lineup(4), ()),
        "next": contract_money.take_on_next(take_on_next(a.shop, a.books, a.progress, sending_of(a.shop)), currency),
    }
    told |= {f"year {number}": contract_money.year(year_of(a.books, number)) for number in years(a.books)}
    for build in a.shop.builds:
        implied = worked.answer(a.sheets_without_plan[build.id], currency)
        asked = quote(a.shop, a.books, a.progress[build.id], build, shipping=expected_shipping(a.shop, build))
        told[build.id] = [contract_money.sheet(job_sheet_of(a, build.id)), implied, contract_money.quote(asked, currency)]
    return {what: _placeless(answer) for what, answer in told.items()}


def _placeless(value: object, key: str = "") -> object:
    if isinstance(value, dict):
        return {key: _placeless(of, key) for key, of in value.items() if key not in ("source", "sources", "checked_on")}
    if isinstance(value, list):
        return sorted((_placeless(of) for of in value), key=str) if key in ("lines", "beside") else [_placeless(of) for of in value]
    return value


@cache
def before() -> dict[str, object]:
    return answers(notes())


def differing(one: dict[str, object], other: dict[str, object]) -> list[str]:
    return [what for what in sorted({*one, *other}) if one.get(what) != other.get(what)]


# --- other words for the same keys ---------------------------------------------------------------------------------------


def keyed(value: object, other: Callable[[dict], dict], named: bool = False) -> object:
    """The value with every mapping of keys put through `other`; names that the owner chose are left."""
    if isinstance(value, dict):
        inner = {key: keyed(of, other, not named and key in NAMED) for key, of in value.items()}
        return inner if named else other(inner)
    return [keyed(of, other) for of in value] if isinstance(value, list) else value


def shuffled(mapping: dict) -> dict:
    return dict(Random(7).sample(list(mapping.items()), len(mapping)))


def upper(mapping: dict) -> dict:
    return {key.upper(): of for key, of in mapping.items()}


def alone(mapping: dict) -> dict:
    return {key: of[0] if isinstance(of, list) and len(of) == 1 else of for key, of in mapping.items()}


def clock(mapping: dict) -> dict:
    def told(hours: object) -> object:
        if isinstance(hours, list):
            return [told(some) for some in hours]
        if not isinstance(hours, str) or not re.fullmatch(r"[0-9]+(\.[05]|\.25|\.75)?", hours):
            return hours
        return f"{int(float(hours))}h{int(float(hours) % 1 * 60):02}"

    return {key: told(of) if key == "hours" else of for key, of in mapping.items()}


@pytest.mark.parametrize("other", [shuffled, upper, alone, clock])
def test_how_keys_are_written_is_no_matter(other: Callable[[dict], dict]) -> None:
    shop = {file: (keyed(head, other), body) for file, (head, body) in loaded().items()}
    assert differing(answers(written(shop, block=other is upper)), before()) == []


@pytest.mark.parametrize("ends", [b"\r\n", b"\n"])
def test_how_lines_end_is_no_matter(ends: bytes) -> None:
    files = {file: re.sub(rb"(?m)(?<=\S)$", b" ", data, count=3).rstrip().replace(b"\n", ends) for file, data in notes().items()}
    assert differing(answers(files), before()) == []


# --- the same lines in other files ----------------------------------------------------------------------------------------


def split_days(shop: Shop) -> Shop:
    """Every line of a journal day in a file of its own."""
    found: Shop = {}
    for file, (head, body) in shop.items():
        lines = [{key: line} for key, of in head.items() for line in (of if isinstance(of, list) else [of])] if DAY.match(file) else [head]
        found[file] = (lines[0] if lines else {}, body)
        found |= {f"{file[:-3]}-{number:02}.md": (line, "") for number, line in enumerate(lines[1:])}
    return found


def other_words(shop: Shop) -> Shop:
    """Every dated file with other words behind its day."""
    chance = Random(3)
    return {re.sub(r"([0-9]{4}-[0-9]{2}-[0-9]{2})[^/]*$", rf"\1-{chance.choice('abyz')}{n}.md", file): of for n, (file, of) in enumerate(shop.items())}


def money_to_the_journal(shop: Shop) -> Shop:
    """What a bench note says of money and stock, in the journal with its build."""
    found: Shop = {}
    for file, (head, body) in shop.items():
        folders, moved = file.split("/"), {}
        if ONE.match(file):
            kept = {key: of for key, of in head.items() if key not in ("used", "paid", "received", "bought")}
            for key in head.keys() - kept.keys():
                own = {"for": folders[1]} if key == "bought" else {"build": folders[1]}
                moved[key] = [line if "over" in line else {**own, **line} for line in head[key]]
            head = kept
        found[file] = (head, body)
        if moved:
            found[f"journal/{folders[2][:10]}-of-{folders[1]}-{folders[2][10:]}"] = (moved, "")
    return found


def finishes_apart(shop: Shop) -> Shop:
    """What says that a stage is finished in a note of its own, whose name stands before that of the hours."""
    found: Shop = {}
    for file, (head, body) in shop.items():
        if ONE.match(file) and "stage" in head and "finished" in head and "redo" not in head:
            found[f"{file[:-3]}-a.md"] = ({"stage": head["stage"], "finished": head["finished"]}, "")
            found[f"{file[:-3]}-b.md"] = ({key: of for key, of in head.items() if key != "finished"}, body)
        else:
            found[file] = (head, body)
    return found


def under_a_heading(shop: Shop) -> Shop:
    """Bench notes that need no file of their own as parts of a journal day."""
    found: Shop = {}
    for number, (file, (head, body)) in enumerate(shop.items()):
        if ONE.match(file) and head.keys() <= {"stage", "hours", "finished"} and not re.search(r"#|!\[|:::", body):
            _, build, name = file.split("/")
            keys = "".join(f"{key}: {of}\n" for key, of in head.items())
            found[f"journal/{name[:10]}-part-{number}.md"] = ({}, f"Mine.\n\n## {build}\n{keys}\n{body}")
        else:
            found[file] = (head, body)
    return found


def standing_costs_paid(shop: Shop) -> Shop:
    """Recurring costs as a payment on each of their days."""
    settings, about = shop["shop.md"]
    found = {**shop, "shop.md": ({key: of for key, of in settings.items() if key != "standing"}, about)}
    for number, cost in enumerate(settings["standing"]):
        first, step = date.fromisoformat(cost["from"]), {"month": 1, "quarter": 3}[cost["every"]]
        months = (first.month - 1 + n * step for n in range(99))
        days = (date(first.year + month // 12, month % 12 + 1, first.day) for month in months)  # none of them is after the 28th
        paid = {"paid": [{"what": cost["what"], "cost": cost["cost"], "kind": cost["kind"]}]}
        found |= {f"journal/{day}-due-{number}.md": (paid, "") for day in days if day <= TODAY}
    return found


@pytest.mark.parametrize("other", [split_days, other_words, money_to_the_journal, finishes_apart, under_a_heading, standing_costs_paid])
def test_in_which_file_a_line_stands_is_no_matter(other: Callable[[Shop], Shop]) -> None:
    shop = loaded()
    moved = other(shop)
    assert moved.keys() != shop.keys()
    assert differing(answers(written(moved)), before()) == []


# --- the same days in another year ----------------------------------------------------------------------------------------

LATER = timedelta(days=10227)
"""28 years: 1,461 weeks, with seven leap days as always between 1901 and 2099, so that month, day and weekday are the same (Gregorian calendar)."""


def moved_on(text: str) -> str:
    later = re.sub(r"(?<![0-9])20[0-9]{2}-[01][0-9]-[0-3][0-9](?![0-9])", lambda day: (date.fromisoformat(day[0]) + LATER).isoformat(), text)
    return re.sub(r"\b202([56])(?=-[01][0-9]\b(?!-)|$)", lambda year: str(int(year[0]) + 28), later)


def test_twenty_eight_years_later_all_is_the_same() -> None:
    def later(value: object) -> object:
        if isinstance(value, dict):
            return {key: later(of) for key, of in value.items()}
        if isinstance(value, list | tuple):
            return type(value)(map(later, value))
        return moved_on(value) if isinstance(value, str) else value + 28 if value in (2025, 2026) and isinstance(value, int) else value

    files = {moved_on(file): moved_on(data.decode()).replace("closed: 2025", "closed: 2053").encode() for file, data in notes().items()}
    then = {moved_on(what): later(answer) for what, answer in before().items()}
    assert differing(answers(files, TODAY + LATER), then) == []
