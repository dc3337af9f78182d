"""The plain text of `week`, `lineup` and `sheet` tells what their JSON has, row by row, for the demo shop: neither knows of the other."""

import io
import re
from dataclasses import replace
from decimal import Decimal

import pytest
from demo_shop import analysis

from purfle.shell import contract_money, contract_week, report_money, report_week
from purfle.shell.job_sheet import job_sheet_of
from purfle.shell.terminal import Printer
from purfle.show.model import LeftOut


def lines_of(report, *values):
    """A report as a pipe gets it, its rows with one space between two words."""
    out = io.StringIO()
    report(*values, Printer(out))
    return [" ".join(line.split()) for line in out.getvalue().splitlines()]


def missing(rows, lines):
    """The rows of words of which no one line holds all."""
    return [row for row in rows if not any(all(str(word) in line for word in row) for line in lines)]


def percent(chance):
    """As people read it; halves away from zero, which Python's own `round` does not do."""
    return f"{int(Decimal(chance) * 100 + Decimal('0.5'))} %"


def figure(hours):
    return f"{Decimal(hours).normalize():f}"


@pytest.fixture(scope="module")
def week():
    a = analysis()
    return contract_week.week(a.plan, a.show, a.on_sale, a.shop.settings.currency), lines_of(report_week.week, a.plan, a.show, a.on_sale, ())


def comes_soon(stage):
    """Whether a stage may be finished by June 3, two weeks from the demo day."""
    return stage["p10"] is not None and stage["p10"] <= "2026-06-03"


ROWS = {
    "days": lambda d: [(t["build"], t["stage"], figure(t["hours"])) for t in d["tasks"]] or [(d["date"],)],
    "curing": lambda c: [(c["build"], c["stage"], c["until"], c["why"], c["recoat"] or "")],
    "order": lambda o: [(o["by"], o["part"], o["build"], o["needed"])],
    "low": lambda x: [(x["item"], figure(x["qty"]), x["unit"], figure(x["low"]), x["coming"] or "order")],
    "film": lambda s: [(s["by"], s["build"], s["stage"], s["shot"], "last chance" if s["last_chance"] else "")],
    "feature": lambda f: [(f["build"], f["stage"], f["ready"], percent(f["chance"]), f["why"])],
    "promises": lambda p: [(p["episode"], p["build"] or p["words"], p["do"], p["state"], p["due"])],
    "at_risk": lambda r: [
        (r["build"], r["stage"] or "whole build", r["due"], percent(r["chance"]), f"{r['late_by']} d" if r["late_by"] is not None else r["why"])
    ],
    "for_sale": lambda s: [(s["build"], s["since"], s["days"])] if s["days"] >= 90 else [],
    "done": lambda w: [(w["build"], *(w[p] or "beyond" for p in ("p10", "p50", "p80", "p95")))],
    "forecast": lambda f: [(f["build"], f["stage"], *(f[p] or "beyond" for p in ("p10", "p50", "p80", "p95")))] if comes_soon(f) else [],
}
"""Of each list of the week's JSON, what stands in one line of the text."""


@pytest.mark.parametrize("name", ROWS)
def test_the_week_tells_every_row(week, name):
    answer, lines = week
    assert answer[name], "the demo shop has one of each"
    assert missing([row for entry in answer[name] for row in ROWS[name](entry)], lines) == []


def test_stages_of_later_weeks_are_counted_and_not_listed(week):
    answer, lines = week
    later = [f for f in answer["forecast"] if not comes_soon(f)]
    assert any(f"{len(later)} more stages come later" in line for line in lines)
    assert not missing([("burnet look over",)], lines) and missing([("burnet setup",)], lines)


def test_the_line_up_tells_every_piece_and_what_is_left_out():
    """A reason may go on in the next line, so its first words are looked for."""
    episodes = analysis().lineup(4)
    lines = lines_of(report_week.lineup, episodes, ())
    for told in contract_week.lineup(episodes, ())["episodes"]:
        pieces = [(s["build"] or "–", s["stage"] or "", s["what"], figure(s["minutes"]), percent(s["chance"]), s["why"][:20]) for s in told["segments"]]
        left = [(x["build"], x["stage"] or "", x["why"][:20]) for x in told["left_out"]]
        heads = [(told["airs"], told["records"], f"{figure(told['minutes'])} of {figure(told['length'])} minutes")]
        free = [(f"{figure(told['free'])} min free",)] if Decimal(told["free"]) else []
        assert missing([*heads, *pieces, *left, *free], lines) == []


def test_a_sheet_tells_every_line_of_the_books_and_what_was_earned_on_air():
    """Amounts stand with thin groups of three in the text, so spaces between figures are taken out on both sides."""
    for build in analysis().shop.builds:
        job = job_sheet_of(analysis(), build.id)
        answer, lines = contract_money.sheet(job), [re.sub(r"(?<=\d) (?=\d{3}\b)", "", line) for line in lines_of(report_money.sheet, job)]
        booked = [*answer["lines"], *answer["beside"], *(answer["customer"] or {"lines": []})["lines"], *(answer["collection"] or {"lines": []})["lines"]]
        rows = [(line["date"], line["what"], line["amount"], line["source"]) for line in booked]
        rows += [(name, answer[key]) for name, key in (("cost gone out", "cost"), ("cost still held", "carried"), ("revenue", "revenue"), ("profit", "profit"))]
        if answer["on_air"]:
            rows += [("earned on air", answer["on_air"]["amount"]), ("per hour, with the show's income and hours", answer["on_air"]["per_hour_in_all"] or "–")]
        if answer["collection"]:
            rows += [("basis", answer["collection"]["basis"])]
        rows += [(s["stage"], s["finished"] or "–", figure(s["hours"])) for s in answer["stages"]]
        assert missing(rows, lines) == []


def test_a_shop_of_many_years_is_told_what_comes_first_and_how_much_is_left():
    """Thirty pieces that could be shown come to twenty rows, with what is proposed, promised or near among them, and a line for the other ten."""
    a = analysis()
    episode, kept = a.show.lineup[0], a.show.feature[0]
    chosen = next(s for s in episode.segments if s.build)
    old = tuple(replace(kept, build=f"a{n:02}", stage="strip", ready="yes", chance=Decimal(1)) for n in range(29))
    show = replace(a.show, feature=(*old, replace(kept, build=chosen.build, stage=chosen.stage, ready="likely")))
    lines = lines_of(report_week.week, a.plan, show, (), ())
    listed = [line for line in lines if re.match(r"a\d\d strip yes", line)]
    assert len(listed) == 19 and any(line.startswith(f"{chosen.build} {chosen.stage} likely") for line in lines)
    assert "10 more are on the show's page in the office, and in --json." in lines
    left = tuple(LeftOut(f"a{n:02}", "strip", "why", promised=n == 27, near=n == 20) for n in range(28))
    lines = lines_of(report_week.lineup, [replace(episode, left_out=left)], ())
    assert [line.split()[0] for line in lines if line.endswith("strip why")] == ["a27", "a20", *(f"a{n:02}" for n in range(18))]
    assert "8 more are on the show's page in the office, and in --json." in lines


def test_one_stage_that_comes_later_is_one():
    plan = analysis().plan
    later = next(f for f in plan.forecast if f.p10 is None or f.p10.isoformat() > "2026-06-03")
    lines = lines_of(report_week.week, replace(plan, forecast=(later,)), analysis().show, (), ())
    assert "1 more stage comes later: it is on its build's page in the office, and in --json." in lines
