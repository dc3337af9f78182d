"""Frontmatter that YAML can't read: the slip is told at its own place, and its mend, followed to the letter, mends it."""

from datetime import date
from time import process_time

import pytest

from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.frontmatter.slips import slip_in
from purfle.notes.frontmatter.tree import compose_bare
from purfle.notes.shop import read_shop

TODAY = date(2026, 5, 20)


def told(keys):
    files = {
        "shop.md": b"---\nname: B\n---\n",
        "builds/heron/build.md": b"---\ntitle: Heron\n---\n",
        "builds/heron/2026-03-14.md": f"---\n{keys}\n---\n".encode(),
    }
    return [(t.place.line - 1, t.place.column, t.code, t.mend) for t in read_shop(files, (), TODAY)[1]]


@pytest.mark.parametrize(
    ("keys", "line", "column", "mend", "mended"),
    [
        ("stage: strip\nhours:2", 2, 1, "write hours: 2", "stage: strip\nhours: 2"),
        ("stage:strip\nhours: 2", 1, 1, "write stage: strip", "stage: strip\nhours: 2"),
        ("hours = 2", 1, 1, "write hours: 2", "hours: 2"),
        ("hours 2\nshowroom: no", 1, 1, "write hours: 2", "hours: 2\nshowroom: no"),
        ("stage: strip; hours: 2", 1, 15, "write hours: 2 on a line of its own", "stage: strip\nhours: 2"),
        ("stage: strip\n  hours: 2", 2, 3, "begin it in the same column as stage above it, or as the key it belongs beside", "stage: strip\nhours: 2"),
        (
            "redo:\n- strip\nshots:\n- shot: a\n minutes: 1",
            5,
            2,
            "begin it in the same column as shot above it, or as the key it belongs beside",
            "shots:\n- shot: a\n  minutes: 1",
        ),
        ("shots: {shot: a, minutes: 1\nhours: 2", 1, 8, "write } where it ends", "shots: {shot: a, minutes: 1}\nhours: 2"),
        ("shots: [{shot: a}\nhours: 2", 1, 8, "write ] where it ends", "shots: [{shot: a}]\nhours: 2"),
        ("shots: {shot: a}}", 1, 17, "take it out, or open what it closes", "shots: {shot: a}"),
        ("shots: (shot: a, minutes: 1)", 1, 8, "write { } round them", "shots: {shot: a, minutes: 1}"),
        ("shots: {shot: a minutes: 1}", 1, 17, "write a comma between the value before it and minutes:", "shots: {shot: a, minutes: 1}"),
        ("shots: {shot: a; minutes: 1}", 1, 16, "write a comma in its place", "shots: {shot: a, minutes: 1}"),
        ('stage: "strip\nhours: 2', 1, 8, 'write " where the value ends, or take this one out', 'stage: "strip"\nhours: 2'),
        ("shots: [the neck's heel, 'the body]", 1, 26, "write ' where the value ends, or take this one out", "shots: [the neck's heel, 'the body']"),
        ("It came off.\nhours: 2", 1, 1, "move them below the closing --- line", "hours: 2"),
        ("stage: strip\n2.5 h.\nshowroom: no", 2, 1, "write hours: 2.5 h", "stage: strip\nhours: 2.5 h\nshowroom: no"),
        ("shots: {shot: a,\nminutes: 1}\nhours 2", 3, 1, "write hours: 2", "shots: {shot: a,\nminutes: 1}\nhours: 2"),
        ("redo: [\nstrip,\nprime]\nhours 2", 4, 1, "write hours: 2", "redo: [\nstrip,\nprime]\nhours: 2"),
        ("stage: *strip*\nhours: 2", 1, 8, "write stage: strip", "stage: strip\nhours: 2"),
        ("stage: @strip\nhours: 2", 1, 8, 'put it in quotes: stage: "@strip"', 'stage: "@strip"\nhours: 2'),
        ("shots: {shot:, minutes: 1}", 1, 9, "write the value of shot behind it, or take shot: out", "shots: {shot: a, minutes: 1}"),
        ("stage: strip\n-hours: 2", 2, 1, "write hours: 2", "stage: strip\nhours: 2"),
        ("—hours: 2\nstage: strip", 1, 1, "write hours: 2", "hours: 2\nstage: strip"),
        ("shots: {-shot: a, minutes: 1}", 1, 9, "write shot: a", "shots: {shot: a, minutes: 1}"),
        ("bench:\n  -{stage: strip, hours: 1}", 2, 3, "write - {stage: strip, hours: 1}", "bench:\n  - {stage: strip, hours: 1}"),
        ("redo:\n-strip", 2, 1, "write - strip", "redo:\n- strip"),
        ("shots:\n  -{shot: a, minutes: 1}", 2, 3, "write - {shot: a, minutes: 1}", "shots:\n  - {shot: a, minutes: 1}"),
        ("shots:\n- {shot: a}\n-{shot: b,\n  minutes: 1}", 3, 1, "write - {shot: b,", "shots:\n- {shot: a}\n- {shot: b,\n  minutes: 1}"),
        ("shots:\n-{shot: a}", 2, 1, "write - {shot: a}", "shots:\n- {shot: a}"),
        ('redo:\n  -"strip"', 2, 3, 'write - "strip", and so each line below it', 'redo:\n  - "strip"'),
        ("shots: {shot: a knob [gold], minutes: 1}", 1, 22, 'put quotes round the value: "a knob [gold]"', 'shots: {shot: "a knob [gold]", minutes: 1}'),
        (
            "hours: 2\nshots: [{shot: a}, {shot: b}] too",
            2,
            31,
            "write it within the brackets, behind each value",
            "hours: 2\nshots: [{shot: a}, {shot: b too}]",
        ),
        ("hours: 2\nstage: ![the heel](photos/heel.jpg)", 2, 8, "write photos/heel.jpg", "hours: 2\nstage: photos/heel.jpg"),
        ("**hours:** 2", 1, 1, "write hours: 2", "hours: 2"),
        (
            "stage: strip\n\thours: 2",
            2,
            1,
            "take the tab out: begin it in the same column as stage above it, or as the key it belongs beside",
            "stage: strip\nhours: 2",
        ),
        ("bench:\n\t- {stage: strip}", 2, 1, "write spaces in place of each tab", "bench:\n  - {stage: strip}"),
        ("hours: 2\nstage：strip", 2, 6, "write stage: strip", "hours: 2\nstage: strip"),
        ("shots: ｛shot: a, minutes: 1}", 1, 8, "write { } round them", "shots: {shot: a, minutes: 1}"),
        ("hours: ?\nstage: strip", 1, 8, "take hours: out until it is known", "stage: strip"),
        ("shots: {shot: a, minutes: ?}", 1, 27, "take minutes: out until it is known", "shots: {shot: a}"),
        ("shots: [spray, steam],\nhours: 2", 1, 22, "take the comma out", "shots: [spray, steam]\nhours: 2"),
        ("hours: 2\nshots: [@noon, spray]", 2, 9, 'put it in quotes: "@noon"', 'hours: 2\nshots: ["@noon", spray]'),
        ("stage: > strip\nhours: 2", 1, 8, 'put it in quotes: stage: ">strip"', 'stage: ">strip"\nhours: 2'),
        (
            "hours: 2\nshots: {shot: 'Fenwick's plating', minutes: 1}",
            2,
            15,
            "take out the quotes round it, or write the other kind round it (\" or ') than stand in it",
            "shots: {shot: Fenwick's plating, minutes: 1}",
        ),
        (
            'stage: "the "gold" coat"\nhours: 2',
            1,
            8,
            "take out the quotes round it, or write the other kind round it (\" or ') than stand in it",
            "stage: 'the \"gold\" coat'\nhours: 2",
        ),
        ("redo:\n• strip", 2, 1, "write - in place of •, and so on each line below it", "redo:\n- strip"),
        (
            "hours: 2\nshots: {shot: #4 pad, minutes: 1}",
            2,
            15,
            'write "#4 pad", or a space after the # if a comment was meant',
            'shots: {shot: "#4 pad", minutes: 1}',
        ),
    ],
)
def test_a_slip_has_one_trouble_and_its_mend_mends_it(keys, line, column, mend, mended):
    assert [(at, over, what) for at, over, _, what in told(keys)] == [(line, column, mend)]
    assert told(mended) == []


