"""Private stays private: nothing private reaches a byte of the showroom, and changing it changes no byte.

States and progress are public and worked out from private days; they are worked out once and held while the rest changes.
"""

import dataclasses
import random
import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from showroom_shop import ASSETS, FILES, HERON, TODAY, made, read, site, site_of

from purfle.base.place import Place
from purfle.base.times import Estimate, Wait
from purfle.base.trouble import Troubles
from purfle.events import stream
from purfle.notes.frontmatter.tree import compose_bare
from purfle.notes.model import Bulletin, Episode, Note, Shop
from purfle.notes.records.build import BuildSheet
from purfle.notes.records.note import NoteSheet
from purfle.notes.records.shop import ShopSheet
from purfle.notes.records.show import BulletinSheet, EpisodeSheet
from purfle.notes.vocabulary.fields import Key, Reading, Record, keys_of
from purfle.notes.vocabulary.named import Named
from purfle.progress import progress_of
from purfle.show.promises import promises_of

# What the design lists as public, and what decides whether something is public. All other values are private.
PUBLIC = {
    "BuildSheet": {
        "title",
        "instrument",
        "maker",
        "model",
        "year",
        "finish",
        "serial_public",
        "showroom",
        "cover",
        "as_found",
        "as_left",
        "address",
        "was",
        "kind",
    },
    "Acquired": {"how"},  # decides, with `kind`, whether a customer must be asked
    "Specs": {"*"},
    "SpecItem": {"*"},
    "Battery": {"*"},
    "ForSale": {"asking", "enquire"},
    "Consent": {"show", "credit_as"},
    "NoteSheet": {"stage", "showroom"},
    "Bench": {"build", "stage"},  # its build decides on whose page its stage stands
    "EpisodeSheet": {"title", "link", "showroom", "still", "address", "was"},
    "Segment": {"build", "stage", "what"},
    "Disclosure": {"what", "how", "build"},
    "BulletinSheet": {"build", "stage", "showroom"},
    "ShopSheet": {"name", "place", "contact", "currency", "language", "locale", "site"},
}
CANARY = "Xqzcanary"

Leaf = Callable[[Any], Any]


def _public(record: Record, field: str) -> bool:
    if type(record).__name__ == "Credit" and record.consent:
        return True
    named = PUBLIC.get(type(record).__name__, set())
    return "*" in named or field in named or field in ("at", "marks", "consent")


def changed(value: Any, leaf: Leaf) -> Any:
    """The value with every private leaf inside it put through `leaf`."""
    if isinstance(value, Record):
        new = {
            f.name: changed(getattr(value, f.name), leaf)
            for f in dataclasses.fields(value)
            if not (_public(value, f.name) and not _holds_records(getattr(value, f.name)))
        }
        return dataclasses.replace(value, **new)
    if isinstance(value, Named):
        return Named(leaf(value.name), changed(value.value, leaf), value.at, value.value_at)
    if isinstance(value, tuple):
        return tuple(changed(item, leaf) for item in value)
    return value if value is None else leaf(value)


def _holds_records(value: Any) -> bool:
    return isinstance(value, Record) or (isinstance(value, tuple) and any(isinstance(item, Record) for item in value))


def whole(shop: Shop, leaf: Leaf) -> Shop:
    """The shop with every private value and every file name of a note changed."""

    def sheet(item: Any) -> Any:
        return dataclasses.replace(item, sheet=changed(item.sheet, leaf))

    names = {item.file: f"{leaf(item.file)}.md" for item in (*shop.notes, *shop.episodes, *shop.bulletins)}  # the parts of one file stay together

    def noted(item: Note | Episode | Bulletin) -> Any:
        return dataclasses.replace(sheet(item), file=names[item.file])

    return dataclasses.replace(
        shop,
        settings=changed(shop.settings, leaf),
        builds=tuple(map(sheet, shop.builds)),
        notes=tuple(map(noted, shop.notes)),
        episodes=tuple(map(noted, shop.episodes)),
        bulletins=tuple(map(noted, shop.bulletins)),
    )


def marked(value: Any) -> Any:
    """A canary in place of a value of the same type, where the type can hold one."""
    if isinstance(value, str):
        return CANARY
    if isinstance(value, Decimal):
        return Decimal("7919.83")
    if isinstance(value, date):
        return date(2019, 9, 19)
    return value


