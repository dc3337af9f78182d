"""What the office's pages say, against the small shop's notes. Sums are done by hand from those notes."""

from decimal import Decimal

import pytest
from office_shop import FILES, TODAY, analysis, office, pages, templates
from shop_texts import fenced

from purfle.books import year_of
from purfle.compile import Analysis
from purfle.pages.office import pages_of
from purfle.pages.tables import csv_of
from purfle.shell import contract_money
from purfle.sites import office_view
from purfle.views.office_build import BuildView
from purfle.views.office_troubles import Held


def build(id: str) -> BuildView:
    return next(b for b in office().builds if b.page == f"builds/{id}.html")


def text_at(words: str) -> str:
    file, line = words.rsplit(":", 1)
    return FILES[file].splitlines()[int(line) - 1].strip()


def test_week_is_today_and_the_next_six_days():
    days = office().week.days
    assert [d.iso for d in days] == [f"2026-03-{n:02}" for n in range(4, 11)]
    assert [d.name for d in days[:3]] == ["Today", "Tomorrow", ""]


def test_week_says_what_cures_and_until_when():
    # colour finished on the 3rd with 2 days of cure: free on the 5th.
    row = office().week.curing[0]
    assert (row.build.words, row.stage, row.until, row.days) == ("Teal", "colour", "Thu, Mar 5", "1 more day")


def test_week_marks_recording_and_airing():
    marks = {d.iso: d.marks for d in office().week.days}
    assert "an episode airs" in marks["2026-03-06"] and "record the episode" in marks["2026-03-04"]


def test_week_says_what_work_frees():
    tasks = [t for d in office().week.days for t in d.tasks if t.stage == "clear"]
    assert tasks and tasks[-1].then == "then it cures 9 days"


def test_each_day_of_the_week_says_what_can_be_filmed_and_on_which_day_for_the_last_time():
    # Strip takes some two hours, one a day: it can be filmed from today on, and after the last day the plan gives to it the paint is off.
    files = {name: text for name, text in FILES.items() if name not in ("builds/teal/2026-02-10.md", "builds/teal/2026-03-03.md")}
    hours = files["shop.md"].replace("{monday: 4, tuesday: 4, wednesday: 4, thursday: 4, saturday: 6}", "{wednesday: 1, thursday: 1, friday: 1}")
    a = Analysis({name: text.encode() for name, text in {**files, "shop.md": hours}.items()}, frozenset(), TODAY)
    days = office_view(a, a.troubles, Held()).week.days
    shot, last = "the old paint letting go", max(d.date for d in a.plan.days for t in d.tasks if t.stage == "strip").isoformat()
    assert {d.iso: [(f.shot, f.last_chance) for f in d.film] for d in days if d.film} == {"2026-03-04": [(shot, False)], last: [(shot, True)]}


def test_the_weeks_list_of_shots_says_when_each_can_be_taken():
    """From the end of one stage until another begins is neither in the one nor in the other."""
    hours = FILES["shop.md"].replace("the old paint letting go", "{shot: bare wood, from: strip, until: clear}")
    a = Analysis({name: text.encode() for name, text in {**FILES, "shop.md": hours}.items()}, frozenset(), TODAY)
    page = pages_of(office_view(a, a.troubles, Held()), templates())["index.html"].decode()
    assert "after strip until clear, by <b>" in page and "in strip" not in page


def test_an_estimate_is_its_likely_hours_with_the_least_and_the_most_behind():
    assert [s.estimate.replace("\u00a0", " ").replace("\u2060", "") for s in build("teal").stages] == ["2 h (1–4)", "3 h", "2 h", "2 h (1–3)"]


def test_an_amount_that_is_estimated_says_so_in_front_so_that_amounts_stay_under_each_other():
    assert ">est.</abbr> $407.70</span>" in pages()["builds/smew.html"].decode()


