"""Private names, serials and amounts are found in public words, however they are written; and what only looks like one is left alone."""

import random
import re
import unicodedata
from datetime import date
from decimal import Decimal

import html5lib
import pytest
from babel.numbers import format_currency

from purfle.notes.leaks import sums
from purfle.notes.shop import read_shop
from purfle.views.markdown import Surroundings, rendered

SHEET = """---
title: Heron
showroom: yes
serial: AX 10417
acquired: {date: 2026-01-10, price: 280, shipping: 45, from: Fernhill Clearances}
sale: {date: 2026-05-01, price: 1450, buyer: Odile Marrick}
commission: {customer: tamsin orrel}
parts: [{part: bridge, cost: 39.80, how: bought, from: Sallow & Daughters}]
---
"""
OTHER = "---\ntitle: Grey Wren\nacquired: {date: 2026-01-10, price: 613}\n---\n"


def leaks(words, sheet=SHEET, **more):
    files = {"shop.md": "---\nname: Test\n---\n", "builds/heron/build.md": sheet + words + "\n", "builds/wren/build.md": OTHER, **more}
    assets = frozenset({"builds/heron/photos/odile-marrick.jpg"})
    told = read_shop({name: text.encode() for name, text in files.items()}, assets, date(2026, 5, 20))[1]
    return [(t.code, t.place.line, t.place.column) for t in told if t.code.startswith("leak-")]


def codes(words, **more):
    return [code for code, _, _ in leaks(words, **more)]


@pytest.mark.parametrize(
    "words",
    [
        "It was cleared by Fernhill\nClearances that week.", "From *Fernhill* **Clearances**.", "FERNHILL CLEARANCES", "fernhill-clearances", "Fernhill&nbsp;Clearances", "Fernhill Clear\u00adances",
        "Odile played it.", "ODILE PLAYED IT.", "Odi*le* played it.", "Odil&#101; played it.", "Marrick's own.", "Fernhill\u200b Clearances", "Od\u202cile played it.", "Od\u2066ile played it.", "Od&#x202e;ile played it.", "Od\u2063ile played it.",
        "Ordered by Tamsin Orrel.", "![Odile holding it](photos/odile-marrick.jpg)", '![A bass](photos/odile-marrick.jpg "for Odile")', "[here](https://example.org/odile-marrick)",
        "- one\n- two\n- for Odile", "| a | b |\n| - | - |\n| Odile | c |", "from Sallow &amp; Daughters",
        "<b>Odile</b> played it.", "[a](https://example.org/Odile Marrick\")", "`[a](https://example.org/)Odile`", "[ref][Odile", "[Fernhill Clearances][", "[x](https://example.org/ (for Odile))", "_Odile_ played it.", "__Odile Marrick__ played it.", "_Fernhill_ Clearances", "[Fernhill](https://example.org/x) Clearances", "Fernhill[^1] Clearances\n\n[^1]: A shed.",
        "[Od](https://example.org/x)ile played it.", "[Fernhill][1] Clearances\n\n[1]: https://example.org/", "[here][1]\n\n[1]: https://example.org/odile-marrick", "[here](https://example.org/Fernhill%20Clearances)",
        "- - one, from Fernhill\n            Clearances", "FernhillClearances", "write to @odilemarrick", "https://fernhillclearances.example.org/", "The Marricks came.", "Sallow and Daughters", "Sallow + Daughters",
        "Od\u034file played it.", "Odi\ufe0fle played it.", "\uff2f\uff44\uff49\uff4c\uff45 played it.", "Odíle played it.", "Tamsin came by.", "TAMSIN", "write to @odile", "![Odile holding it](photos/x.jpg",
    ],
)  # fmt: skip
def test_a_private_name_is_found(words):
    assert codes(words) == ["leak-name"]


@pytest.mark.parametrize(
    "words",
    [
        "AX-10417",
        "_AX 10417_",
        "A X 1 0 4 1 7",
        "[AX](https://example.org/)10417",
        "AX\uff11\uff10417",
        "AX 10\n417",
        "ax10417",
        "number 10417 on the plate",
        "SN10417",
        "*AX* `10417`",
        "AX\u200b10417",
        "AX1\u202d0417",
    ],
)
def test_a_private_serial_is_found(words):
    assert codes(words) == ["leak-serial"]