def at_random(chance: random.Random) -> Leaf:
    def leaf(value: Any) -> Any:
        if isinstance(value, bool):
            return chance.random() < 0.5
        if isinstance(value, int):
            return chance.randrange(1, 999)
        if isinstance(value, Decimal):
            return Decimal(chance.randrange(10**6)) / 100
        if isinstance(value, date):
            return date(2026, chance.randrange(1, 13), chance.randrange(1, 29))
        if isinstance(value, str):
            return "".join(chance.choices("abcdefghij XYZ", k=9))
        if isinstance(value, Estimate):
            return Estimate(Decimal(1), Decimal(2), Decimal(chance.randrange(3, 9)))
        return Wait(chance.randrange(30)) if isinstance(value, Wait) else value

    return leaf


# --- a shop in which every key of the vocabulary is filled in ---------------------------------------------------------


def filled(record: type[Record]) -> str:
    """Every key of a record, with its example or with every key of the record inside it."""
    return "\n".join(f"{word}: {_value(word, key)}" for word, (_, key) in keys_of(record).items())


def _value(word: str, key: Key) -> str:
    if key.kind.part is None:
        return key.example
    inner = "{" + ", ".join(f"{w}: {_value(w, k)}" for w, (_, k) in keys_of(key.kind.part).items()) + "}"
    for text in (inner, "{some name: " + inner + "}"):
        troubles = Troubles()
        node = compose_bare(text, Place("f", 1), troubles)
        try:
            key.kind.read(node, Reading(troubles))
        except Exception:  # (a kind that takes no mapping raises; the other spelling is tried)
            continue
        if not troubles.found:
            return text
    return key.example


def _lines(record: type[Record], **fixed: str) -> str:
    """The filled keys of a record with some set."""
    lines = filled(record).split("\n")
    kept = [line for line in lines if line.partition(":")[0] not in fixed]
    return "---\n" + "\n".join([*kept, *(f"{key}: {value}" for key, value in fixed.items())]) + "\n---\n"


def full_shop() -> Shop:
    """The usual shop with one build, one note, an episode and a bulletin in which every key is filled."""
    routes = "{plain: [strip, colour]}"
    settings = _lines(ShopSheet, name="Test Bench", site="https://example.org/bench", currency="USD", locale="en_US", routes=routes)
    return read(
        {
            "shop.md": settings + "About us.\n",
            "builds/heron/build.md": _lines(
                BuildSheet,
                title="Heron",
                kind="resale",
                route="plain",
                showroom="yes",
                serial_public="no",
                cover="photos/front.jpg",
                as_found="photos/before.jpg",
                as_left="photos/front.jpg",
            )
            + "A story.\n",
            "builds/heron/2026-02-01-zinc.md": _lines(NoteSheet, stage="strip", showroom="yes") + "Stripped.\n",
            "journal/episodes/2026-04-03-two.md": _lines(EpisodeSheet, title="Two blues", showroom="yes") + "Blue.\n",
            "journal/bulletins/2026-04-05.md": _lines(BulletinSheet, build="heron", showroom="yes") + "Brown.\n",
        }
    )


FULL = full_shop()
PROGRESS, _ = progress_of(FULL, stream(FULL, TODAY), TODAY)
PROMISES = promises_of(FULL, PROGRESS, TODAY)
BEFORE = made(FULL, PROGRESS, PROMISES).pages


def test_the_full_shop_really_fills_every_record() -> None:
    heron = FULL.build("heron").sheet
    unread = [name for name, _ in keys_of(BuildSheet).values() if not heron.wrote(name)]
    assert not unread and heron.commission is not None and heron.commission.customer
    assert heron.sale[0].back and heron.parts[0].origin and FULL.settings.suppliers[0].value.late
    note = next(n for n in FULL.notes if n.build == "heron" and n.date == date(2026, 2, 1))
    assert [name for name, _ in keys_of(NoteSheet).values() if not note.sheet.wrote(name)] == []


def test_the_canary_is_in_the_shop() -> None:
    shop = whole(FULL, marked)
    assert repr(shop).count(CANARY) > 150 and repr(shop).count("7919.83") > 80


def test_no_canary_in_a_private_value_reaches_a_page() -> None:
    pages = made(whole(FULL, marked), PROGRESS, PROMISES).pages
    told = [path for path, data in pages.items() if re.search(rb"xqzcanary|7919[.,]?83|7,919|2019-09-19|Sep 19, 2019", data, re.IGNORECASE)]
    assert told == []


