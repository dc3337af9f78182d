"""Run sheets, income on air, hours of the show, ideas for bulletins."""

from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st
from show_texts import SHOP, TODAY, build, day, episode, note, shop_with, show_of

from purfle.books import year_of
from purfle.compile import Analysis
from purfle.shell import contract_money
from purfle.shell.job_sheet import job_sheet_of
from purfle.show.income import air_income, show_hours
from purfle.show.model import AirIncome

WREN = {"builds/wren/build.md": build(title="Wren"), "builds/plover/build.md": build(title="Plover")}


def incomes(*episodes, today=TODAY, shop=SHOP):
    files = {"shop.md": shop, **WREN, **{f"journal/episodes/{d}.md": text for d, text in episodes}}
    return {i.build: (str(i.amount), i.minutes) for i in air_income(shop_with(files, today), today)}


# --- income -------------------------------------------------------------------------------------------------------------------


def test_three_equal_shares_of_one_hundred():
    """33.34 33.33 33.33: largest remainders, the first listed gains the cent (computed)."""
    segments = "segments: [{build: wren, minutes: 2}, {build: heron, minutes: 2}, {build: plover, minutes: 2}]"
    earned = incomes(("2026-02-27", episode(segments, "income: [{what: ad share, amount: 100}]")))
    assert earned == {"wren": ("33.34", 2), "heron": ("33.33", 2), "plover": ("33.33", 2)}


def test_shares_go_by_screen_time():
    segments = "segments: [{build: wren, minutes: 3}, {what: talk, minutes: 6}, {build: heron, minutes: 1}, {build: Wren, minutes: 4}]"
    assert incomes(("2026-02-27", episode(segments, "income: [{what: ad share, amount: 80}]"))) == {"wren": ("70.00", 7), "heron": ("10.00", 1)}


def test_a_currency_without_cents_is_shared_in_whole_units():
    segments = "segments: [{build: wren, minutes: 2}, {build: heron, minutes: 1}]"
    shop = SHOP.replace("show:", "currency: JPY\nshow:")
    assert incomes(("2026-02-27", episode(segments, "income: {what: ad share, amount: 1000}")), shop=shop) == {"wren": ("667", 2), "heron": ("333", 1)}


def test_money_counts_from_its_day_and_episodes_once_aired():
    paid_later = episode("segments: [{build: wren, minutes: 2}]", "income: {what: ad share, amount: 50, date: 2026-03-15}")
    unaired = episode("segments: [{build: heron, minutes: 2}]", "income: {what: ad share, amount: 50}", aired=False)
    assert incomes(("2026-02-20", paid_later), ("2026-02-27", unaired)) == {"wren": ("0", 2)}
    assert incomes(("2026-02-20", paid_later), today=day("2026-03-15")) == {"wren": ("50.00", 2)}


def test_a_piece_without_minutes_counts_the_usual_ones():
    first = ("2026-02-20", episode("segments: [{build: wren, minutes: 3}]"))
    second = ("2026-02-27", episode("segments: [{build: heron}, {build: wren, minutes: 6}]", "income: {what: ad share, amount: 90}"))
    assert incomes(first, second) == {"heron": ("30.00", 3), "wren": ("60.00", 9)}


@settings(deadline=None)
@given(st.lists(st.integers(0, 900), min_size=1, max_size=3), st.integers(0, 10**7))
def test_shares_add_up_to_the_cent(minutes, cents):
    pieces = ", ".join(f"{{build: {b}, minutes: {m / 100:.2f}}}" for b, m in zip(("heron", "wren", "plover"), minutes, strict=False))
    earned = incomes(("2026-02-27", episode(f"segments: [{pieces}]", f"income: {{what: ad share, amount: {Decimal(cents) / 100}}}")))
    assert sum(Decimal(amount) for amount, _ in earned.values()) == Decimal(cents) / 100


def test_the_first_day_of_the_business_year_is_in_it():
    files = {"shop.md": SHOP.replace("show:", "year_starts: 02-17\nshow:"), "journal/episodes/2026-02-20.md": episode("hours: {filming: 2}")}
    assert show_hours(shop_with(files), TODAY) == 2


def test_hours_of_the_business_year_by_the_day_of_recording():
    hours = "hours: {filming: 2:30, editing: 4}"
    files = {
        "journal/episodes/2026-01-02.md": episode(hours),  # recorded on 30 December
        "journal/episodes/2026-02-20.md": episode(hours),
        "journal/episodes/2026-03-06.md": episode(hours, "recorded: 2026-03-01", aired=False),
        "journal/episodes/2026-03-13.md": episode(hours, aired=False),
    }
    assert show_hours(shop_with(files), TODAY) == 13
    april = {**files, "shop.md": SHOP.replace("show:", "year_starts: 04-06\nshow:")}
    assert show_hours(shop_with(april), TODAY) == Decimal("19.5")


def hours_of(*episodes):
    files = {"shop.md": SHOP, **WREN, **{f"journal/episodes/{d}.md": text for d, text in episodes}}
    return {i.build: i.hours for i in air_income(shop_with(files), TODAY)}


def test_hours_go_by_screen_time_too():
    """9.5 hours over three minutes and one: 7.125 and 2.375, to the hundredth; the first listed gains it."""
    segments = "segments: [{build: wren, minutes: 3}, {build: heron, minutes: 1}, {what: talk, minutes: 5}]"
    assert hours_of(("2026-02-27", episode(segments, "hours: {filming: 3, editing: 6:30}"))) == {"wren": Decimal("7.13"), "heron": Decimal("2.37")}


