"""Making something of a source file once, and knowing it again: by its stamp when the file was left alone, else by its bytes.

Invariant: a stamp is only a short cut to the digest of the bytes; with an empty store everything comes out the same.
"""

import json
import os
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any, BinaryIO

from purfle.base.memo import Memo
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Wrong
from purfle.shell.inside import open_inside, read_at_most
from purfle.shell.stamps import since
from purfle.shell.store import Store, write_whole

Made = tuple[dict[str, Any], dict[str, bytes]]
"""What is recorded of a source, as plain data, and the files made of it by path."""


@dataclass(frozen=True, slots=True)
class Maker:
    """How one kind of source is made into what is published."""

    store: Store
    most: int
    """Bytes a source may have."""
    too_large: Wrong
    make: Callable[[bytes, str], Made]
    """From the bytes and the ending; raises Wrong."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one source."""

    key: str | None
    """What it is kept under; None when it was not read."""
    made: dict[str, Any]
    stamp: tuple[int, ...] | None
    """The file's stamp, when it may be trusted next time."""


def failed(wrong: Wrong) -> dict[str, Any]:
    """The record of a source that nothing could be made of."""
    return {"made": None, "troubles": [told(wrong)]}


def told(wrong: Wrong) -> list[str]:
    """A trouble's words as plain data."""
    return [wrong.code, wrong.found, wrong.mend]


def troubles_of(outcomes: Mapping[str, Outcome]) -> tuple[Trouble, ...]:
    """What was told of the sources, each by its path."""
    return tuple(Trouble(Place(path, 0), *words) for path, one in outcomes.items() for words in one.made["troubles"])


def outcome(maker: Maker, shop_dir: Path, path: str, seen: Mapping[str, Any], now: Callable[[], int] = time.time_ns) -> Outcome:
    """What is published of `shop_dir/path`, from the store where its bytes are known. Raises nothing for a fault of the file."""
    try:
        with open_inside(shop_dir, path) as file:
            return _outcome(maker, file, PurePosixPath(path).suffix[1:].casefold(), seen.get(path), now())
    except Wrong as wrong:
        return Outcome(None, failed(wrong), None)


def _outcome(maker: Maker, file: BinaryIO, ending: str, seen: Any, now: int) -> Outcome:
    stamp = _stamp(file)
    settled = stamp if max(stamp[1:3]) < since(now) else None
    if isinstance(seen, list) and seen[1:] == list(stamp) and (made := maker.store.get(seen[0])) is not None:
        return Outcome(seen[0], made, settled)
    data = read_at_most(file, maker.most)
    if data is None:
        raise maker.too_large
    key = maker.store.key(ending, data)
    made = maker.store.get(key)
    if made is None:
        try:
            made, files = maker.make(data, ending)
        except Wrong as wrong:
            made, files = failed(wrong), {}
        maker.store.put(key, made, files)
    return Outcome(key, made, settled)


def _stamp(file: BinaryIO) -> tuple[int, ...]:
    """Size, time of the last change of the bytes and of the entry, and the entry itself."""
    s = os.fstat(file.fileno())
    return s.st_size, s.st_mtime_ns, s.st_ctime_ns, s.st_ino, s.st_dev


def seen_before(store: Store) -> dict[str, Any]:
    """By path: the key and the stamp of every source that was settled when it was last read."""
    try:
        noted = json.loads((store.folder / f"seen-{store.kind}.json").read_bytes())
        return dict(noted["paths"]) if noted["recipe"] == store.recipe else {}
    except (OSError, ValueError, KeyError, TypeError):
        return {}


def close(store: Store, outcomes: Mapping[str, Outcome], before: Mapping[str, Any]) -> None:
    """Note the stamps for the next time, and drop what no source needs any more."""
    keys = {one.key for one in outcomes.values() if one.key}
    if not Memo.keeping or keys != {noted[0] for noted in before.values()}:
        store.keep_only(keys)
    seen = {path: [one.key, *one.stamp] for path, one in outcomes.items() if one.key and one.stamp}
    if seen != before:
        write_whole(store.folder / f"seen-{store.kind}.json", json.dumps({"recipe": store.recipe, "paths": seen}, sort_keys=True).encode())