def test_what_a_build_holds_at_a_cost_not_yet_paid_is_marked_wherever_it_stands():
    """Teal's bridge is here and not paid; smew's fee is worked out, and nothing of what it cost."""
    sheet = FILES["builds/teal/build.md"].replace("eta: 2026-03-12", "arrived: 2026-03-02")
    a = Analysis({name: text.encode() for name, text in {**FILES, "builds/teal/build.md": sheet}.items()}, frozenset(), TODAY)
    told = office_view(a, a.troubles, Held(None, None))
    money = told.money[0]
    rows = {row.link.words: row for row in money.builds}
    listed = {row.link.words: row.cost for group in told.groups for row in group.rows}
    assert (rows["Teal"].carried.estimated, listed["Teal"].estimated, money.tied_up_total.estimated) == (True, True, True)
    assert rows["Teal"].carried.text == listed["Teal"].text
    smew = rows["Smew"]
    assert (smew.cost.estimated, smew.fees.estimated, smew.profit.estimated) == (False, True, True)
    (closing,) = (line for line in money.goods if line.words == "less closing inventory")
    assert closing.figure.estimated


def test_cost_sheet_adds_up_by_account():
    # 120 + 15 post; one of three cans for 36; the bridge is not paid and not here.
    costs = {a.name: a.total.text for a in build("teal").costs}
    assert costs == {"instrument": "$135.00", "materials": "$12.00"}
    assert build("teal").cost_total.text == build("teal").carried.text == "$147.00"


def test_profit_of_a_sold_build_and_its_estimated_fee():
    # 640 − 200 − (5 % of 640 + 0.30); 10 hours.
    smew = build("smew")
    assert smew.profit is not None and (smew.profit.text, smew.profit.estimated) == ("$407.70", True)
    assert smew.per_hour.text == "$40.77"


def test_every_amount_of_the_year_but_its_sums_leads_to_its_lines():
    money = office().money[0]
    lines = [line for line in (*money.statement, *money.goods) if line.kind in ("line", "part") and any(c in "123456789" for c in line.figure.text)]
    assert {"less expenses", "of which lost: scrapped, written off or short"} <= {line.words for line in lines}  # 30 for Garganey, scrapped
    assert not [line.words for line in lines if not line.figure.href]


def test_every_line_of_a_sheet_names_its_note():
    for b in office().builds:
        for account in (*b.costs, *b.earned):
            for line in account.lines:
                assert line.source is not None and text_at(f"{line.source.place.file}:{line.source.place.line}")


def test_notes_behind_a_page_are_the_lines_themselves():
    for page in (office().week, office().show, *office().builds, *(m.ledger for m in office().money)):
        assert all(noted.text == text_at(noted.words) for noted in page.noted)


def test_a_stage_done_again_shows_both_passes():
    colour = next(s for s in build("smew").stages if s.name == "colour")
    assert [(p.number, p.hours) for p in colour.passes] == [(1, "3\u00a0h"), (2, "2\u00a0h")]


def test_a_scrapped_build_is_told_apart():
    groups = {g.name: [r.link.words for r in g.rows] for g in office().groups}
    assert groups["Kept, given away, lost or scrapped"] == ["Garganey"]
    assert build("garganey").recognised.text == "$30.00"


def test_builds_are_listed_once_each():
    listed = [r.link.words for g in office().groups for r in g.rows]
    assert sorted(listed) == ["Garganey", "Smew", "Teal"]


def test_the_whole_sums_to_nothing():
    for money in office().money:
        assert money.whole[-1].figure.text == "$0.00"


def test_two_ways_to_the_same_sum_agree():
    for money in office().money:
        first, second, third, fourth = money.checks
        assert first.figure.text == second.figure.text and third.figure.text == fourth.figure.text


def test_expense_kinds_name_the_line_of_the_form():
    lines = {line.words: line.form_line for line in office().money[0].statement}
    assert lines["rent"] == "20b"


def test_ledger_has_every_line_of_the_year():
    from purfle.books import year_of

    year = year_of(analysis().books, 2026)
    ledger = office().money[0].ledger
    assert sum(len(a.lines) for c in ledger.chapters for a in c.accounts) == len(year.lines)


def test_stock_running_low_is_told():
    row = office().stock.rows[0]
    assert (row.item, row.qty, row.low, row.value.text) == ("amber lacquer", "2", True, "$24.00")
    assert row.source is not None and row.source.words == "journal/2026-01-12.md:2"
    assert office().stock.low == ("amber lacquer",)
    assert b"Running low: amber lacquer." in pages()["stock.html"]


