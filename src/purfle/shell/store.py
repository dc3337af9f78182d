"""What was made of a picture or sound, kept between compiles under the digest of the bytes it was made from.

The folder may be deleted at any time: `records/<kind>/<digest>.json` says what was made (or what was wrong), and the files of
that lie beside, under the very path they have in the showroom.
Invariant: a record is a pure function of the digest's bytes; nothing here knows the name, date or place of a source.
"""

import hashlib
import json
import os
import stat
import tempfile
import threading
import time
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from purfle.shell import plain
from purfle.shell.output import make_folder, remove


def public_name(data: bytes) -> str:
    """The name of published bytes: the first 16 hex digits of their sha256."""
    return hashlib.sha256(data).hexdigest()[:16]


_KEEPING = threading.Lock()
"""Two sources may give the same file at once: what one record was kept with must not be written again after it by another's."""


@dataclass(frozen=True, slots=True)
class Store:
    """The kept records and files of one kind of source."""

    folder: Path
    kind: str
    """`pictures` or `sounds`: the folder of the files, here and in the showroom."""
    recipe: str
    """What else the outcome depends on: our own way of making it and the libraries' versions."""

    def key(self, suffix: str, data: bytes) -> str:
        """The digest of everything the outcome depends on."""
        head = f"{self.kind}\0{self.recipe}\0{suffix}\0".encode()
        return hashlib.sha256(head + hashlib.sha256(data).digest()).hexdigest()

    def _record(self, key: str) -> Path:
        return self.folder / "records" / self.kind / f"{key}.json"

    def get(self, key: str) -> tuple[Any, int]:
        """What was kept under the key, as plain data of whatever form, and when. Raises OSError or ValueError when it was not."""
        return plain.read(self._record(key)), self._record(key).lstat().st_mtime_ns

    def stands(self, path: str, size: int, kept_at: int) -> bool:
        """Whether a file is no link, and was not written to since its record was: who changes one in a site changes it here, it is the same under two names."""
        try:
            s = (self.folder / path).lstat()
        except OSError:
            return False
        return stat.S_ISREG(s.st_mode) and s.st_size == size and s.st_mtime_ns <= kept_at

    def _holds(self, path: str, data: bytes) -> bool:
        """Whether a file need not be written: it was before now, and so before its record, and has these bytes."""
        return self.stands(path, len(data), time.time_ns()) and (self.folder / path).read_bytes() == data

    def put(self, key: str, made: object, files: Mapping[str, bytes]) -> None:
        """Keep the files, those that another record keeps already as they are, then the record."""
        with _KEEPING:
            for path, data in files.items():
                if not self._holds(path, data):
                    self._keep(self.folder / path, data)
            self._keep(self._record(key), json.dumps(made, sort_keys=True).encode())

    def _keep(self, path: Path, data: bytes) -> None:
        make_folder(path.parent, self.folder)
        write_whole(path, data)

    def keep_only(self, keys: Iterable[str], paths: Container[str]) -> None:
        """Drop every record that is not of these keys, and every file that is not of these paths."""
        wanted = {self._record(key).name for key in keys}
        for record in _listed(self.folder / "records" / self.kind):
            if record.name not in wanted:
                remove(record)
        for file in _listed(self.folder / self.kind):
            if f"{self.kind}/{file.name}" not in paths:
                remove(file)


def _listed(folder: Path) -> list[Path]:
    return sorted(folder.iterdir()) if folder.is_dir() else []


def write_whole(path: Path, data: bytes) -> None:
    """Write a file beside and rename, so that no reader and no later compile sees half a file. Its folder is made if need be, but none above it."""
    path.parent.mkdir(exist_ok=True)
    if path.is_dir() and not path.is_symlink():
        remove(path)  # no file can be put in a folder's place
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=".new-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(beside).chmod(0o644)  # it will be copied into a public site
        Path(beside).replace(path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
