"""What a partner is handed: their sales and payments, and nothing of anyone else."""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from books_folder import kept
from office_shop import templates
from shop_texts import fenced

from purfle.books.partners import partners_of
from purfle.compile import Analysis
from purfle.pages.office import pages_of
from purfle.sites import office_view
from purfle.views.office_troubles import Held

TODAY = date(2026, 5, 20)
SHOP = "name: Gorse End\nchannels: {fair: {percent: 10, on: price}, in person: {}}"
BOARDS = """units: 6
acquired: {date: 2026-01-05, how: consigned, from: Sorrel Joinery}
share: {partner: Sorrel Joinery, percent: 45, of: price}
parts: [{part: tuners, cost: 61.37, arrived: 2026-01-20, paid: 2026-01-20}]
sale:
  - {date: 2026-03-01, units: 2, price: 330, channel: fair, buyer: Hannick Dole}
  - {date: 2026-03-01, units: 1, price: 100, channel: in person}
  - {date: 2026-04-01, units: 1, price: 170, discount: 5, channel: in person, back: {date: 2026-04-03, refund: 165, goods: yes}}"""
LUTE = """acquired: {date: 2026-01-05, how: bought, price: 203.19}
share: [{partner: sorrel joinery, percent: 10, of: price}, {partner: Wilmet Crane, percent: 50, of: profit}]
sale: {date: 2026-04-10, price: 500, channel: in person}"""
PAID = "paid: [{what: part for March, cost: 150, kind: share, to: Sorrel Joinery, build: boards}]"
FILES = {"boards": BOARDS, "lute": LUTE, "2026-03-05": PAID}


def test_an_account_has_every_share_and_payment_with_what_was_sold_for() -> None:
    """By hand: 45 % of 330 is 148.50, of 100 is 45, of 165 is 74.25, which goes back with the refund; 10 % of 500 is 50."""
    sorrel, crane = partners_of(kept(FILES, SHOP, TODAY).books)
    assert sorrel.partner == "Sorrel Joinery" and crane.partner == "Wilmet Crane"
    assert [(line.date, line.build, line.what, line.price, line.amount) for line in sorrel.lines] == [
        (date(2026, 3, 1), "boards", "sold", Decimal(330), Decimal("148.50")),
        (date(2026, 3, 1), "boards", "sold", Decimal(100), Decimal("45")),
        (date(2026, 3, 5), "boards", "part for March", None, Decimal(-150)),
        (date(2026, 4, 1), "boards", "sold", Decimal(165), Decimal("74.25")),
        (date(2026, 4, 3), "boards", "refunded", None, Decimal("-74.25")),
        (date(2026, 4, 10), "lute", "sold", Decimal(500), Decimal(50)),
    ]
    assert sorrel.owed == Decimal("93.50")  # 148.50 + 45 − 150 + 50


def test_fees_that_come_back_are_no_second_sale_and_a_payment_is_one_whatever_its_words() -> None:
    """By hand: half of 200 − 20 of fees − 100 of cost is 40; with 10 of the fees back half of 90 is 45; 60 paid are 15 more than that."""
    harp = """acquired: {date: 2026-01-05, how: bought, price: 100}
share: {partner: Wilmet Crane, percent: 50, of: profit}
sale: {date: 2026-03-01, price: 200, channel: fair, back: {date: 2026-03-01, refund: 0, fees_back: 10}}"""
    paid = "paid: {what: share of Wilmet Crane, cost: 60, kind: share, to: Wilmet Crane}"
    (crane,) = partners_of(kept({"harp": harp, "2026-03-05": paid}, SHOP, TODAY).books)
    assert [(line.what, line.price, line.amount) for line in crane.lines] == [
        ("sold", Decimal(200), Decimal(40)),
        ("fees back", None, Decimal(5)),
        ("share of Wilmet Crane", None, Decimal(-60)),
    ]
    page = _papers({"harp": harp}, paid)["Wilmet Crane"]
    assert "est." in page, "the fair's bill is not here yet"
    assert "est." not in _papers({"harp": harp.replace("channel: fair", "channel: fair, fees: 20")}, paid)["Wilmet Crane"]
    assert "paid ahead" in page and "$15.00" in page and "still owed" not in page


