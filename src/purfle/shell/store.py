"""What was made of a picture or sound, kept between compiles under the digest of the bytes it was made from.

The folder may be deleted at any time: `records/<kind>/<digest>.json` says what was made (or what was wrong), and the files it
names lie beside, under the very path they have in the showroom.
Invariant: a record is a pure function of the digest's bytes; nothing here knows the name, date or place of a source.
"""

import hashlib
import json
import os
import stat
import tempfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any


def public_name(data: bytes) -> str:
    """The name of published bytes: the first 16 hex digits of their sha256."""
    return hashlib.sha256(data).hexdigest()[:16]


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

    def get(self, key: str) -> dict[str, Any] | None:
        """What was kept under the key, or None when it was not, or a file it names is not as it was kept."""
        try:
            record, kept_at = json.loads(self._record(key).read_bytes()), self._record(key).stat().st_mtime_ns
            whole = all(self._stands(path, size, kept_at) for path, size in record["files"].items())
            return record["made"] if whole else None
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            return None

    def _stands(self, path: str, size: int, kept_at: int) -> bool:
        """Whether a file is no link, and was not written to since its record was: who changes one in a site changes it here, it is the same under two names."""
        s = (self.folder / path).lstat()
        return stat.S_ISREG(s.st_mode) and s.st_size == size and s.st_mtime_ns <= kept_at

    def _holds(self, path: str, data: bytes) -> bool:
        file = self.folder / path
        return file.is_file() and not file.is_symlink() and file.read_bytes() == data

    def put(self, key: str, made: object, files: Mapping[str, bytes]) -> None:
        """Keep the files, those that another record keeps already as they are, then the record that names them."""
        for path, data in files.items():
            if not self._holds(path, data):
                write_whole(self.folder / path, data)
        record = {"made": made, "files": {path: len(data) for path, data in files.items()}}
        write_whole(self._record(key), json.dumps(record, sort_keys=True).encode())

    def keep_only(self, keys: Iterable[str]) -> None:
        """Drop every record that is not of these keys, and every file that no remaining record names."""
        wanted = {self._record(key).name for key in keys}
        named: set[str] = set()
        for record in _listed(self.folder / "records" / self.kind):
            if record.name not in wanted:
                record.unlink(missing_ok=True)
                continue
            try:
                named |= json.loads(record.read_bytes())["files"].keys()
            except (OSError, ValueError, KeyError, TypeError, AttributeError):
                record.unlink(missing_ok=True)
        for file in _listed(self.folder / self.kind):
            if f"{self.kind}/{file.name}" not in named:
                file.unlink(missing_ok=True)


def _listed(folder: Path) -> list[Path]:
    return sorted(folder.iterdir()) if folder.is_dir() else []


def write_whole(path: Path, data: bytes) -> None:
    """Write a file beside and rename, so that no reader and no later compile sees half a file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=".new-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(beside).chmod(0o644)  # it will be copied into a public site
        Path(beside).replace(path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