@pytest.mark.parametrize(
    "words",
    [
        "$280", "280 $", "280 dollars", "280 USD", "EUR 280", "280.00", "280,00", "I paid 280 for it", "It cost me 280.", "He wanted 280 for it", "two hundred and eighty dollars",
        "Two hundred eighty, it was.", "$1,450", "$1450", "1.450,00", "1 450 €", "fourteen hundred and fifty", "one thousand four hundred and fifty", "it cost 325 in all", "$39.80", "$\u200b280", "$2\u206980", "**$280**",
        "\u20b9280", "280 kr", "kr 280", "280 zł", "280 Kč", "280:-", "280,-", "280.-", "1'450 Fr.", "1\u2009450 €", "\uff12\uff18\uff10 €", "$1.45k", "280 pesos", "$_280_", "[280](https://example.org/) dollars", "price: 280",
        "I gave 280 for it.", "It went for 1450.", "we let it go for 1450", "It came to 325.", "it set me back 280", "we shook on 280", "a deposit of 280", "the total was 325", "paid _280_", "Got it for two eighty.", "sold for fourteen fifty",
        "sold! 1450 and worth it", "280 was the damage", "Two eighty is what he asked.", "fourteen fifty for the whole thing", "the price tag says 280", "sum | 1 450,00", "thirty-nine eighty for a bridge",
        "paid\n280", "Grey Wren came for $613", "The grey\nwren cost 613.", "Grey-Wren came for $613", "Grey *Wren* came for $613",
    ],
)  # fmt: skip
def test_a_private_amount_is_found(words):
    assert codes(words) == ["leak-amount"]


@pytest.mark.parametrize("locale", ["en_US", "en_IN", "de_DE", "de_CH", "fr_FR", "sv_SE", "pl_PL", "pt_BR"])
def test_a_sum_is_found_however_its_figures_are_grouped(locale):
    words = format_currency(Decimal("1450000.50"), "EUR", locale=locale)  # by the CLDR, as Babel has it: 14,50,000.50 in India
    assert codes(words, sheet=SHEET.replace("price: 1450", "price: 1450000.50")) == ["leak-amount"]


@pytest.mark.parametrize("words", ["280 TRY", "TRY 280"])
def test_the_shops_own_currency_tells_a_sum(words):
    assert codes(words, **{"shop.md": "---\nname: Test\ncurrency: TRY\n---\n"}) == ["leak-amount"]


def test_a_figure_that_is_a_sum_in_either_way_of_reading_is_told_once():
    assert codes("$1.450", sheet=SHEET.replace("cost: 39.80", "cost: 1.45")) == ["leak-amount"]


JOURNAL = "journal/2026-03-20.md"


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("bought: [{item: saw, cost: 777, for: heron}]", "I paid 777 for it."),
        ("bought: [{item: saw, qty: 3, cost: 31.80, for: stock}]", "They are $31.80."),
        ("bought: [{item: saw, qty: 3, cost: 37.35, for: stock}]", "They are $12.45 each."),  # 37.35 / 3
        ("paid: [{what: files, cost: 31.80, kind: tools}]", "€ 31,80 for files"),
        ("lots: [{lot: winter, cost: 777, values: {heron: 5, wren: 6}}]", "I paid 777 for the lot."),
        ("lots: [{lot: winter, cost: 700, shipping: 77, values: {heron: 5, wren: 6}}]", "It cost 777 in all."),
        ("lots: [{lot: winter, cost: 700, values: {heron: 777, wren: 6}}]", "It was worth 777."),
        ("moved: [{part: bridge, from: wren, to: heron, cost: 77}]", "The bridge cost me $77."),
    ],
)
def test_an_amount_is_of_the_builds_that_its_line_names_and_of_all_when_it_is_known_to_the_cent(line, words):
    assert codes(words, **{JOURNAL: f"---\n{line}\n---\n"}) == ["leak-amount"]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("The bridge: 85.", True),
        ("85 for a bridge like that!", True),
        ("Eighty-five for the bridge, and worth it.", True),
        ("| bridge | Sallow | 85 |", True),
        ("The bridges were another 85 on top.", True),
        ("A bridge of brass. 85 is warm for April.", False),  # (another sentence)
        ("Nut: 42, bridge: 12, neck: 85.", False),
        ("The bridge is 85 mm wide.", False),
        ("85 strokes on the bridge.", False),
        ("The bridge sits at 85.", False),
        ("Bridge of type 85.", False),
        ("The bridge is an X85.", False),
        ("From 80 to 85, bridge side.", False),
        ("85 and a handshake.", True),
        ("eighty-five, cash", True),
        ("Left at 85 for the case.", False),
        ("85 at the bridge.", False),
        ("85 off the bridge, and more to go.", False),
        ("85 or so strokes, then the bridge.", False),
        ("Bridge screws, 4 x 85.", False),
        ("Bridge, 85 K to ground.", False),
    ],
)
def test_a_bare_figure_is_a_sum_beside_what_was_paid_for_with_it(words, found):
    assert codes(words, sheet=SHEET.replace("cost: 39.80", "cost: 85")) == ["leak-amount"] * found
    assert codes("Bridge screws: 12", sheet=SHEET.replace("cost: 39.80", "cost: 12")) == []


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("The bridge is sanded with 120 and then waxed.", False),
        ("Bridge: rubbed down, 120 first.", False),
        ("Scuffed the bridge, went through 120 twice.", False),
        ("120 apart, the posts of the bridge.", False),
        ("Bridge: 120", True),
        ("Sanded smooth. The bridge: 120", True),  # (another sentence)
        ("Polished the bridge I paid 120 for.", True),
    ],
)
def test_a_grade_of_paper_is_no_sum_beside_what_is_rubbed_with_it(words, found):
    assert codes(words, sheet=SHEET.replace("cost: 39.80", "cost: 120")) == ["leak-amount"] * found


