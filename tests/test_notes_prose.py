"""What a builder writes in all innocence passes without a word, though the shop's private names, serials and sums are words and figures of every day."""

from datetime import date

import pytest

from purfle.notes.shop import read_shop

SHOP = "---\nname: Test\ncontact: mailto:bench@example.org\nroutes: {solid: [{stage: strip, hours: 2}]}\n---\n"
HERON = """---
title: Heron
instrument: electric bass
serial: HD 22871
route: solid
acquired: {date: 2026-01-10, price: 250, shipping: 45, from: Crown}
parts:
  - {part: tuner set, cost: 42.00, paid: 2026-02-12}
  - {part: bone nut, cost: 9.50, paid: 2026-02-12, from: Guitar Parts}
  - {part: strings, cost: 25.50, paid: 2026-02-12}
  - {part: pots, cost: 12, paid: 2026-02-12}
  - {part: crowning, cost: 22, paid: 2026-02-12}
  - {part: felt, cost: 0.82, paid: 2026-02-12}
showroom: yes
---
"""
WREN = '---\ntitle: Grey Wren\nserial: "2250"\nroute: solid\ncommission: {customer: Rose Ash, consent: {show: yes}}\nshowroom: yes\n---\n'
PLOVER = (
    "---\ntitle: Plover\nacquired: {date: 2025-10-10, price: 320, from: Will}\nsale: {date: 2026-03-01, price: 600, buyer: May Black}\nshowroom: yes\n---\n"
)
FRAMES = {
    "story": ("builds/heron/build.md", HERON + "\n"),
    "bench note": ("builds/heron/2026-03-14.md", "---\nstage: strip\nhours: 2\n---\n\n"),
    "note without keys": ("builds/heron/2026-03-14.md", ""),
    "day without keys": ("journal/2026-03-14.md", ""),
    "part of a day": ("journal/2026-03-14.md", "## Heron\n\n"),
    "episode": ("journal/episodes/2026-03-14.md", "---\ntitle: Blue\naired: yes\nshowroom: yes\n---\n\n"),
    "bulletin": ("journal/bulletins/2026-03-14.md", "---\nbuild: heron\nshowroom: yes\n---\n\n"),
    "about page": ("shop.md", SHOP),
}


def codes(frame, words):
    file, before = FRAMES[frame]
    files = {"shop.md": SHOP, "builds/heron/build.md": HERON, "builds/wren/build.md": WREN, "builds/plover/build.md": PLOVER, file: before + words + "\n"}
    return [trouble.code for trouble in read_shop({name: text.encode() for name, text in files.items()}, frozenset(), date(2026, 5, 20))[1]]