LINES = "paid:\n  - what: bits\n    cost: 4\n    kind: tools\nhours: 2"


@pytest.mark.parametrize(
    ("right", "slip", "line", "column", "mend"),
    [
        ("cost: 4", "cost 4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost:4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost :4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost = 4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost=4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost:= 4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost - 4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost – 4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost -> 4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost; 4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost. 4", 3, 5, "write cost: 4"),
        ("cost: 4", "cost：4", 3, 9, "write cost: 4"),
        ("- what: bits", "- what bits", 2, 5, "write what: bits"),
        ("- what: bits", "- what, bits", 2, 5, "write what: bits"),
        ("cost: 4", "cost: - 4", 3, 11, "write cost: 4"),
        ("- what: bits", "- what: ? bits", 2, 11, "write what: bits"),
        ("- what: bits", "- what: , bits", 2, 11, "write what: bits"),
        ("cost: 4", "mood:fine", 3, 5, "write mood: fine"),
        ("what: bits\n    cost: 4", "what:\n   currency: EUR", 3, 4, "begin it in the same column as what above it, or as the key it belongs beside"),
        ("    cost: 4", "    4", 3, 5, "write its key and a colon before it, or take it out"),
        ("- what: bits", "• what: bits", 2, 3, "write - in place of •, and so on each line below it"),
        ("- what: bits", "* what: bits", 2, 3, "write - in place of *, and so on each line below it"),
        ("- what: bits", "1. what: bits", 2, 3, "write - in place of 1., and so on each line below it"),
        ("- what: bits", "-  what: bits", 3, 5, "begin it in the same column as what above it, or as the key it belongs beside"),
        ("    kind: tools", "   kind: tools", 4, 4, "begin it in the same column as cost above it, or as the key it belongs beside"),
        ("- what: bits", "//- what: bits", 2, 3, "take it out, or write # in its place if the line is a comment"),
        ("paid:\n", "paid:\n  some words\n", 2, 3, "take them out, or write # before them"),
        ("cost: 4\n    kind: tools", "cost: 4 kind: tools", 3, 13, "write kind: tools on a line of its own"),
        ("bits", "[bits](list.md)", 2, 11, "write bits alone, or list.md alone where an address belongs"),
    ],
)
def test_a_slip_further_in_is_told_on_its_own_line(right, slip, line, column, mend):
    assert told(LINES) == []
    assert right in LINES
    assert [(at, over, what) for at, over, _, what in told(LINES.replace(right, slip))] == [(line, column, mend)]