def test_frets_are_counted_whatever_their_wire_cost():
    sheet = SHEET.replace("part: bridge, cost: 39.80", "part: fret wire, cost: 22")
    assert codes("Frets: 22", sheet=sheet) == []
    assert codes("Fret wire: 22", sheet=sheet) == ["leak-amount"]


@pytest.mark.parametrize(
    "spec",
    ["battery: {kind: %}", "strings: [{note: E4, what: %}]", "woods: [{what: ash, for: %}]", "other: [%]", "tuning: %", "controls: %", "weight: %"]
    + [f"{name}: [{{what: %}}]" for name in ("pickups", "leds", "pots", "woods")],
)
def test_a_private_name_is_found_in_every_word_of_the_specs(spec):
    assert codes("A story.", sheet=SHEET.replace("serial:", f"specs: {{{spec.replace('%', 'as Odile had it')}}}\nserial:")) == ["leak-name"]


def test_cents_said_as_a_bare_ten_are_read():
    assert codes("The bridge was thirty-nine ten.", sheet=SHEET.replace("39.80", "39.10")) == ["leak-amount"]
    assert codes("The bridge was thirty-nine nine.", sheet=SHEET.replace("39.80", "39.09")) == []  # said so by nobody


def test_crowns_are_those_of_frets_where_nobody_pays_in_them():
    assert codes("I dressed 280 crowns.") == []
    assert codes("I gave 280 crowns.", **{"shop.md": "---\nname: Test\ncurrency: SEK\n---\n"}) == ["leak-amount"]


def test_a_hundred_in_words_is_a_sum_and_less_only_where_it_is_paid():
    hundred = {"sheet": SHEET.replace("price: 280", "price: 100")}
    assert codes("One hundred, and the case came along.", **hundred) == ["leak-amount"]
    assert codes("Ninety, and the case came along.", sheet=SHEET.replace("price: 280", "price: 90")) == []


@pytest.mark.parametrize("in_all", ["It came to 325.", "It came to 345."])  # 280 + 45, and 20 of tax
def test_what_was_paid_with_its_way_here_is_private_with_the_tax_and_without(in_all):
    assert codes(in_all, sheet=SHEET.replace("shipping: 45", "shipping: 45, tax: 20")) == ["leak-amount"]


@pytest.mark.parametrize("line", ["bought: [{item: saw, cost: 777, for: wren}]", "bought: [{item: saw, cost: 777, for: shop}]"])
def test_a_round_amount_of_another_build_or_of_none_is_left_alone(line):
    assert codes("I paid 777 for it.", **{JOURNAL: f"---\n{line}\n---\n"}) == []


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("discount: 50", "Sold for 1400."),  # 1450 - 50
        ("discount: 50, shipping_charged: 60", "She paid 1460."),  # 1450 - 50 + 60
        ("fees: 103.50", "1346.50 came in."),  # 1450 - 103.50
        ("with: [wren]", "Grey Wren went for 1450."),
        ("trade_in: {build: wren, value: 777}", "It came for $777."),
    ],
)
def test_what_a_sale_comes_to_is_private_too(more, words):
    assert codes(words, sheet=SHEET.replace("buyer: Odile Marrick", f"buyer: Odile Marrick, {more}")) == ["leak-amount"]