def test_stock_that_is_low_is_told_though_it_is_used_up_and_with_what_is_on_its_way():
    """Three cans came and three are used."""
    files = {
        **FILES,
        "journal/2026-03-01.md": fenced("used: {item: amber lacquer, qty: 2, build: teal}"),
        "journal/2026-02-27.md": fenced("bought: {item: amber lacquer, qty: 1, cost: 12, arrived: 2026-03-09}"),
    }
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    stock = office_view(a, a.troubles, Held()).stock
    (row,) = stock.rows
    assert (stock.low, row.item, row.qty, row.unit, row.value.text) == (("amber lacquer",), "amber lacquer", "0", "can", "$0.00")
    assert row.words == "0 left, 2 is low; more is here on Mar 9, 2026"


def test_a_third_of_a_can_is_as_much_on_the_shelf_as_in_the_tables():
    """By hand: 3 − 1 − 0.333 = 1.667; the year's table and its CSV tell the same quantity."""
    a = Analysis(
        {**{name: text.encode() for name, text in FILES.items()}, "journal/2026-03-01.md": b"---\nused: {item: amber lacquer, qty: 0.333, build: teal}\n---\n"},
        frozenset(),
        TODAY,
    )
    (row,) = office_view(a, a.troubles, Held()).stock.rows
    year = year_of(a.books, 2026)
    assert row.qty == contract_money.year(year)["stock"][0]["qty"] == csv_of(year, "stock").split("\r\n")[1].split(",")[1] == "1.667"
    assert row.words == "order: 1.667 left, 2 is low"


@pytest.mark.parametrize(("asked", "enough"), [("0 %", 1), ("250 %", 100)])
def test_a_likelihood_beyond_reason_is_kept_within_it_on_the_plan_too(asked, enough):
    """As where the show judges what is ready: what can't be done is never enough, and what is done always is."""
    files = {**FILES, "shop.md": FILES["shop.md"].replace("lead: 2 days", f"lead: 2 days, likelihood: {asked}")}
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    chances = [(c.words, c.enough) for row in office_view(a, a.troubles, Held()).plan.soon for c in row.chances]
    assert {"0%", "100%"} <= {words for words, _ in chances}
    assert all(stands_out == (int(words.rstrip("%")) >= enough) for words, stands_out in chances)


def test_chances_that_are_enough_for_the_show_stand_out():
    # The shop asks for 80 %, the usual likelihood.
    chances = [(c.words, c.enough) for row in office().plan.soon for c in row.chances]
    assert all(enough == (int(words.rstrip("%")) >= 80) for words, enough in chances)
    assert {enough for _, enough in chances} == {True, False}


def test_a_figure_of_nothing_is_known_for_one():
    rows = office().money[0].builds
    amounts = [figure for row in rows for figure in (row.revenue, row.cost, row.carried)]
    assert all(figure.nil == (figure.text == "$0.00") for figure in amounts) and any(figure.nil for figure in amounts)


def test_cash_begins_with_the_month_in_which_any_moved():
    # Smew came on 2025-11-02, the first that the shop ever paid.
    money = next(m for m in office().money if m.year == 2025)
    assert [row[0] for row in money.cash.table.rows] == ["Nov 2025", "Dec 2025"]


def test_a_part_on_its_way_makes_a_wait():
    spans = [(s.mark, s.first.isoformat(), s.last.isoformat()) for s in office().plan.timeline.spans if s.build == "teal"]
    assert ("wait", "2026-03-04", "2026-03-11") in spans and ("due", "2026-03-20", "2026-03-20") in spans


def _spans(*lines: str) -> list[tuple[str, str, str]]:
    """First day, last day and words of a build's waits, in a shop whose day is Wednesday 4 March."""
    files = {"shop.md": FILES["shop.md"], "builds/teal/build.md": fenced("title: Teal", *lines)}
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    drawn = office_view(a, a.troubles, Held()).plan.timeline
    return [(s.first.isoformat(), s.last.isoformat(), s.words) for s in drawn.spans if s.mark == "wait"]