def test_what_is_found_is_named_by_its_own_letters():
    assert slip_in(["stage: strip", "  hours: 2"], 1, 8, "", ()).found == "hours does not begin below stage"
    assert slip_in(["shots: (shot: a, minutes: 1)"], 0, 12, "", ()).found == "keys stand in ("


@pytest.mark.parametrize(
    ("keys", "line", "column", "mend"),
    [
        ("shots: {shot: a, minutes: 1}, hours: 2", 1, 29, "write hours: 2 on a line of its own"),
        ("shots: {shot: a, minutes: 1} // twice", 1, 30, "take it out, or write # before it if it is a comment"),
        ("shots: {shot: a,, minutes: 1}", 1, 17, "take one of the two out"),
        ("shots: {shot: a, : 1}", 1, 18, "write the key before it"),
        ("shots: {shot: rub out: again, minutes: 1}", 1, 22, "put quotes round the value"),
        ("redo:\n  - strip\n   - prime\n- grain", 4, 1, "begin it in the same column as the hyphen above it"),
    ],
)
def test_what_stands_about_brackets_and_hyphens_is_told_at_its_place(keys, line, column, mend):
    assert [(at, over, what) for at, over, _, what in told(keys)] == [(line, column, mend)]


@pytest.mark.parametrize(
    ("keys", "column", "mend", "mended"),
    [
        ("shots: {shot: a, minutes 40}", 18, "write minutes: 40, or put quotes round all of it if these are words", "shots: {shot: a, minutes: 40}"),
        ("shots: {shot: a, minutes=40}", 18, "write minutes: 40, or put quotes round all of it if these are words", "shots: {shot: 'a, minutes=40'}"),
        ("shots: {shot: a, minutes - 40}", 18, "write minutes: 40, or put quotes round all of it if these are words", "shots: {shot: a, minutes: 40}"),
        ("shots: {shot: a, minutes, 40}", 18, "write minutes: 40, or put quotes round all of it if these are words", "shots: {shot: a, minutes: 40}"),
        (
            "bench: [{stage: strip, finished yes}]",
            24,
            "write finished: yes, or put quotes round all of it if these are words",
            "bench: [{stage: strip, finished: yes}]",
        ),
        (
            "bought: {item: wax, for heron, cost: 4}",
            21,
            "write for: heron, or put quotes round all of it if these are words",
            "bought: {item: wax, for: heron, cost: 4}",
        ),
        (
            "paid: {what: bits, cost 4, kind: tools}",
            20,
            "write cost: 4, or put quotes round all of it if these are words",
            "paid: {what: bits, cost: 4, kind: tools}",
        ),
        ("shots: {shot: a, minutes. 40}", 18, "write minutes: 40, or put quotes round all of it if these are words", "shots: {shot: a, minutes: 40}"),
        ("shots: {shot: a, minutes：40}", 18, "write minutes: 40, or put quotes round all of it if these are words", "shots: {shot: a, minutes: 40}"),
        ("drove: 30 km", 8, "write {distance: 30, unit: km}", "drove: {distance: 30, unit: km}"),
        ("drove: 24,5 Miles to the mill", 8, "write {distance: 24.5, unit: mi, why: to the mill}", "drove: {distance: 24.5, unit: mi, why: to the mill}"),
        ("drove: [30, {distance: 2}]", 9, "write {distance: 30}", "drove: [{distance: 30}, {distance: 2}]"),
        ("drove: to the mill", 8, "write keys such as {distance: 24, unit: mi}", "drove: {distance: 24, unit: mi}"),
    ],
)
def test_a_key_without_its_colon_and_a_trip_in_words_are_told_with_what_was_written(keys, column, mend, mended):
    assert [(at, over, what) for at, over, _, what in told(keys)] == [(1, column, mend)]
    assert told(mended) == []


