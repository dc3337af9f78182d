"""Prints the reference of the frontmatter and its JSON Schema, from the declarations themselves.

Invariant: says nothing about a key that its declaration does not say.
"""

from collections.abc import Iterator
from typing import Any

from purfle.base.codes import CODES
from purfle.notes.records.build import BuildSheet
from purfle.notes.records.note import NoteSheet
from purfle.notes.records.shop import ShopSheet
from purfle.notes.records.show import BulletinSheet, EpisodeSheet
from purfle.notes.vocabulary.fields import Record, keys_of, record_schema
from purfle.shell.terminal import SAYS

KINDS: dict[str, tuple[str, type[Record]]] = {
    "shop": ("shop.md", ShopSheet),
    "build": ("builds/<id>/build.md", BuildSheet),
    "note": ("builds/<id>/<day>.md and journal/<day>.md", NoteSheet),
    "episode": ("journal/episodes/<day>.md", EpisodeSheet),
    "bulletin": ("journal/bulletins/<day>.md", BulletinSheet),
}
"""Kind of file → where it stands and the record of its frontmatter."""


def reference() -> str:
    """The whole reference as Markdown: every kind of file, every mapping inside, every code."""
    return "\n".join([*_kinds(), *_codes()]) + "\n"


def _kinds() -> Iterator[str]:
    yield "# The frontmatter"
    told: set[type[Record]] = set()
    for file, record in KINDS.values():
        yield from ("", f"## {file}", "", *_record(record))
        for part in inside(record):
            if part not in told:
                told.add(part)
                yield from ("", f"### {name_of(part)}", "", *_record(part))


def inside(record: type[Record]) -> list[type[Record]]:
    """The records that stand inside one, however deep, in the order met."""
    found: list[type[Record]] = []
    for _, declared in keys_of(record).values():
        part = declared.kind.part
        if part is not None and part not in found:
            found += [part, *(deeper for deeper in inside(part) if deeper not in found)]
    return list(dict.fromkeys(found))


def name_of(record: type[Record]) -> str:
    """A record's name in plain words: `WantedShot` is "wanted shot"."""
    words = "".join(f" {c.lower()}" if c.isupper() else c for c in record.__name__)
    return words.strip()


def _record(record: type[Record]) -> Iterator[str]:
    yield (record.__doc__ or "").strip().split("\n\n")[0]
    short = record.SHORT
    if short:
        yield f"One value alone is read as its `{short}`."
    yield ""
    for word, (_, declared) in keys_of(record).items():
        needed = " **needed.**" if declared.required else ""
        kind = f" See *{name_of(declared.kind.part)}*." if declared.kind.part else f" Write {declared.kind.says}."
        yield f"- `{word}`:{needed} {declared.doc}.{kind} Example: `{word}: {declared.example}`"


def _codes() -> Iterator[str]:
    yield from ("", "# Troubles", "")
    for code, declared in sorted(CODES.items()):
        yield f"- `{code}` {SAYS[declared.stops]}: {declared.says}."


def schemas() -> dict[str, Any]:
    """The JSON Schema (2020-12) of each kind of file's frontmatter, under `$defs`."""
    defs = {kind: {"title": file, **record_schema(record)} for kind, (file, record) in KINDS.items()}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "The frontmatter of a purfle shop",
        "description": "Keys and fixed words stand here in one case, the usual one; purfle itself takes them in any.",
        "$defs": defs,
        "anyOf": [{"$ref": f"#/$defs/{kind}"} for kind in defs],
    }


def codes() -> list[dict[str, str]]:
    """Every trouble code with what it stops and says."""
    return [{"code": code, "stops": str(declared.stops), "says": declared.says} for code, declared in sorted(CODES.items())]
