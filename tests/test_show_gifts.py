"""Disclosures: what a gifted part asks for, and what covers it."""

import pytest
from show_texts import build, day, episode, note, shop_with, show_of

from purfle.show.gifts import covered, gifts_in
from purfle.show.model import Gift
from purfle.show.route import order_of

PARTS = "parts: [{part: pickups, how: gifted, for: mask, from: Tarnwater Pickups, arrived: 2026-02-10}, {part: bridge, cost: 20}, {part: nut, how: customer's}]"
FILES = {"builds/heron/build.md": build(PARTS), "builds/wren/build.md": build(title="Wren")}
PICKUPS = Gift("pickups", "heron", "gifted", "Tarnwater Pickups")
ORDER = ("strip", "prime", "mask", "colour", "clear", "setup")


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
    heron = shop_with(FILES).build("heron")
    assert gifts_in(heron, ORDER, stage, recorded and day(recorded)) == ((PICKUPS,) if seen else ())


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


def test_the_order_of_a_route_keeps_what_the_build_skips():
    """The shop's route has mask and setup; the build skips one, ends before the other and adds its own."""
    sheet = build("ends_at: clear", "stages: [{stage: mask, skip: yes}, {stage: binding, hours: 1, follows: [strip]}]")
    shop = shop_with({"builds/heron/build.md": sheet, "builds/heron/2026-02-20.md": note("stage: strip", "hours: 1")})
    from shop_texts import told

    order = order_of(shop, shop.build("heron"), told(shop)[0]["heron"])
    assert [s for s in order if s != "binding"] == list(ORDER)
    assert order.index("strip") < order.index("binding")


def test_one_gift_is_told_once_an_episode():
    segments = "segments: [{build: heron, stage: mask}, {build: heron, stage: colour}]"
    troubles = show_of({**FILES, "journal/episodes/2026-02-27.md": episode(segments)})[1]
    assert [t.code for t in troubles] == ["disclosure-missing"]