def test_an_hour_counts_bench_and_show_once_it_is_sold():
    """(500 + 45) / (6 + 4) = 54.5."""
    air = AirIncome("wren", Decimal(45), Decimal(3), Decimal(4))
    assert air.per_hour(Decimal(500), Decimal(6), True) == Decimal("54.5")
    assert air.per_hour(Decimal(500), Decimal(6), False) is None


def test_the_books_and_the_show_count_the_same_hours():
    hours = "hours: {filming: 2:30, editing: 4}"
    files = {
        "shop.md": SHOP,
        "journal/episodes/2026-01-02.md": episode(hours),  # recorded on 30 December, so in the year before
        "journal/episodes/2026-02-20.md": episode(hours),
        "journal/episodes/2026-03-06.md": episode(hours, "recorded: 2026-03-01", aired=False),
    }
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    assert (year_of(a.books, 2026).hours, year_of(a.books, 2025).hours) == (show_hours(a.shop, TODAY), Decimal("6.5"))


def test_the_sheet_command_tells_both_what_a_build_earned_at_sale_and_on_air():
    """Sold for 500 with nothing spent, 2 bench hours; 30 and its 3 hours on air: (500 + 30) / (2 + 3) = 106."""
    files = {
        "shop.md": SHOP,
        "builds/wren/build.md": build("sale: {date: 2026-03-01, price: 500}", title="Wren"),
        "builds/wren/2026-02-20.md": note("stage: strip", "hours: 2"),
        "journal/episodes/2026-02-27.md": episode("segments: [{build: wren, minutes: 2}]", "income: {what: ads, amount: 30}", "hours: {editing: 3}"),
    }
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    answer = contract_money.sheet(job_sheet_of(a, "wren"))
    assert (answer["profit"], answer["profit_per_hour"]) == ("500.00", "250.00")
    assert answer["on_air"] == {"amount": "30.00", "minutes": "2.00", "hours": "3.00", "per_hour_in_all": "106.00"}


# --- run sheets -----------------------------------------------------------------------------------------------------------------

TAPED = {"builds/heron/2026-02-26.md": note("stage: mask", "hours: 1", "shots: [{shot: the tape coming off, minutes: 600, speed: 100x}]")}


def sheet(*lines, files=None):
    return show_of({**(files or {}), "journal/episodes/2026-03-06.md": episode(*lines, aired=False)})[0].run_sheets[0]


def test_a_run_sheet_adds_up_against_the_length():
    found = sheet("minutes: 10", "segments: [{build: heron, stage: mask, minutes: 8.5}, {what: talk, minutes: 2, words: what comes next}]")
    assert (found.minutes, found.length, found.over) == (Decimal("10.5"), 10, Decimal("0.5"))
    assert (found.airs, found.records) == (day("2026-03-06"), day("2026-03-03"))
    assert [(line.what, line.build, line.stage, line.words) for line in found.lines] == [
        ("progress", "heron", "mask", None),
        ("talk", None, None, "what comes next"),
    ]


def test_a_run_sheet_names_the_shots_and_their_running_time():
    line = sheet("segments: [{build: heron, stage: mask, minutes: 8}]", files=TAPED).lines[0]
    assert ([s.shot for s in line.shots], line.screen_seconds, line.estimated) == (["the tape coming off"], 360, False)


def test_open_minutes_are_the_usual_ones_or_the_time_lapse_if_longer():
    found = sheet("segments: [{build: heron, stage: mask}, {build: heron, stage: prime}]", files=TAPED)
    assert [(line.minutes, line.estimated) for line in found.lines] == [(6, True), (4, True)]
    assert found.over == -4


def test_sixty_segments_are_added_up_all_the_same():
    found = sheet("segments:", *["  - {what: talk, minutes: 1}"] * 60)
    assert (found.minutes, found.over) == (60, 46)


# --- bulletins --------------------------------------------------------------------------------------------------------------------

TOLD = {"builds/heron/2026-02-26.md": note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1, finished: yes}]", "shots: [bare wood]")}


def ideas(files):
    return [(i.build, i.stage) for i in show_of({**TOLD, **files})[0].bulletins]


def test_an_idea_needs_a_finished_stage_and_a_shot_in_the_can():
    assert ideas({}) == [("heron", "strip")]


def test_no_idea_for_what_is_told_private_or_old():
    bulletin = {"journal/bulletins/2026-02-27.md": note("build: heron", "stage: strip") + "Bare wood."}
    on_air = {"journal/episodes/2026-02-27.md": episode("segments: [{build: heron, stage: strip}]")}
    private = {"builds/heron/build.md": build(showroom="no")}
    assert ideas(bulletin) == ideas(on_air) == ideas(private) == []
    assert show_of(TOLD, day("2026-05-01"))[0].bulletins == ()


def test_no_idea_of_what_is_still_away_for_outside_work():
    """Its hands are done, so the notes call it finished; nobody can write that it is, before it is back (a week later, as the route says)."""
    away = SHOP.replace("{stage: strip, hours: 2,", "{stage: strip, hours: 2, wait: [5, 7, 9],")
    assert ideas({"shop.md": away}) == []
    assert [i.stage for i in show_of({**TOLD, "shop.md": away}, day("2026-03-05"))[0].bulletins] == ["strip"]


def test_how_many_the_week_still_wants():
    def sent(d):
        return {f"journal/bulletins/{d}.md": "Bare wood."}

    assert show_of({})[0].bulletins_left == 2
    assert show_of({**sent("2026-03-01"), **sent("2026-03-02"), **sent("2026-03-08")})[0].bulletins_left == 0