def test_a_price_asked_for_one_build_is_private_where_it_was_paid_for_another():
    sheet = SHEET.replace("serial:", "for_sale: {asking: 613, since: 2026-04-01}\nserial:")
    assert codes("Yours for $613.", sheet=sheet) == []
    assert codes("I paid $613 for Grey Wren.", sheet=sheet) == ["leak-amount"]


def test_a_commission_with_its_extras_is_a_sum():
    sheet = SHEET.replace("customer: tamsin orrel", "customer: tamsin orrel, price: 1600, extras: [{what: case, price: 77}]")
    assert codes("1677 was the price.", sheet=sheet) == ["leak-amount"]


@pytest.mark.parametrize("words", ["+44 171 555 0142", "0171/5550142", "(0171) 555 – 0142", "00441715550142", "Call 0171 555 0142, 9 to 5."])
@pytest.mark.parametrize("written", ["0171 555 0142", "+44 171 555-0142"])
def test_a_telephone_number_is_found_with_and_without_its_prefix(words, written):
    sheet = SHEET.replace("buyer: Odile Marrick", f'buyer: "Odile Marrick, {written}"')
    assert codes(words, sheet=sheet) == ["leak-name"]
    assert codes("0171 555 01423 and 171 555 014", sheet=sheet) == []


@pytest.mark.parametrize("word", ["one", "hundred"])
def test_a_page_of_number_words_is_not_added_up_again_and_again(word, monkeypatch):
    added_up, letters = sums._added_up, []
    monkeypatch.setattr(sums, "_added_up", lambda words: letters.append(len(words)) or added_up(words))
    page = f"{word} " * 500
    assert codes(f"{page}\n\ntwo hundred and eighty dollars") == ["leak-amount"]
    assert sum(letters) < len(page)


@pytest.mark.parametrize(
    ("written", "words"), [("tel. 000-0000", "A story."), ("2026-01-10", "The log of 2026-01-10."), ("10.1.2026, no. 000123", "123 strokes, on 10/1/2026.")]
)
def test_a_day_and_noughts_are_no_telephone_number(written, words):
    assert codes(words, sheet=SHEET.replace("Fernhill Clearances", f'"Fernhill Clearances, {written}"')) == []


def test_a_title_makes_no_name_public_that_stands_on_its_own_sheet():
    assert codes("A story.", sheet=SHEET.replace("title: Heron", "title: The Marrick bass")) == ["leak-name"]
    assert codes("A story.", sheet=SHEET.replace("title: Heron", "title: The Marrick bass\nmaker: Marrick")) == []
    assert codes("Fernhill came home in a van.", sheet=SHEET.replace("title: Heron", "title: Fernhill")) == []  # (called after where it came from)
    consent = SHEET.replace("title: Heron", "title: The Orrel bass").replace(
        "customer: tamsin orrel", "customer: tamsin orrel, consent: {show: yes, credit_as: T. Orrel}"
    )
    assert codes("A story.", sheet=consent) == []


@pytest.mark.parametrize("title", ["Grey  Wren", "Grey-Wren", "grey wren!"])
def test_a_title_means_its_build_whatever_stands_between_its_words(title):
    assert codes("Grey Wren came for $613", **{"builds/wren/build.md": OTHER.replace("Grey Wren", title)}) == ["leak-amount"]


@pytest.mark.parametrize(
    "words",
    [
        "Sanded to 280 grit.", "In 1450 there were none.", "A hill of fern, and clearances.", "![A bass](photos/odile-marrick.jpg)", "Twenty-eight screws.", "$613 is what a case takes", "40 dollars",
        "[A bass](photos/odile-marrick.jpg)", "![A bass](<photos/odile marrick.jpg>)", "![A bass][p]\n\n[p]: photos/odile-marrick.jpg", "Two eighty-grit strokes.", "It took 280 strokes.", "wanted 280 grit", "39.80 mm",
        "39.80 in across", "39.80k of wire", "paid 280 % more", "The hill and the clearances.", "It was won.", "We left at fourteen fifty for the ferry.",
        "A 10 mm hole, 417 of them.", "Eighty strokes.", "About 39 of 80.", "A marrick is no bird.", "one hundred strokes",
    ],
)  # fmt: skip
def test_what_only_looks_private_is_left_alone(words):
    assert codes(words) == []


