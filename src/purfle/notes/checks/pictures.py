"""Pictures and sounds that texts and sheets name: are they there, and can a blind visitor hear what they show?

Invariant: opens none of them.
"""

from collections.abc import Iterable, Sequence
from functools import partial

from purfle.base.endings import PICTURES, SOUNDS
from purfle.base.groups import lots
from purfle.base.memo import Memo, very
from purfle.base.near import nearest
from purfle.base.place import Place
from purfle.base.trouble import Troubles, listed
from purfle.notes.frontmatter.text import PHOTOS
from purfle.notes.model import HEAD_PICTURES, Body, Note, Picture, Shop
from purfle.notes.openly import Holder, body_of, may_be_public
from purfle.notes.parse import folder_of
from purfle.notes.retold import retold
from purfle.notes.vocabulary.fields import Record


def check_pictures(shop: Shop, public: Sequence[Holder], private: Sequence[Holder], troubles: Troubles) -> None:
    """Tell of every picture that is missing or mute, in texts that may be published or not."""
    for texts, may_be_read in ((public, True), (private, False)):
        for start, lot in lots(texts):
            retold(_TEXTS, (start, may_be_read), (*lot, shop.assets), partial(_check_texts, lot, may_be_read, shop.assets), troubles, very)
    for build in shop.builds:
        for field in HEAD_PICTURES:
            _check_named(build.sheet, field, folder_of(build.file), may_be_public(build), shop.assets, troubles)
    for episode in shop.episodes:
        _check_named(episode.sheet, "still", folder_of(episode.file), True, shop.assets, troubles)


_TEXTS = Memo()
"""What was told of a lot of texts."""


def _check_texts(holders: Iterable[Holder], public: bool, assets: frozenset[str], troubles: Troubles) -> None:
    for holder in holders:
        _check_shown(body_of(holder).pictures, _folder_of(holder), public, assets, troubles)


def _folder_of(holder: Holder) -> str:
    """Where the names of a text's pictures begin; empty for the about page, which has a folder of its own."""
    if isinstance(holder, Note) and holder.build is not None:
        return f"builds/{holder.build}"
    return "" if isinstance(holder, Body) else folder_of(holder.file)


def _check_shown(pictures: Iterable[Picture], folder: str, public: bool, assets: frozenset[str], troubles: Troubles) -> None:
    for picture in pictures:
        if picture.path is None:
            if public and picture.src.casefold().startswith(("http:", "https:", "//")):
                found = f"the picture {picture.src} lies on another host; the showroom fetches nothing"
                troubles.add(picture.at, "picture-elsewhere", found, "copy it into the build's folder if you may, and name it here")
            else:
                _missing(troubles, picture.at, picture.src, folder, assets, "picture-missing" if public else "picture-lost", key=False)
        elif public and not picture.alt:
            found = f"the picture {picture.src} has no words for those who can't see it"
            troubles.add(picture.at, "picture-mute", found, "write between the brackets what it shows: ![the top, sanded to bare wood](…)")


def _check_named(sheet: Record, field: str, folder: str, public: bool, assets: frozenset[str], troubles: Troubles) -> None:
    name = getattr(sheet, field)
    if name is not None and f"{folder}/{name}" not in assets:
        _missing(troubles, sheet.where(field), name, folder, assets, "picture-missing" if public else "picture-lost")


def _stem(path: str) -> str:
    """The name without folder and ending, which are the same for pictures that have nothing to do with each other."""
    name = path.rpartition("/")[2]
    return name.rpartition(".")[0] or name


_ENDINGS = tuple(f".{ending}" for ending in (*PICTURES, *SOUNDS))


def _missing(troubles: Troubles, at: Place, name: str, folder: str, assets: Iterable[str], code: str, *, key: bool = True) -> None:
    """Tell of a file that is not there, named by a key, or in a text, where a space ends a name."""
    if not name.strip():
        troubles.add(at, code, "no picture or sound is named here", "write the name of its file between the round brackets, such as photos/front.jpg")
        return
    own = f"{folder}/" if folder else ""
    inside = [path.removeprefix(own) for path in assets if path.startswith(own or f"{PHOTOS}/")]
    same = [path for path in inside if _stem(path).casefold() == _stem(name).casefold()]
    near = nearest(name, same or [path for path in inside if nearest(_stem(name), [_stem(path)], 0.6)], 0.2 if same else 0.6)
    mend = f"write {near}" if near else "put the file itself there, for a link is not followed, or take the name out"
    if not near and not name.casefold().endswith(_ENDINGS):
        mend = f"take it out, or name a file that ends in {listed(_ENDINGS, 20)}"
    found = f"the picture or sound {name} is not in {own or f'{PHOTOS}/ beside shop.md'}"
    if near and " " in near and not key:
        found = found if near != name else f"the name {name} has a space in it, which ends it here"
        mend = f"write <{near}>, between < and >"
    troubles.add(at, code, found, mend)
