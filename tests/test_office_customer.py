"""What the customer of a commission is handed: what was agreed, done and paid, and nothing of anyone else."""

from datetime import date

from office_shop import templates
from shop_texts import fenced

from purfle.compile import Analysis
from purfle.pages.office import pages_of
from purfle.sites import office_view
from purfle.views.office_customer import CustomerPaper
from purfle.views.office_troubles import Held

TODAY = date(2026, 5, 20)
SHOP = fenced("name: Gorse End", "labour_rate: 41", "routes: {r: [{stage: neck, hours: 3}, {stage: frets, hours: 7}]}")
TWELVE = """title: Twelve
kind: commission
route: r
acquired: {date: 2026-03-01, how: customer's}
commission: {customer: Odile Varro, price: 600, tax: 36, extras: [{what: bone nut, price: 45, date: 2026-03-20}]}
parts: [{part: fret wire, cost: 13.37, arrived: 2026-03-02, paid: 2026-03-02, from: Crane Metals}]"""
FILES = {
    "shop.md": SHOP,
    "builds/twelve/build.md": fenced(TWELVE),
    "builds/twelve/2026-03-10.md": fenced("stage: neck\nhours: 6.25\nfinished: yes\nreceived: {what: deposit, amount: 200, kind: deposit}"),
    "builds/other/build.md": fenced(
        "title: Other\ncommission: {customer: Hannick Dole, price: 900}\nkind: commission\nacquired: {date: 2026-03-01, how: customer's}"
    ),
}


def office(**changed: str):
    files = {**FILES, **changed}
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    assert a.book_troubles == ()
    return office_view(a, a.troubles, Held())


def paper(**changed: str) -> CustomerPaper:
    return next(build.account for build in office(**changed).builds if build.page == "builds/twelve.html" and build.account)


def test_an_account_adds_up_what_was_agreed_and_what_is_still_to_pay() -> None:
    """By hand: 600 + 45 + 36 of tax is 681; less the deposit of 200, 481 are to be paid at delivery."""
    said = paper()
    assert [(row.what, row.amount.text) for row in said.agreed] == [("price agreed", "$600.00"), ("bone nut", "$45.00"), ("sales tax", "$36.00")]
    assert (said.total.text, said.balance.text, said.balance_words) == ("$681.00", "$200.00", "held for the customer")
    assert said.to_pay is not None and said.to_pay.text == "$481.00"
    assert said.done == (("neck", "Mar 10, 2026"),)


def test_once_it_is_delivered_the_books_say_what_is_still_owed() -> None:
    """By hand: 681 earned of which 200 are paid leave 481."""
    delivered = {"builds/twelve/build.md": fenced(TWELVE.replace("price: 600,", "price: 600, delivered: [{date: 2026-05-10}],"))}
    said = paper(**delivered)
    assert (said.balance.text, said.balance_words, said.to_pay) == ("$481.00", "still to be paid", None)
    assert [(row.what, row.amount.text) for row in said.paid[1:]] == [("delivered", "-$645.00"), ("tax", "-$36.00")]


def test_of_a_delivery_in_parts_the_account_says_what_is_owed_and_what_the_rest_will_cost() -> None:
    """By hand: one of three is 645 ÷ 3 = 215 and 12 of tax; of a deposit of 200 it leaves 27 owed, of 300 it leaves 73, which come off 681 − 227 = 454."""
    one = {"builds/twelve/build.md": fenced(TWELVE.replace("price: 600,", "price: 600, delivered: [{date: 2026-05-10, units: 1}],"), "units: 3")}
    owed, held = (
        paper(**one, **{"builds/twelve/2026-03-10.md": fenced(f"received: {{what: deposit, amount: {deposit}, kind: deposit}}")}) for deposit in (200, 300)
    )
    assert [(said.balance.text, said.balance_words, said.to_pay and said.to_pay.text) for said in (owed, held)] == [
        ("$27.00", "still to be paid", "$454.00"),
        ("$73.00", "held for the customer", "$381.00"),
    ]
    page = pages_of(office(**one), templates())["accounts/twelve.html"].decode()
    assert "To be paid at the delivery of the rest" in page