@pytest.mark.parametrize(
    "words",
    [
        "I bought 12 screws.", "It cost me 12 hours.", "He wanted 12 frets.", "I sold 12 of them.", "asked 12 people", "She wanted 14 and got 12.", "asked for 12 more coats",
        "Bought 280 screws.", "Sold in 1450.", "priced in 1450",
    ],
)  # fmt: skip
def test_a_number_that_counts_something_is_no_sum(words):
    sheet = SHEET.replace("cost: 39.80", "cost: 12")
    assert codes(words, sheet=sheet) == []
    assert codes("It cost me 12.", sheet=sheet) == codes("It cost me 12 in all.", sheet=sheet) == codes("12 dollars", sheet=sheet) == ["leak-amount"]


@pytest.mark.parametrize("serial", ["none", "unknown", "No number", "worn away", "NONE"])
def test_words_instead_of_a_serial_tell_nothing(serial):
    assert codes(f"There were none, of unknown age, with no number, worn away. {serial}", sheet=SHEET.replace("AX 10417", serial)) == []


def test_a_serial_that_is_the_public_year_tells_nothing():
    sheet = SHEET.replace("AX 10417", "1962")
    assert codes("From 1962.", sheet=sheet) == ["leak-serial"]
    assert codes("From 1962.", sheet=sheet.replace("title:", "year: about 1962\ntitle:")) == []


@pytest.mark.parametrize(("serial", "found"), [("X 123", ["leak-serial"]), ("X12", [])])
def test_a_serial_of_three_letters_or_figures_tells_nothing(serial, found):
    assert codes("It says X123 or X12.", sheet=SHEET.replace("AX 10417", serial)) == found


@pytest.mark.parametrize(
    ("origin", "words", "found"),
    [
        ("The Fernhill", "From The Fernhill.", ["leak-name"]),
        ("A player from the coast", "From a player from the coast.", []),
        ("my Uncle", "From my uncle.", ["leak-name"]),
        ("my uncle", "From my uncle.", []),
    ],
)
def test_a_description_is_no_name(origin, words, found):
    assert codes(words, sheet=SHEET.replace("Fernhill Clearances", origin)) == found


PEOPLE = [
    ("Noémi Szabó", "Noemi Szabo came.", True),
    ("Noemi Szabo", "For Noémi.", True),
    ("Łukasz Strauß", "Lukasz came.", True),
    ("Ida Strauß", "The Strauss bass.", True),
    ("Siobhan O'Dell", "It is O’Dell's.", True),
    ("Siobhan O’Dell", "It is O'Dell's.", True),
    ("Jean-Luc Petit", "Jean Luc came.", True),
    ("Ольга Белая", "For Ольга.", True),
    ("ODILE MARRICK", "Odile came.", True),
    ("Ida Vane", "Ida played it.", True),
    ("ida", "I gave it to Ida.", True),
    ("bo", "I gave it to Bo.", False),
    ("Mark (the tall one)", "Then mark it again.", False),
    ("tall drummer green jacket", "A tall jacket.", False),
    ("Ann Marik", "Write to annmarik.", True),
    ("Ann Mari", "Write to annmari.", False),
    ("Heino Suvanto", "Heinon basso.", True),
    ("Theo Suvanto", "Theon of Smyrna wrote on it.", False),
    ("Odile Marrick (the coast)", "Odile came.", True),
    ("odile@example.org", "Write to odile@example.org.", True),
    ("Odile, +44 20 7946 0000", "Ring +44 (20) 7946-0000.", True),
    ("Bo", "It is for Bo.", True),
    ("tamsin", "I gave it to Tamsin.", True),
    ("rose ash", "ordered by rose ash.", True),
    ("order 4711", "All in order.", False),
    # the single words of a name that are nobody's own
    ("The Harbour Band", "The band saw sings. Band it is.", False),
    ("The Harbour Band", "For the harbour band.", True),
    ("Mrs Vane", "Mrs Hill came.", False),
    ("Van der Meer", "Van and der.", False),
    ("Bass player", "The bass player came. Bass is back.", False),
    ("local band", "A local band.", False),
    ("tamsin", "Tamsin is no word that begins a sentence.", False),
    ("Mark", "Mark it out, then mark it again.", False),
    ("Mark", "Mark brought it back.", True),
    ("Mark", "Then mark it again.", False),
    ("dr. henrike vossberg", "Henrike plays it.", True),
    ("dr. henrike vossberg", "Herr Vossberg called.", True),
    ("Jo O'Dowd", "The ODowd tune.", True),
    ("Jo O'Dowd", "Odowd came by, and an ODOWD tune.", True),
]