def test_a_share_of_a_profit_is_an_estimate_while_a_fee_in_it_is() -> None:
    """One of the price is none, whatever the fee comes to."""
    half = "acquired: {date: 2026-01-05, how: bought, price: 100}\nsale: {date: 2026-03-01, price: 200, channel: fair}\nshare: {partner: Crane, percent: 50, of: %s}"
    for of, marked in (("profit", True), ("price", False)):
        noted = kept({"harp": half % of}, SHOP, TODAY)
        (crane,) = partners_of(noted.books)
        assert crane.lines[0].estimated == marked
        told = {"expense: share", "partner shares owed", "partner shares owed: to Crane"} if marked else set()
        assert {name for name in noted.year().estimates if "share" in name} == told


def test_a_share_of_a_profit_is_an_estimate_while_a_part_in_it_is_not_paid() -> None:
    """Of the build itself or of what went along; one of the price is none, nor one of a profit whose parts are paid."""
    parts = "parts: {part: bridge, cost: 20, arrived: 2026-02-01%s}\n"
    half = "acquired: {date: 2026-01-05, how: bought, price: 100}\n%ssale: {date: 2026-03-01, price: 200%s}\nshare: {partner: Crane, percent: 50, of: %s}"
    case = "acquired: {date: 2026-01-05, how: bought, price: 10}\n" + parts % ""
    for builds, marked in (
        ({"harp": half % (parts % "", "", "profit")}, True),
        ({"harp": half % (parts % ", paid: 2026-07-01", "", "profit")}, True),
        ({"harp": half % ("", ", with: [case]", "profit"), "case": case}, True),
        ({"harp": half % (parts % ", paid: 2026-04-01", "", "profit")}, False),
        ({"harp": half % (parts % "", "", "price")}, False),
    ):
        noted = kept(builds, SHOP, TODAY)
        (crane,) = partners_of(noted.books)
        assert [line.estimated for line in crane.lines] == [marked], builds
        assert ("partner shares owed" in noted.year().estimates) == marked


def test_what_partners_are_owed_is_what_the_year_owes_them() -> None:
    noted = kept(FILES, SHOP, TODAY)
    assert [(p.partner, p.owed) for p in partners_of(noted.books)] == [(p.partner, p.owed) for p in noted.year().partners]


def _pages(builds: Mapping[str, str] = {"boards": BOARDS, "lute": LUTE}, paid: str = PAID) -> dict[str, str]:
    files = {"shop.md": fenced(SHOP), "journal/2026-03-05.md": fenced(paid)}
    files |= {f"builds/{id}/build.md": fenced(f"title: {id.title()}", sheet) for id, sheet in builds.items()}
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    pages = pages_of(office_view(a, a.troubles, Held()), templates())
    return {name: page.decode() for name, page in pages.items() if name == "money.html" or name.startswith("partner-")}


def _addresses(pages: Mapping[str, str]) -> dict[str, str]:
    """The address of each partner's page by their name, as the money page links it."""
    return {name: address for address, name in re.findall(r'href="(partner-[^"]+)">([^<]+)</a>', pages["money.html"])}


def _papers(builds: Mapping[str, str] = {"boards": BOARDS, "lute": LUTE}, paid: str = PAID) -> dict[str, str]:
    """Each partner's page by their name."""
    pages = _pages(builds, paid)
    return {name: pages[address] for name, address in _addresses(pages).items()}


def test_a_partners_page_keeps_its_address_when_another_partner_comes() -> None:
    """The new one, Amory Sedge, is the first by name; a name is the same in capitals."""
    before, after = (_addresses(_pages({"lute": LUTE.replace("sorrel joinery", name)}, "hours: 1\nfor: shop")) for name in ("Wilmet CRANE", "Amory Sedge"))
    assert list(before) == ["Wilmet CRANE"] and sorted(after) == ["Amory Sedge", "Wilmet Crane"]
    assert before["Wilmet CRANE"] == after["Wilmet Crane"] != after["Amory Sedge"]


def test_a_partners_page_says_what_was_agreed_and_is_linked_from_the_money_page() -> None:
    papers = _papers()
    assert list(papers) == ["Sorrel Joinery", "Wilmet Crane"]
    assert "<bdi>Boards</bdi>: 45% of the price" in papers["Sorrel Joinery"] and "<bdi>Lute</bdi>: 10% of the price" in papers["Sorrel Joinery"]
    assert "$93.50" in papers["Sorrel Joinery"]


def test_a_partners_page_names_no_buyer_no_cost_and_no_other_partner() -> None:
    papers = _papers()
    for words in ("Dole", "61.37", "203.19", "Crane", "channel", "fair"):
        assert words not in papers["Sorrel Joinery"], words
    for words in ("Sorrel", "Boards", "203.19"):
        assert words not in papers["Wilmet Crane"], words
