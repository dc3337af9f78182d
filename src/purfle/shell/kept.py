"""Making something of a source file once, and knowing it again: by its stamp when the file was left alone, else by its bytes.

Invariant: a stamp is only a short cut to the digest of the bytes; with an empty store everything comes out the same.
"""

import json
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any, BinaryIO, Generic, NamedTuple, TypeVar

from purfle.base.codes import CODES
from purfle.base.memo import keeping
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Wrong
from purfle.shell import plain
from purfle.shell.inside import open_inside, read_at_most
from purfle.shell.stamps import since
from purfle.shell.store import Store, write_whole

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

T = TypeVar("T", bound="DataclassInstance")
Told = tuple[tuple[str, str, str], ...]
"""Troubles without their place: code, found, mend."""
_DIGEST = "[0-9a-f]{64}"
Stamp = tuple[int, ...]
"""A file's size, the times of the last change of its bytes and of its entry, and the entry itself."""


class Seen(NamedTuple):
    """A source as it was when it was last read."""

    key: str
    stamp: Stamp


@dataclass(frozen=True, slots=True)
class Maker(Generic[T]):
    """How one kind of source is made into what is published, a dataclass."""

    store: Store
    most: int
    """Bytes a source may have."""
    too_large: Wrong
    make: Callable[[bytes, str], tuple[T, Told, Mapping[str, bytes]]]
    """From the bytes and the ending: what is published, remarks, and its files by path; raises Wrong."""
    back: Callable[[Any], T]
    """From the plain data of one that was kept; raises ValueError for any other."""
    files: Callable[[T], Mapping[str, int]]
    """By path, the bytes in each of its files."""


@dataclass(frozen=True, slots=True)
class Outcome(Generic[T]):
    """What came of one source."""

    key: str | None
    """What it is kept under; None when it was not read."""
    made: T | None
    """None when nothing could be made of it."""
    troubles: Told
    stamp: Stamp | None
    """The file's stamp, when it may be trusted next time."""


def told(wrong: Wrong) -> tuple[str, str, str]:
    """A trouble's words as plain data."""
    return wrong.code, wrong.found, wrong.mend


def published(
    maker: Maker[T], wanted: Iterable[str], shop_dir: Path, across: Callable[[Callable[[str], Outcome[T]], Sequence[str]], Iterable[Outcome[T]]] = map
) -> tuple[dict[str, T], tuple[Trouble, ...]]:
    """What is made of the wanted sources by path, and what was told of them.

    `wanted` are paths relative to the shop folder, with forward slashes; `across` does the work for all of them. What was kept from an
    earlier compile and is not wanted any more is dropped. Raises nothing for a fault of a file, OSError when the store can't be written.
    """
    paths, before = sorted(set(wanted)), _seen_before(maker.store)
    outcomes = dict(zip(paths, across(lambda path: _outcome_of(maker, shop_dir, path, before), paths), strict=True))
    _close(maker, outcomes, before)
    troubles = tuple(Trouble(Place(path, 0), *words) for path, one in outcomes.items() for words in one.troubles)
    return {path: one.made for path, one in outcomes.items() if one.made is not None}, troubles


def _outcome_of(maker: Maker[T], shop_dir: Path, path: str, seen: Mapping[str, Seen]) -> Outcome[T]:
    """What is published of `shop_dir/path`, from the store where its bytes are known."""
    try:
        with open_inside(shop_dir, path) as file:
            return _outcome(maker, file, PurePosixPath(path).suffix[1:].casefold(), seen.get(path))
    except Wrong as wrong:
        return Outcome(None, None, (told(wrong),), None)


def _outcome(maker: Maker[T], file: BinaryIO, ending: str, seen: Seen | None) -> Outcome[T]:
    stamp = _stamp(file)
    settled = stamp if max(stamp[1:3]) < since() else None
    if seen is not None and seen.stamp == stamp and (known := _recalled(maker, seen.key)) is not None:
        return Outcome(seen.key, *known, settled)
    data = read_at_most(file, maker.most)
    if data is None:
        raise maker.too_large
    key = maker.store.key(ending, data)
    known = _recalled(maker, key)
    if known is None:
        known = _anew(maker, key, data, ending)
    return Outcome(key, *known, settled)


def _anew(maker: Maker[T], key: str, data: bytes, ending: str) -> tuple[T | None, Told]:
    made: T | None
    try:
        made, troubles, files = maker.make(data, ending)
    except Wrong as wrong:
        made, troubles, files = None, (told(wrong),), {}
    maker.store.put(key, {"made": None if made is None else asdict(made), "troubles": troubles}, files)
    return made, troubles


def _recalled(maker: Maker[T], key: str) -> tuple[T | None, Told] | None:
    """What was kept under the key, if it is whole and its files are as they were kept."""
    try:
        record, kept_at = maker.store.get(key)
        known = _back(maker, record)
    except (OSError, ValueError):
        return None
    made = known[0]
    return known if made is None or all(maker.store.stands(path, size, kept_at) for path, size in maker.files(made).items()) else None


def _back(maker: Maker[T], record: Any) -> tuple[T | None, Told]:
    plain.mapping(record, {"made", "troubles"})
    troubles = tuple(_words(words) for words in plain.listed(record["troubles"]))
    if record["made"] is None and not troubles:
        plain.refuse()  # nothing is ever passed over without a word
    made = None if record["made"] is None else maker.back(record["made"])
    return made, troubles


def _words(words: Any) -> tuple[str, str, str]:
    code, found, mend = (plain.text(word) for word in plain.listed(words))
    if code not in CODES:
        plain.refuse()
    return code, found, mend


def _stamp(file: BinaryIO) -> Stamp:
    s = os.fstat(file.fileno())
    return s.st_size, s.st_mtime_ns, s.st_ctime_ns, s.st_ino, s.st_dev


def _seen_before(store: Store) -> dict[str, Seen]:
    """By path: every source that was settled when it was last read."""
    try:
        noted = plain.mapping(plain.read(store.folder / f"seen-{store.kind}.json"), {"recipe", "paths"})
        if noted["recipe"] != store.recipe:
            return {}
        return {path: Seen(plain.text(key, _DIGEST), tuple(stamp)) for path, (key, *stamp) in plain.mapping(noted["paths"]).items()}
    except (OSError, ValueError, TypeError):  # too few in a list, or no list at all
        return {}


def _close(maker: Maker[T], outcomes: Mapping[str, Outcome[T]], before: Mapping[str, Seen]) -> None:
    """Note the stamps for the next time, and drop what no source needs any more."""
    store, keys = maker.store, {one.key for one in outcomes.values() if one.key}
    if not keeping() or keys != {noted.key for noted in before.values()}:
        store.keep_only(keys, {path for one in outcomes.values() if one.made is not None for path in maker.files(one.made)})
    seen = {path: Seen(one.key, one.stamp) for path, one in outcomes.items() if one.key and one.stamp}
    if seen != before:
        paths = {path: [noted.key, *noted.stamp] for path, noted in seen.items()}
        write_whole(store.folder / f"seen-{store.kind}.json", json.dumps({"recipe": store.recipe, "paths": paths}, sort_keys=True).encode())