def test_a_canary_in_a_public_value_does_reach_a_page() -> None:
    """The search above can find one: the same canary as a finish is found."""
    heron = FULL.build("heron")
    shop = dataclasses.replace(
        FULL, builds=tuple(dataclasses.replace(b, sheet=dataclasses.replace(b.sheet, finish=CANARY)) if b is heron else b for b in FULL.builds)
    )
    assert any(CANARY.encode() in data for data in made(shop, PROGRESS, PROMISES).pages.values())


@given(st.integers(0, 2**32))
@settings(max_examples=15, deadline=None)
def test_changing_private_values_changes_no_byte(seed: int) -> None:
    assert made(whole(FULL, at_random(random.Random(seed))), PROGRESS, PROMISES).pages == BEFORE


@given(st.text("abc \n:#*!.", max_size=60).filter(lambda t: ":::" not in t and "::" not in t))
@settings(max_examples=25, deadline=None)
def test_what_a_private_block_says_changes_no_byte(words: str) -> None:
    usual = site().pages
    assert site({"builds/heron/build.md": HERON.replace("The barn is behind the chapel.", words)}).pages == usual


def test_nothing_of_private_blocks_notes_builds_or_people_is_written() -> None:
    everything = "\n".join(data.decode() for path, data in site().pages.items() if not path.startswith("fonts/"))
    secrets = (
        "chapel",
        "hinges",
        "281.37",
        "281",
        "12.34",
        "AX10417",
        "Osric",
        "Penhallow",
        "Quenby",
        "Plover",
        "zither",
        "rent is due",
        "Before any heading",
        "Sallow Coils",
        "begin gently",
        "Hush",
        "zinc",
        "photo feed",
        "hidden.jpg",
    )
    assert [word for word in secrets if word.casefold() in everything.casefold()] == []


def test_names_of_photos_and_notes_change_no_byte() -> None:
    """Picture names come from the published bytes; here a stand-in that depends on the length of the path alone."""
    renamed = {name.replace("-zinc", "-lead"): text.replace("bare.jpg", "nude.jpg") for name, text in FILES.items()}
    shop = read(dict(renamed), ASSETS - {"builds/heron/photos/bare.jpg"} | {"builds/heron/photos/nude.jpg"})
    shop = dataclasses.replace(shop, notes=tuple(n for n in shop.notes if "zinc" not in n.file))
    assert site_of(shop).pages == site().pages


def test_file_names_of_two_episodes_of_a_day_change_no_byte() -> None:
    one, other = (
        f"---\ntitle: {title}\naddress: {title.lower()}\naired: yes\nshowroom: yes\npromises: [{{words: {title} again, do: start}}]\n---\n{title}.\n"
        for title in ("Ash", "Elm")
    )
    day = "journal/episodes/2026-04-17"
    made = site({f"{day}-a.md": one, f"{day}-b.md": other})
    assert [(c.words, c.episode.title) for c in made.view.coming_up if not c.build] == [("Ash again", "Ash"), ("Elm again", "Elm")]
    assert site({f"{day}-a.md": other, f"{day}-b.md": one}).pages == made.pages


def test_kinds_without_a_customer_look_alike() -> None:
    pages = {
        kind: site({"builds/wren/build.md": FILES["builds/wren/build.md"].replace("route:", f"kind: {kind}\nroute:")}).pages
        for kind in ("resale", "batch", "test")
    }
    assert pages["resale"] == pages["batch"] == pages["test"]


def test_private_builds_and_days_change_no_byte() -> None:
    more = {
        "builds/gull/build.md": "---\ntitle: Gull\n---\nGull!\n",
        "builds/gull/2026-01-01.md": "---\nhours: 2\n---\nSecret.\n",
        "journal/2026-01-02.md": "Nothing.\n",
    }
    assert site(more).pages == site().pages


def test_view_types_have_no_private_field() -> None:
    from purfle.views import public

    names = {f.name for kind in vars(public).values() if dataclasses.is_dataclass(kind) for f in dataclasses.fields(kind)}
    private = {
        "cost",
        "costs",
        "hours",
        "price",
        "sale",
        "buyer",
        "customer",
        "supplier",
        "file",
        "kind",
        "acquired",
        "parts",
        "due",
        "fees",
        "margin",
        "at",
        "marks",
        "sheet",
    }
    assert names & private == set()