@pytest.mark.parametrize(("customer", "words", "found"), PEOPLE)
def test_how_a_person_may_be_named(customer, words, found):
    assert codes(words, sheet=SHEET.replace("tamsin orrel", f'"{customer}"')) == (["leak-name"] if found else [])


@pytest.mark.parametrize(
    ("origin", "words", "found"),
    [
        ("estate sale at Upper Fernhill", "From Upper Fernhill.", True),
        ("Quenby Vane via the forum", "Quenby Vane had it.", True),
        ("Crown", "I dressed each crown.", False),
        ("Crown", "From Crown.", True),
        ("Crown", "From www.crown.example.org.", True),
        ("Crown", "A friend of Crown's.", True),
        ("Father Ignatius Poole", "It belongs to Fr. Poole.", True),
        ("Nils Abernethy, the pawn shop at the quay", "Abernethy swore it was all original.", True),
        ("Nils Abernethy, the pawn shop at the quay", "The pawn is a dowel, the shop is warm.", False),
        ("Saturday Market", "Done by Saturday, off the market.", False),
        ("German seller", "Two old German tuners.", False),
        ("Bram van der Wiel", "It was kept by Bram, and then by Wiel.", True),
        ("Bram van der Wiel", "Wiel drove it over.", True),
        ("Ольга Белая", "Бас для Ольга.", True),
    ],
)
def test_whom_it_came_from(origin, words, found):
    assert codes(words, sheet=SHEET.replace("Fernhill Clearances", origin)) == (["leak-name"] if found else [])


def test_a_build_that_is_not_public_makes_no_name_public():
    for id, title in (("gull", "Marrick bass"), ("marrick", "Gull")):
        assert codes("Marrick's own.", **{f"builds/{id}/build.md": f"---\ntitle: {title}\n---\n"}) == ["leak-name"]
    assert codes("Marrick's own.", **{"builds/gull/build.md": "---\ntitle: Gull\nmaker: Marrick\nshowroom: yes\n---\n"}) == []


@pytest.mark.parametrize(("consent", "found"), [("", ["leak-name"]), (", consent: yes", [])])
def test_whose_work_a_shot_shows_is_private_without_consent(consent, found):
    shot = f"---\nshots: [{{shot: spray, credit: Perran Vail{consent}}}]\n---\nWith Perran Vail.\n"
    assert codes("A bass.", **{"builds/heron/2026-02-01.md": shot}) == found


@pytest.mark.parametrize(("consent", "found"), [("", ["leak-name"]), (", consent: yes", [])])
def test_who_agreed_to_be_credited_may_be_named_though_they_are_a_buyer_too(consent, found):
    sheet = SHEET.replace("showroom: yes\n", f"showroom: yes\ncredits: [{{name: Odile Marrick, for: slide playing{consent}}}]\n")
    assert codes("Odile Marrick plays it.", sheet=sheet) == found


def test_a_small_figure_with_decimals_is_no_sum_of_no_build():
    bought = {JOURNAL: "---\nbought: [{item: files, cost: 2.80, for: shop}, {item: saw, cost: 12.80, for: shop}]\n---\n"}
    assert codes("The twelfth stands 2.80 high.", **bought) == []
    assert codes("The twelfth was 12.80 all told.", **bought) == ["leak-amount"]


def test_the_shops_own_terms_may_be_said():
    shop = (
        "---\nname: T\nlabour_rate: 60\nshipping: {rate: 3.20}\nchannels: {market place: {fixed: 0.30}}\n---\nI charge $60 an hour, $3.20 a kilo, and $0.30.\n"
    )
    assert codes("A bass.", **{"shop.md": shop}) == []


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("![A bass](photos/bare.jpg", True),
        ("![A bass] (photos/bare.jpg)", True),
        ("!(A bass)[photos/bare.jpg]", True),
        ("![A bass](photos/Bare.JPG", True),
        ("[A bass](photos/bare.jpg", True),
        ("It is in bare.jpg.", False),
        ("![A bass](photos/bare.jpg)", False),
        ("[A bass](<photos/bare.jpg>)", False),
        ("![A bass][p]\n\n[p]: photos/bare.jpg", False),
        ("It is in other.jpg, or bare.jpgs, or threadbare.jpg.", False),
    ],
)
def test_a_file_name_is_told_where_it_would_be_read(words, found):
    files = {"shop.md": "---\nname: Test\n---\n", "builds/heron/build.md": f"---\ntitle: Heron\nshowroom: yes\n---\n{words}\n"}
    assets = frozenset({"builds/heron/photos/bare.jpg"})
    told = read_shop({name: text.encode() for name, text in files.items()}, assets, date(2026, 5, 20))[1]
    assert [t.code for t in told if t.code.startswith("leak-")] == (["leak-file"] if found else [])