INNOCENT = (
    # colons in prose
    "Stage: I set up a small stage for the photos.", "Finish: oil over walnut, three thin coats.", "Finish: oil", "Hours: too many.", "Today: strip, sand, and then tea.",
    "Bought: a new chisel. Returned: the old one.", "Paid: in patience.", "Redo: the whole burst.", "Finished: at last.", "Moved: the lamp to the left.", "Lots: of dust.",
    "Received: a card from the coast.", "Update: it holds.", "HOURS: TOO MANY. COST: MY SUNDAY.", "“Withdrawn: my remark about the burst.”", "Start: 9:30. End: 12:15.",
    "Parts:\n- bridge: bent\n- tuners: fine", "What I used:\n- lacquer: 2 cans\n- time: 3 hours", "Q: Why?\nA: Because.", "Mix 2:1:10 by volume.", "The ratio was 1::2.",
    "- [x] strip\n- [ ] sand to 320", "```\nhours: 2.5\n```", "Lead: none in this paint, the test says.", "P.S.: The key is lost.", "R = V / I, so R = 9 / 0.005.",
    "Heures : trop.", "Stufe: abschleifen mit 320er Papier.", "¿Horas? Demasiadas. «¡Nada!»", "Etap: szlifowanie.", "« Enfin ! »", "🎸 Done! 12/10 would strip again.",
    # measures, times and counts that are by chance what something cost
    "Neck: 9.5 in radius, 42 mm at the nut.", "A 9.50 in radius at the nut, 12.00 in at the body.", "Measured: 25.50, 25.48, 25.51.",
    "Measured 42.00 at the nut and 52.50 at the heel.", "| fret | mm |\n|---|---|\n| 1 | 36.35 |\n| 4 | 42.00 |", "| fret | mm\n|---|---\n| 1 | 36.35\n| 4 | 42.00", "Relief 0.25, action 1.60, string 12.00 across.", "12.00 noon.",
    "We start at 9.50 and end at 12.00.", "The 9.50 train brought the case.", "It weighed 9.50 with strings.", "It weighs 12 pounds.", "Twelve pounds it weighs.", "Dressed 22 crowns.",
    "Le diapason fait 25,50 pouces.", "Die Mensur ist 25,50 Zoll.", "Skala 25,50 cala.", "It took 25.50 hours.", "250k pots, 12 of them.", "Went from 250 to 320 to 600 grit.",
    "I went for three twenty paper and four hundred after.", "In total 12 frets are worn.", "Bushing 22-50, M8 thread.", "It was 22, then 50, then none.",
    # words of the trade and the year that are also somebody's name
    "Ash body, maple neck.", "Ash. Two pieces.", "- Ash\n- Maple", "| Wood | Where |\n|---|---|\n| Ash | body |", "Wood: Ash", "ASH BODY, DONE.", "Swamp Ash body.", "A slab of Swamp Ash.",
    "Body: Northern Ash. Neck: Hard Maple.", "Rose Gold hardware.", "Hardware in Rose Gold.", "Rose from the floor at the third try.", "Black, three coats.", "Black lacquer.",
    "May was wet.", "In May I open the door.", "It will be done in May or June.", "15 May 2026: first coat.", "May I say that this was luck?", "Will it hold? It will.", "WILL IT HOLD?",
    "Made of Ash and Maple.", "The body is Ash, the neck is Maple.", "#ash #maple #may #will", "April, May, June.", "It will be May before it cures.",
    "Will sand tomorrow, will spray on Friday.", "Will need a refret.", "Will not ship.", "WILL CURE BY FRIDAY", "Will be done by Friday.", "Will-power.", "Next: Will it sing?",
    "The guitar parts are here.", "Guitar parts are dear.", "The ohms came to 250.", "I gave 600 talks.",
    "Late May. Every May.", "Crowned and polished. 0.82 at the lowest.", "Frets flat, neck straight.", "By the end of May.", "Crown, polish, next.",
)  # fmt: skip


