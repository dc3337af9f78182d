"""Keys right under a heading of a journal day: what is nearly one there is told, for its hours would be lost and it would be read by all."""

from datetime import date

import pytest

from purfle.notes.shop import read_shop


def read(part):
    files = {
        "shop.md": b"---\nname: B\n---\n",
        "builds/heron/build.md": b"---\ntitle: Heron\nstages: [{stage: strip, hours: 4}]\n---\n",
        "journal/2026-03-14.md": f"Private.\n\n{part}\n".encode(),
    }
    shop, troubles = read_shop(files, (), date(2026, 5, 20))
    return shop.notes_of("heron"), [(t.place.line - 2, t.place.column, t.code, t.mend) for t in troubles]


@pytest.mark.parametrize(
    ("lines", "line", "column", "mend"),
    [
        ("hours 2", 2, 1, "write hours: 2"),
        ("hours - 2", 2, 1, "write hours: 2"),
        ("Hours – 2h30", 2, 1, "write Hours: 2h30"),
        ("hours = 2", 2, 1, "write hours: 2"),
        ("hours. 2", 2, 1, "write hours: 2"),
        ("hours; 2", 2, 1, "write hours: 2"),
        ("2 h", 2, 1, "write hours: 2 h"),
        ("90 min.", 2, 1, "write hours: 90 min"),
        ("1.5 hours", 2, 1, "write hours: 1.5 hours"),
        ("stage strip\nhours: 2", 2, 1, "write stage: strip"),
        ("stage: strip\nhours 2", 3, 1, "write hours: 2"),
    ],
)
def test_a_key_without_its_colon_is_told_and_not_published(lines, line, column, mend):
    notes, told = read(f"## Heron\n{lines}\n\nIt came off.")
    assert told == [(line, column, "key-glued", mend)]
    assert [note.body.text.strip() for note in notes] == ["It came off."]


@pytest.mark.parametrize(
    ("lines", "code", "mend"),
    [
        ("time: 2", "key-misspelt", "write hours"),
        ("hrs: 2", "key-misspelt", "write hours"),
        ("hours: 2\ncost: 12.50", "key-misplaced", "move it under bought:, moved:, paid: or lots:"),
    ],
)
def test_a_word_for_a_key_and_a_sum_are_told_and_not_published(lines, code, mend):
    notes, told = read(f"## Heron\n{lines}\n\nIt came off.")
    assert [(seen[2], seen[3]) for seen in told] == [(code, mend)]
    assert [note.body.text.strip() for note in notes] == ["It came off."]


@pytest.mark.parametrize("line", ["\u200bhours: 2", "hours\u200b: 2", "hours:\u200b 2", "\ufeffhours: 2", "\u00adhours\u2060:\u200e 2"])
def test_letters_that_take_no_room_are_no_part_of_a_key(line):
    notes, told = read(f"## Heron\n{line}\n\nIt came off.")
    assert told == []
    assert [(note.sheet.hours, note.body.text.strip()) for note in notes] == [(2, "It came off.")]
    assert [seen[2] for seen in read(f"## Heron\nIt came off.\n\n{line}")[1]] == ["key-in-text"]


@pytest.mark.parametrize("key", ["after sale", "after-sale", "After_Sale", "“after_sale”", "after_sale\u00a0"])
def test_a_key_is_read_under_a_heading_as_it_is_at_the_top_of_a_note_however_its_words_are_parted(key):
    notes, told = read(f"## Heron\n{key}: yes\n\nIt came off.")
    assert told == []
    assert [(note.sheet.after_sale, note.body.text.strip()) for note in notes] == [(True, "It came off.")]


@pytest.mark.parametrize("key", ["written off", "written-off", "written_off"])
def test_a_key_of_several_words_is_told_among_words_however_they_are_parted(key):
    assert [seen[2] for seen in read(f"## Heron\nIt came off.\n\n{key}: {{item: wax, qty: 1}}")[1]] == ["key-in-text"]


def test_hours_in_the_heading_are_told_unless_they_stand_below_it():
    assert read("## Heron, strip, 2.5 h\n\nIt came off.")[1] == [(1, 18, "key-in-text", "write hours: 2.5 h on the line below it")]
    assert read("## Heron (2.5 h)\nhours: 2.5\n\nIt came off.")[1] == []
    assert read("## Heron, sanded after dinner, 90 min\n\nIt came off.")[1] == [(1, 32, "key-in-text", "write hours: 90 min on the line below it")]


@pytest.mark.parametrize(
    "words", ["24 h later", "12 h after the last coat", "an 8 hour cure", "coats 20 min apart", "cured for 48 h", "after 16 h of drying", "a 15-min flash"]
)
def test_a_time_without_hands_in_the_heading_is_none_at_the_bench(words):
    notes, told = read(f"## Heron: {words}\n\nIt came off.")
    assert told == []
    assert [note.body.text.strip() for note in notes] == ["It came off."]


@pytest.mark.parametrize(
    "words",
    [
        "Hours of it. It came off.",
        "Stage fright, of all things.",
        "Hours - two of them - went by.",
        "2 hours in the rain for a parcel.",
        "Time: the one thing the clear wants.",
        "Used 2 cans and a rag.",
        "Finished. Yes!",
        "stage left stands the rack",
        "Year: 1962",
        "Frets: 21",
        "Radius: 10",
        "Humidity: 45",
        "12",
        "After the sale: nothing",
        "Written off as gone: the old bridge",
        "(hours: who counts them)",
    ],
)
def test_words_stay_words(words):
    notes, told = read(f"## Heron\n{words}\n")
    assert told == []
    assert [note.body.text.strip() for note in notes] == [words]