def test_where_a_name_is_private_is_told():
    files = {"shop.md": b"---\nname: T\n---\n", "builds/heron/build.md": (SHEET + "For Odile.\n").encode()}
    (told,) = (t for t in read_shop(files, frozenset(), date(2026, 5, 20))[1] if t.code == "leak-name")
    assert told.found == "“Odile” is a private name of builds/heron/build.md and stands in public text"


def test_who_was_disclosed_may_be_named():
    disclosed = {
        "journal/episodes/2026-04-03.md": "---\ntitle: Blue\nshowroom: yes\ndisclosures: [{what: pickups, how: gifted, from: Fernhill Clearances}]\n---\nBlue.\n"
    }
    assert codes("From Fernhill Clearances.", **disclosed) == []


def test_the_price_asked_may_be_said_though_it_was_also_paid():
    assert codes("Yours for $280.", sheet=SHEET.replace("showroom: yes", "showroom: yes\nfor_sale: {asking: 280}")) == []


def test_a_leak_is_told_where_it_stands():
    assert leaks("\n\nFor Odile.") == [("leak-name", 12, 5)]
    assert leaks("[here][1]\n\n[1]: https://example.org/odile-marrick") == [("leak-name", 12, 26)]
    assert leaks("A line.\n\nIt went, in *May*, to\nOdile, for **$1450**.") == [("leak-name", 13, 1), ("leak-amount", 13, 15)]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("builds/heron/2026-02-01.md", "---\nstage: for Odile\n---\nDone.\n"),
        ("journal/episodes/2026-04-03.md", "---\ntitle: Blue\nshowroom: yes\nlink: https://example.org/odile-marrick\n---\nBlue.\n"),
        ("journal/episodes/2026-04-04.md", "---\ntitle: Blue\nshowroom: yes\nwas: [odile-marrick]\n---\nBlue.\n"),
        ("journal/bulletins/2026-04-05.md", "---\nbuild: heron\nstage: Odile's colour\nshowroom: yes\n---\nBrown.\n"),
        ("builds/odile-marrick/build.md", "---\ntitle: Gull\nshowroom: yes\n---\nA gull.\n"),
        (
            "journal/episodes/2026-04-05.md",
            "---\ntitle: Blue\nshowroom: yes\npromises: [{words: two more, do: start, when: once Odile has hers}]\n---\nBlue.\n",
        ),
    ],
)
def test_what_the_pages_repeat_of_keys_is_looked_through(name, text):
    assert "leak-name" in codes("A bass.", **{name: text})
    assert codes("A bass.", **{name: text.replace("showroom: yes", "showroom: no").replace("stage: for Odile", "stage: for Odile\nshowroom: no")}) == []


PUBLIC = {
    "shop.md": "---\nname: Test\n---\nOdile.\n",
    "builds/wren/build.md": "---\ntitle: Wren\nshowroom: yes\n---\nOdile.\n",
    "builds/heron/2026-02-01.md": "---\nstage: strip\n---\nOdile.\n",
    "journal/2026-02-02.md": "# Heron\nstage: strip\n\nOdile.\n",
    "journal/episodes/2026-04-03.md": "---\ntitle: Blue\nshowroom: yes\n---\nOdile.\n",
    "journal/bulletins/2026-04-05.md": "---\nshowroom: yes\n---\nOdile.\n",
}
PRIVATE = {
    "builds/wren/build.md": "---\ntitle: Wren\n---\nOdile.\n",
    "builds/wren/2026-02-01.md": "---\nstage: strip\n---\nOdile.\n",
    "builds/heron/2026-02-01.md": "---\nstage: strip\nshowroom: no\n---\nOdile.\n",
    "journal/2026-02-02.md": "Odile.\n\n# Wren\nstage: strip\n\nOdile.\n",
    "journal/episodes/2026-04-03.md": "---\ntitle: Blue\n---\nOdile.\n",
    "journal/bulletins/2026-04-05.md": "---\nbuild: heron\n---\nOdile.\n",
}


@pytest.mark.parametrize("name", PUBLIC)
def test_every_kind_of_text_that_may_be_published_is_looked_through(name):
    assert codes("A bass.", **{name: PUBLIC[name]}) == ["leak-name"]