def test_a_hold_is_a_wait_with_its_reason():
    """Six weeks are drawn, 4 March to 14 April; what is over is not, and what has no last day goes to their end."""
    holds = "hold: [{since: 2026-02-01, until: 2026-03-03}, {since: 2026-03-01, until: 2026-03-06, why: he is away}, {since: 2026-03-10}]"
    assert _spans("route: plain", holds) == [
        ("2026-03-04", "2026-03-06", "on hold: he is away"),
        ("2026-03-10", "2026-04-14", "on hold, with no last day given"),
    ]


def test_outside_work_is_drawn_as_long_as_the_plan_has_it():
    """(7 + 4 × 10 + 18) ÷ 6 = 10.8: from the day after it is sent until it is back on the 15th."""
    assert _spans("stages: [{stage: plating, hours: 0.5, wait: [7, 10, 18]}]") == [("2026-03-05", "2026-03-14", "at outside work, the expected time")]


def test_timeline_table_has_every_span():
    plan = office().plan
    assert [(r.build.words, r.mark, r.stage) for r in plan.spans] == [(s.title, s.mark, s.stage) for s in plan.timeline.spans]


def test_bench_spans_have_the_plan_s_hours():
    spans = [s for s in office().plan.timeline.spans if s.mark == "bench"]
    hours = sum((Decimal(s.words.split("\u00a0")[0]) for s in spans), Decimal(0))
    assert hours == sum((t.hours for d in analysis().plan.days for t in d.tasks), Decimal(0))


def test_show_lists_an_open_promise_and_its_note():
    row = office().show.promises[0]
    assert row.words == "show colour" and row.source is not None and row.source.words == "journal/episodes/2026-02-27.md:5"


def test_an_open_build_is_quoted_with_labour_beside_cost():
    # Cost 147 and the bridge at 40, the target margin 35 % of the price, no channel: 187 ÷ 0.65, rounded up to the cent.
    quote = build("teal").quote
    assert quote is not None and quote.cost.text == "$187.00" and quote.asking.text == "$287.70"
    assert quote.ceiling is None and build("smew").quote is None


def test_a_piece_of_the_owners_own_says_what_it_cost_and_brought():
    """Bought for 500, sold for 450: a loss of 50, which is shown and not counted. The shop drove 40 km at a rate for each km."""
    files = {
        **FILES,
        "shop.md": FILES["shop.md"].replace("name:", "mileage: {from: 2026-01-01, rate: 0.30, unit: km}\nname:", 1),
        "builds/kestrel/build.md": fenced(
            "title: Kestrel", "kind: collection", "acquired: {date: 2018-06-01, how: own collection, basis: 500}", "sale: {date: 2026-02-11, price: 450}"
        ),
        "journal/2026-02-27.md": fenced("drove: {distance: 40}"),
    }
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    made = office_view(a, a.troubles, Held())
    piece = next(b.piece for b in made.builds if b.page == "builds/kestrel.html")
    assert piece is not None and piece.gain is not None and piece.counted is not None
    assert [(account.name, account.total.text) for account in piece.accounts] == [("instrument", "$500.00"), ("proceeds", "$450.00")]
    assert (piece.gain.text, piece.counted.text) == ("-$50.00", "$0.00")
    assert made.money[0].driven == "60\u00a0km"  # 20 in another note
    page = pages_of(made, templates())["builds/kestrel.html"].decode()
    assert "Your own piece, apart from the shop" in page and "Nothing sold yet" not in page and "No cost noted" not in page


def test_where_nobody_drove_nothing_is_said_of_distances():
    """A shop in kilometres without a trip would read of 0 mi."""
    stayed = {**FILES, "journal/2026-02-02.md": fenced("paid: [{what: advert, cost: 12.5, kind: advertising}]")}
    a = Analysis({name: text.encode() for name, text in stayed.items()}, frozenset(), TODAY)
    page = pages_of(office_view(a, a.troubles, Held()), templates())["money.html"].decode()
    assert "driven for the shop" not in page and "mileage" not in page and "driven for the shop" in pages()["money.html"].decode()