def test_what_came_back_is_to_be_paid_again_when_it_goes_out_again() -> None:
    """By hand: two of three are 454; one of them comes back with 215 and 12 of tax, so 454 are to come again."""
    back = "price: 600, delivered: [{date: 2026-05-10, units: 2}], back: [{date: 2026-05-12, refund: 215, tax_back: 12, goods: yes}],"
    said = paper(**{"builds/twelve/build.md": fenced(TWELVE.replace("price: 600,", back), "units: 3")})
    assert (said.balance.text, said.balance_words, said.to_pay and said.to_pay.text) == ("$27.00", "still to be paid", "$454.00")


def test_a_delivery_that_is_only_planned_leaves_all_to_be_paid() -> None:
    """By hand: 681 less the deposit of 200."""
    planned = {"builds/twelve/build.md": fenced(TWELVE.replace("price: 600,", "price: 600, delivered: [{date: 2026-05-21}],"))}
    said = paper(**planned)
    assert said.to_pay is not None and said.to_pay.text == "$481.00"


def test_a_refund_stands_in_the_account_as_far_as_it_is_off_what_is_owed_and_as_far_as_it_is_paid_back() -> None:
    """By hand: 681 earned, 600 paid, 81 owed; of the 100 refunded 81 are no longer owed and 19 go back."""
    back = TWELVE.replace("price: 600,", "price: 600, delivered: [{date: 2026-05-10}], back: [{date: 2026-05-12, refund: 100}],")
    paid = "received: [{what: deposit, amount: 200, kind: deposit}, {what: the rest, amount: 400, kind: deposit}]"
    said = paper(**{"builds/twelve/build.md": fenced(back), "builds/twelve/2026-03-10.md": fenced(paid)})
    assert [(row.what, row.amount.text) for row in said.paid[-2:]] == [("refund", "$100.00"), ("refund, paid back", "-$19.00")]
    assert said.balance_words == "settled"


def test_tax_that_the_channel_hands_in_is_no_part_of_the_account() -> None:
    """By hand: 600 + 45 agreed less 200 paid leave 445, before and after the delivery."""
    hall = {"shop.md": SHOP.replace("name: Gorse End", "name: Gorse End\nchannels: {hall: {remits_tax: yes}}")}
    sold = TWELVE.replace("price: 600,", "price: 600, channel: hall,")
    before = paper(**hall, **{"builds/twelve/build.md": fenced(sold)})
    after = paper(**hall, **{"builds/twelve/build.md": fenced(sold.replace("channel: hall,", "channel: hall, delivered: [{date: 2026-05-10}],"))})
    assert before.total.text == "$645.00" and before.to_pay is not None and before.to_pay.text == after.balance.text == "$445.00"


def test_the_page_is_linked_from_the_builds_own_and_names_no_cost_no_hours_and_nobody_else() -> None:
    pages = {name: page.decode() for name, page in pages_of(office(), templates()).items() if name.endswith(".html")}
    assert 'href="../accounts/twelve.html"' in pages["builds/twelve.html"]
    account = pages["accounts/twelve.html"]
    assert "<bdi>neck</bdi>, Mar 10, 2026" in account, "a name that runs from the right keeps to itself"
    assert "Odile Varro" in account and "not an invoice" in account
    for words in ("13.37", "Crane", "6.25", "41.00", "Dole", "Other", "900"):
        assert words not in account, words


def test_what_is_no_commission_has_no_account() -> None:
    made = office(**{"builds/twelve/build.md": fenced("title: Twelve\nroute: r")})
    assert [build.account for build in made.builds if build.page == "builds/twelve.html"] == [None]
