"""Disclosures: what a gifted part asks for, and what covers it."""

import re

import pytest
from show_texts import build, day, episode, note, shop_with, show_of

from purfle.show.gifts import covered, gifts_in
from purfle.show.given import given_parts
from purfle.show.model import Gift
from purfle.show.route import order_of

PARTS = "parts: [{part: pickups, how: gifted, for: mask, from: Tarnwater Pickups, arrived: 2026-02-10}, {part: bridge, cost: 20}, {part: nut, how: customer's}]"
FILES = {"builds/heron/build.md": build(PARTS), "builds/wren/build.md": build(title="Wren")}
PICKUPS = Gift("pickups", "heron", "gifted", "Tarnwater Pickups")
STAGES = ("strip", "prime", "mask", "colour", "clear", "setup")
ORDER = {stage: frozenset(STAGES[:n]) for n, stage in enumerate(STAGES)}
"""A plain route: each stage follows all before it."""


@pytest.mark.parametrize(
    ("stage", "recorded", "seen"),
    [
        ("prime", None, False),
        ("mask", None, True),
        ("Colour", None, True),
        (None, None, True),
        ("a stage of its own", None, True),
        ("mask", "2026-02-09", False),
        ("mask", "2026-02-10", True),
    ],
)
def test_when_a_gifted_part_is_in_the_picture(stage, recorded, seen):
    given = given_parts(shop_with(FILES))
    assert gifts_in(given, "heron", ORDER, stage, recorded and day(recorded)) == ((PICKUPS,) if seen else ())


@pytest.mark.parametrize(
    ("disclosure", "covers"),
    [
        ("{what: pickups in heron, how: gifted}", True),
        ("{what: the Pickups, how: gifted}", True),
        ("{what: some parts, build: Heron}", True),
        ("{what: everything on HERON today}", True),
        ("{what: a parcel, from: tarnwater pickups}", True),
        ("{what: pickups in wren}", False),
        ("{what: pickups, build: wren}", False),
        ("{what: tuners}", False),
        ("{what: heronry}", False),
    ],
)
def test_what_a_disclosure_covers(disclosure, covers):
    shop = shop_with({**FILES, "journal/episodes/2026-02-27.md": episode(f"disclosures: [{disclosure}]")})
    assert covered(shop, PICKUPS, shop.episodes[0].sheet.disclosures) is covers


def test_a_disclosure_is_looked_through_for_the_builds_whose_names_it_may_hold_alone(monkeypatch):
    """An expression for each of a shop's builds took seconds in a large one: Python keeps no more than 512 of them."""
    others = {f"builds/b{n}/build.md": build(title=f"Build {n}") for n in range(30)}
    shop = shop_with({**FILES, **others, "journal/episodes/2026-02-27.md": episode("disclosures: [{what: pickups}]")})
    made, search = [], re.search
    monkeypatch.setattr(re, "search", lambda *words: made.append(words[0]) or search(*words))
    assert covered(shop, PICKUPS, shop.episodes[0].sheet.disclosures) and len(made) == 1


def test_the_order_of_a_route_keeps_what_the_build_skips():
    """The shop's route has mask and setup; the build skips one, ends before the other and adds its own."""
    sheet = build("ends_at: clear", "stages: [{stage: mask, skip: yes}, {stage: binding, hours: 1, follows: [strip]}]")
    shop = shop_with({"builds/heron/build.md": sheet, "builds/heron/2026-02-20.md": note("stage: strip", "hours: 1")})
    order = order_of(shop, shop.build("heron"))
    assert {stage: follows - {"binding"} for stage, follows in order.items() if stage != "binding"} == ORDER
    assert order["binding"] == {"strip"} and "binding" in order["prime"]


def test_a_part_for_a_stage_beside_the_one_shown_may_be_in_the_picture():
    """Frets and colour wait for strip alone, so either may be done first."""
    given = given_parts(shop_with({"builds/heron/build.md": build("parts: [{part: wire, how: gifted, for: frets}]")}))
    order = {"strip": frozenset(), "frets": frozenset({"strip"}), "colour": frozenset({"strip"})}
    assert [bool(gifts_in(given, "heron", order, stage, None)) for stage in ("strip", "colour", "frets")] == [False, True, True]


def test_one_gift_is_told_once_an_episode():
    segments = "segments: [{build: heron, stage: mask}, {build: heron, stage: colour}]"
    troubles = show_of({**FILES, "journal/episodes/2026-02-27.md": episode(segments)})[1]
    assert [t.code for t in troubles] == ["disclosure-missing"]


MOVES = {
    **{f"builds/{name}/build.md": build(title=name.title()) for name in ("wren", "plover")},
    "builds/heron/build.md": build(PARTS),
    "journal/2026-02-12.md": note("moved: {part: Pickups, from: heron, to: wren}"),
    "journal/2026-02-14.md": note("salvaged: {item: pickups, build: wren}"),
    "builds/plover/2026-02-16.md": note("used: {item: pickups, qty: 1}"),
}


@pytest.mark.parametrize(
    ("recorded", "where"),
    [("2026-02-09", []), ("2026-02-11", ["heron"]), ("2026-02-12", ["wren"]), ("2026-02-15", []), ("2026-02-16", ["plover"]), (None, ["plover"])],
)
def test_a_gift_is_followed_from_build_to_bin_to_build(recorded, where):
    given = given_parts(shop_with(MOVES))
    assert [id for id in ("heron", "plover", "wren") if gifts_in(given, id, ORDER, None, recorded and day(recorded))] == where


def test_a_line_of_a_builds_own_note_moves_from_that_build():
    """Neither `from:` nor `build:` is written: it is the note's own build that the part leaves."""
    shop = shop_with({**FILES, "builds/heron/2026-02-12.md": note("moved: {part: pickups, to: wren}")})
    assert [(g.where, g.since, g.until) for g in given_parts(shop)] == [
        ("heron", day("2026-02-10"), day("2026-02-12")),
        ("wren", day("2026-02-12"), None),
    ]


def test_of_two_given_and_one_moved_both_builds_have_it():
    parts = "parts: [{part: pickup, how: gifted, qty: 2, arrived: 2026-02-01}]"
    shop = shop_with({**MOVES, "builds/heron/build.md": build(parts), "journal/2026-02-12.md": note("moved: {part: pickup, from: heron, to: wren, qty: 1}")})
    assert [id for id in ("heron", "wren") if gifts_in(given_parts(shop), id, ORDER, None, None)] == ["heron", "wren"]


def test_a_moved_gift_is_for_the_stage_its_new_build_says():
    parts = "parts: [{part: pickups, for: clear, cost: 0}]"
    given = given_parts(
        shop_with(
            {"builds/heron/build.md": build(PARTS), "builds/wren/build.md": build(parts, title="Wren"), "journal/2026-02-12.md": MOVES["journal/2026-02-12.md"]}
        )
    )
    assert [bool(gifts_in(given, "wren", ORDER, stage, None)) for stage in ("strip", "clear")] == [False, True]