@pytest.mark.parametrize("words", INNOCENT)
def test_innocent_words_pass_wherever_they_stand(words):
    assert {frame: told for frame in FRAMES if (told := codes(frame, words))} == {}


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("Ash came by.", "leak-name"), ("Mr. Ash agreed.", "leak-name"), ("Mrs. Black.", "leak-name"), ("R. Ash, oils.", "leak-name"), ("Ash is happy.", "leak-name"), ("Mr Black, oils.", "leak-name"), ("Black ordered it.", "leak-name"), ("Rose loved it.", "leak-name"), ("Rose's bass.", "leak-name"), ("Made for Rose.", "leak-name"), ("Rose Ash came.", "leak-name"),
        ("For Ash, who plays.", "leak-name"), ("Black paid for it.", "leak-name"), ("May came by.", "leak-name"), ("rose ash came.", "leak-name"), ("Write to @ash.", "leak-name"), ("Guitar Parts had it.", "leak-name"), ("www.guitarparts.example.org", "leak-name"), ("WILL", "leak-name"), ("Will plays it.", "leak-name"), ("Will and I.", "leak-name"), ("Will, who knows.", "leak-name"), ("Will Frost came.", "leak-name"), ("Ordered by May.", "leak-name"), ("For May.", "leak-name"),
        ("May was here.", "leak-name"), ("Will came.", "leak-name"), ("From Will.", "leak-name"), ("From Crown.", "leak-name"), ("MAY CAME BY.", "leak-name"),
        ("The tuners were 42.00 and worth it.", "leak-amount"), ("It is 34 in long and cost 25.50.", "leak-amount"), ("25.50 for the tuners, 18 mm wide.", "leak-amount"),
        ("The set came to 42.00. It measures 18 mm.", "leak-amount"), ("| part | |\n|---|---|\n| nut | 25.50 |", "leak-amount"), ("I got it for 250, and it weighs 9 lb.", "leak-amount"),
        ("I paid 12 pounds for the light one.", "leak-amount"), ("$12 it was.", "leak-amount"), ("It cost 0.82.", "leak-amount"), ("$0.82 each.", "leak-amount"), ("Serial 22871.", "leak-serial"), ("Serial 2250 on the Grey Wren.", "leak-serial"),
        ("It is stamped 2250.", "leak-serial"), ("The grey wren is 2250.", "leak-serial"),
    ],
)  # fmt: skip
def test_what_is_private_is_still_told_beside_them(words, found):
    for frame in ("bench note", "story", "episode", "about page", "bulletin"):
        assert codes(frame, words) == [found], frame


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("Hours: 2.5", ["fence-missing"]), ("Hours: two and a bit", ["fence-missing"]), ("Hours: 3 in all.", ["fence-missing"]), ("Used: {item: wax}", ["fence-missing"]), ("Finished: yes, at last.", ["fence-missing"]),
        ("Moved: the lamp.\nhours: 2", ["fence-missing"]), ("Sold: the old bridge for 25.", ["fence-missing"]), ("Stage: strip.", ["fence-missing"]),
        ("Paid: in patience.\n\nhours: 2", ["key-in-text"]),
    ],
)  # fmt: skip
def test_a_key_that_may_be_meant_is_still_told(words, found):
    assert codes("note without keys", words) == found


@pytest.mark.parametrize(
    ("words", "found"), [("finishd: yes", True), ("Finish: yes", True), ("hour: 2,5", True), ("Parts:\n- part: nut", False), ("Finish: oil", False)]
)
def test_a_key_under_a_heading_is_told_and_a_word_of_the_build_sheet_is_none(words, found):
    assert bool(codes("part of a day", words)) is found


def test_a_list_of_the_build_sheets_own_keys_is_told_in_its_story():
    assert codes("story", "Parts:\n- part: nut\n  cost: 3") == codes("story", "Specs:\n  scale: 25.5 in\n  frets: 22") == ["key-in-text"]


@pytest.mark.parametrize("words", ["A setup is $250, ask me.", "I charge $45 an hour.", "New strings cost $12 in any shop.", "$600 will do."])
def test_a_round_sum_in_words_about_no_build_only_warns(words):
    for frame in ("episode", "about page", "bulletin"):
        assert codes(frame, words) == ["amount-alike"], frame


@pytest.mark.parametrize("words", ["I paid $250.", "$600 was the price.", "Heron: $250.", "It cost me 250 dollars.", "We settled on $600."])
def test_a_round_sum_that_was_paid_or_is_a_builds_own_holds(words):
    assert codes("about page", words) == ["leak-amount"]


@pytest.mark.parametrize("words", ["A bass like it is $325.", "Such a one is $320.50."])
def test_a_sum_of_three_figures_or_of_cents_is_none_by_chance(words):
    sheet = PLOVER.replace("price: 600", "price: 325").replace("price: 320", "price: 320.50")
    files = {"shop.md": SHOP + words + "\n", "builds/plover/build.md": sheet}
    told = read_shop({name: text.encode() for name, text in files.items()}, frozenset(), date(2026, 5, 20))[1]
    assert [trouble.code for trouble in told] == ["leak-amount"]
