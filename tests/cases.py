"""Case files: a small shop folder with the spot of each trouble marked, and what is to be told.

@@ builds/heron/build.md        a file of the shop; a shop.md is there unless the case gives one
price: »39,80                    » marks where the trouble is to stand, and is not part of the file
@@ »builds/x (1).md             a mark in the header: the trouble is about the file as a whole
@@ a.md (escaped)               contents with Python's escapes, for bytes that are no text
@@ »without shop.md             a shop folder that has none
@@ asset builds/heron/a.jpg     a picture that exists
@@ today 2026-05-20             the day, when it matters
@@ expect
amount-unclear                  a code for each mark, in the order of file, line and column
  found: …                      compared whole where the case says it
  mend: …
@@ mended builds/heron/build.md          the file once the builder has done what each mend says; after it nothing is told
@@ mended without builds/heron/a.md      a file that the mend takes away
@@ mended asset builds/heron/a.jpg       a picture that the mend puts there
"""

import re
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

MARK = "»"
CASES = Path(__file__).parent / "cases" / "troubles"
DEFAULT_SHOP = "---\nname: The bench\n---\n"


@dataclass
class Expected:
    """A trouble that a case wants told."""

    code: str
    found: str | None = None
    mend: str | None = None


@dataclass
class Case:
    """One case file."""

    files: dict[str, bytes] = field(default_factory=dict)
    assets: set[str] = field(default_factory=set)
    today: date = date(2026, 5, 20)
    places: list[tuple[str, int, int]] = field(default_factory=list)
    expected: list[Expected] = field(default_factory=list)
    mended: "Case | None" = None
    """The shop as it is once each mend was followed."""


def read_case(path: Path) -> Case:
    """The case that a file holds."""
    case = Case()
    without = set()
    mends: list[tuple[str, list[str]]] = []
    for header, lines in _blocks(path.read_text("utf-8")):
        if header == "expect":
            case.expected = _expected(lines)
        elif header.startswith("mended "):
            mends.append((header.removeprefix("mended "), lines))
        elif header.startswith("today "):
            case.today = date.fromisoformat(header.split()[1])
        elif header.startswith(f"{MARK}without "):
            without.add(header.split()[1])
            case.places.append((header.split()[1], 0, 1))
        elif header.startswith("asset "):
            case.assets.add(header.removeprefix("asset "))
        else:
            _file(case, header, lines)
    if "shop.md" not in without:
        case.files.setdefault("shop.md", DEFAULT_SHOP.encode())
    case.places.sort()
    if mends:
        case.mended = _mended(case, mends)
    return case


def _mended(case: Case, mends: list[tuple[str, list[str]]]) -> Case:
    mended = Case(dict(case.files), set(case.assets), case.today)
    for header, lines in mends:
        if header.startswith("without "):
            del mended.files[header.removeprefix("without ")]
        elif header.startswith("asset "):
            mended.assets.add(header.removeprefix("asset "))
        else:
            _file(mended, header, lines)
    return mended


def _blocks(text: str) -> list[tuple[str, list[str]]]:
    blocks: list[tuple[str, list[str]]] = []
    for line in text.split("\n"):
        if line.startswith("@@ "):
            blocks.append((line[3:].strip(), []))
        elif blocks:
            blocks[-1][1].append(line)
    return blocks


def _file(case: Case, header: str, lines: list[str]) -> None:
    escaped = header.endswith(" (escaped)")
    name = header.removesuffix(" (escaped)")
    if MARK in name:
        name = name.replace(MARK, "")
        case.places.append((name, 0, 1))
    clean = []
    for number, line in enumerate(lines, 1):
        while MARK in line:
            case.places.append((name, number, line.index(MARK) + 1))
            line = line.replace(MARK, "", 1)
        clean.append(line)
    text = "\n".join(clean)
    case.files[name] = text.rstrip("\n").encode("latin-1").decode("unicode_escape").encode("latin-1") if escaped else text.encode()


def _expected(lines: list[str]) -> list[Expected]:
    found: list[Expected] = []
    for line in lines:
        if match := re.match(r"\s+(found|mend): (.*)", line):
            setattr(found[-1], match[1], match[2])
        elif line.strip():
            found.append(Expected(line.strip()))
    return found