@pytest.mark.parametrize("words", ["plating, paid in cash", "screws, nuts and bolts", "hinges, from the yard", "a box, minutes of work in it"])
def test_words_behind_a_comma_stay_words(words):
    assert told(f"paid: {{what: {words}, cost: 4, kind: tools}}") == []


def test_unbreakable_spaces_are_read_as_meant():
    assert told("stage:\u00a0strip\nhours\u00a0:\u00a02\nshots: [{shot:\u00a0a,\u202fminutes: 1}]") == []


def test_letters_that_take_no_room_are_passed_over():
    assert told("st\u200bage:\u200b strip\u00ad\n\u200bhours: \ufeff2\u200b\nshots: [{shot:\u2060 a, minutes: 1}]") == []
    assert told("hours: 2\n\u200b---\u200b\nA line.") == []


def test_what_a_list_leaves_behind_a_value_is_passed_over():
    assert told("stage: strip,\nbench: [{for: shop., hours: 1}]\nshots:\n  - spray;") == []


@pytest.mark.parametrize("piece", [" ", "a", "a ", "\u00a0", "'", '"', "{", "}", "[ ", "a: ", "- ", "a:b ", ";", "\n", "a\n", "'a\n", "a: {\n", "(", "(a: "])
def test_a_slip_is_looked_for_in_little_time(piece):
    text = (piece * 200_000)[:200_000]
    start = process_time()
    for problem in (text, f"hours: {text}: {{", f"{text}\n:", f"{{{text}\n\t: ]"):
        compose_bare(problem, Place("n.md", 1), Troubles(), ("hours",))
        slip_in(problem.split("\n"), problem.count("\n"), 100_000, "", ("hours",))
    assert process_time() - start < 20
