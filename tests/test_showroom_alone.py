"""Each private value of the demo shop alone may become another, and no byte of the showroom does: states, plans and promises are worked out anew each time.

The others that change private values change all at once, with the progress held.
"""

import dataclasses
import random
from datetime import date, timedelta
from decimal import Decimal

import pytest
from demo_shop import TODAY, analysis
from showroom_shop import TEMPLATES, picture
from test_showroom_privacy import PUBLIC

from purfle.base.times import Estimate, Wait
from purfle.events import stream
from purfle.notes.vocabulary.fields import Record, keys_of
from purfle.notes.vocabulary.named import Named
from purfle.pages.showroom import pages_of
from purfle.progress import progress_of
from purfle.show.promises import promises_of
from purfle.show.publication import wanted_pictures
from purfle.views.pictures import PublishedSound
from purfle.views.showroom import showroom_of

DECIDES = {
    "BuildSheet": {"route", "ends_at", "serial", "units"},
    "StageSheet": {"stage", "skip"},
    "Sale": {"date", "units", "bundled"},
    "Back": {"date", "goods", "units"},
    "Delivered": {"date", "units"},
    "Ended": {"date", "how"},
    "MovedBuild": {"date", "to"},
    "Hold": {"since", "until"},
    "ForSale": {"since", "until"},
    "NoteSheet": {"finished", "redo"},
    "Bench": {"finished", "build"},
    "EpisodeSheet": {"aired"},
    "Segment": {"*"},
    "Promise": {"*"},
    "WithdrawnPromise": {"date"},
    "Credit": {"*"},
    "Disclosure": {"*"},
}
"""What decides the public state, how many stages are finished of how many, what was said on air, and what is public with consent."""
CHOSEN = 25


def pages(shop):
    """The showroom's pages, all phases worked out anew; pictures are stand-ins."""
    progress, _ = progress_of(shop, stream(shop, TODAY), TODAY)
    wanted = wanted_pictures(shop, progress, TODAY)
    sounds = {path for path in wanted if path.endswith((".ogg", ".mp3", ".wav"))}
    heard = {path: PublishedSound(f"sounds/{len(path):016x}.ogg", "audio/ogg", 9) for path in sounds}
    seen = {path: picture(path) for path in wanted if path not in sounds}
    return pages_of(showroom_of(shop, progress, promises_of(shop, progress, TODAY), seen, heard, TODAY), TEMPLATES)


def leaves(value, way=()):
    """Every private value within a record, with the way to it."""
    if isinstance(value, Record):
        kept = PUBLIC.get(type(value).__name__, set()) | DECIDES.get(type(value).__name__, set())
        for name, key in keys_of(type(value)).values():
            if "*" not in kept and (name not in kept or key.kind.part is not None):
                yield from leaves(getattr(value, name), (*way, name))
    elif isinstance(value, Named):
        yield from leaves(value.value, (*way, None))
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from leaves(item, (*way, index))
    elif value is not None and value != "":
        yield way, value


def put(value, way, new):
    """The value with what the way leads to in it replaced."""
    if not way:
        return new
    step, *rest = way
    if isinstance(step, str):
        return dataclasses.replace(value, **{step: put(getattr(value, step), rest, new)})
    if step is None:
        return Named(value.name, put(value.value, rest, new), value.at, value.value_at)
    return (*value[:step], put(value[step], rest, new), *value[step + 1 :])


def another(value):
    """Another value of the same type; words that are one of few stay what they are."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | Decimal):
        return value * 3 + 1
    if isinstance(value, date):
        return value + timedelta(days=3)
    if isinstance(value, Estimate):
        return Estimate(Decimal(1), Decimal(20), Decimal(40))
    return Wait(30) if isinstance(value, Wait) else value


@pytest.fixture(scope="module")
def demo():
    """The demo shop as it is read, and its pages."""
    shop = analysis().shop
    return shop, pages(shop)


def places(shop):
    """Every private value of the shop with where it stands: the list it is of, its place there, the way within its sheet."""
    yield from (("settings", None, way, value) for way, value in leaves(shop.settings))
    for kind in ("builds", "notes", "episodes", "bulletins"):
        for index, item in enumerate(getattr(shop, kind)):
            yield from ((kind, index, way, value) for way, value in leaves(item.sheet))


def test_each_private_value_alone_changes_no_byte(demo):
    shop, before = demo
    found = [place for place in places(shop) if another(place[3]) != place[3]]
    assert len(found) > 1000
    for kind, index, way, value in random.Random(5).sample(found, CHOSEN):
        items = getattr(shop, kind)
        sheet = put(items if index is None else items[index].sheet, way, another(value))
        new = sheet if index is None else (*items[:index], dataclasses.replace(items[index], sheet=sheet), *items[index + 1 :])
        assert pages(dataclasses.replace(shop, **{kind: new})) == before, (kind, index, way)


def test_a_value_that_is_public_does_change_some(demo):
    """The same comparison finds one: the finish of the first public build."""
    shop, before = demo
    index = next(n for n, build in enumerate(shop.builds) if build.sheet.showroom and build.sheet.finish)
    sheet = dataclasses.replace(shop.builds[index].sheet, finish="another finish")
    builds = (*shop.builds[:index], dataclasses.replace(shop.builds[index], sheet=sheet), *shop.builds[index + 1 :])
    assert pages(dataclasses.replace(shop, builds=builds)) != before