@pytest.mark.parametrize("name", PRIVATE)
def test_what_stays_private_may_name_whom_it_likes(name):
    assert codes("A bass.", **{name: PRIVATE[name]}) == []


@pytest.mark.parametrize(("consent", "found"), [("yes", ["leak-name"]), ("no", [])])
def test_what_a_credit_says_is_public_with_consent_alone(consent, found):
    credit = f"credits: [{{name: Mirel, for: a chord for Odile, consent: {consent}}}]\n"
    assert codes("A bass.", sheet=SHEET.replace("showroom: yes\n", "showroom: yes\n" + credit)) == found
    assert codes("A bass.", **{"journal/episodes/2026-04-03.md": f"---\ntitle: Blue\nshowroom: yes\n{credit}---\nBlue.\n"}) == found


# --- what is rendered is what is read ---------------------------------------------------------------------------------

BROKEN_BY = (
    *(
        "*",
        "**",
        "_",
        "__",
        "~~",
        "`",
        "&shy;",
        "\u200b",
        "&#8203;",
        "<!-- x -->",
        "\\",
        "\u2060",
        "\ufe0f",
        "[",
        "]",
        "\n",
        "\n> ",
        "  \n",
        "\t",
        "&nbsp;",
        "&#x20;",
        "  ",
    ),
    *("[^1]", "![](x.jpg)", "](https://example.org/)", "[](https://example.org/)"),
)
BEFORE = (
    *(
        "",
        "> ",
        "- ",
        "1. ",
        "# ",
        "| a | ",
        "    ",
        "- - ",
        "![",
        "[",
        "*",
        "_",
        "[^1]: ",
        "```\n",
        "~~~\n",
        "<b>",
        "[ref][",
        "[x]: https://example.org/ \n\n",
    ),
    *("[a](https://example.org/", '![a](x.jpg "', '[t](https://example.org "', "`", "It was "),
)
AFTER = ("", ".", ")", '")', " came.", "](https://example.org/)", "]", " |\n|--|--|\n| b | c |", "*", "_", "**", "`")
SECRETS = {
    "Odile Marrick": r"Odile\s+Marrick",
    "Fernhill Clearances": r"Fernhill\s+Clearances",
    "AX 10417": r"AX\s*10417(?![A-Za-z0-9])",
    "$280": r"\$\s?280(?!\d)",
    "Odile": r"(?<![A-Za-z])Odile(?![A-Za-z])",
}


def written(secret, chance):
    """A secret as it might stand in a note: some letters spelt otherwise, one thing in the middle of it, others round it."""

    def letter(c):
        ways = (c, c, c, f"&#{ord(c)};", f"&#x{ord(c):x};", c + "\u0301" if c.isalpha() else c, chr(ord(c) + 0xFEE0) if c.isalnum() else c)
        return chance.choice(ways)

    letters = [letter(c) if chance.random() < 0.4 else c for c in secret]
    letters.insert(chance.randrange(len(letters) + 1), chance.choice(("", chance.choice(BROKEN_BY))))
    return chance.choice(("", "Text.\n\n")) + chance.choice(BEFORE) + "".join(letters) + chance.choice(AFTER) + "\n\n[^1]: A note.\n"


def plainly(text):
    """The text by Unicode's own tables: compatible letters, no accents, nothing that takes no room."""
    return "".join(c for c in unicodedata.normalize("NFKD", text) if unicodedata.category(c) not in ("Mn", "Cf"))


def shown_of(body):
    """All that a visitor can read of a text: the words of its page and of its attributes, by an HTML parser that is not ours."""
    tree = html5lib.parse(str(rendered(body, Surroundings()).html), treebuilder="etree", namespaceHTMLElements=False)
    attributes = (value for element in tree.iter() for name, value in element.attrib.items() if name in ("title", "alt", "aria-label", "href"))
    return [plainly(text) for text in ("".join(tree.itertext()), *attributes)]


@pytest.mark.parametrize("seed", range(8))
def test_whatever_a_page_shows_of_a_secret_is_told(seed):
    chance, shown = random.Random(seed), 0
    for _ in range(150):
        secret = chance.choice(tuple(SECRETS))
        text = written(secret, chance)
        found, told = read_shop({"shop.md": b"---\nname: T\n---\n", "builds/heron/build.md": (SHEET + text).encode()}, frozenset(), date(2026, 5, 20))
        if any(re.search(SECRETS[secret], words) for words in shown_of(found.builds[0].story)):
            shown += 1
            assert any(trouble.code.startswith("leak-") for trouble in told), text
    assert shown > 40
