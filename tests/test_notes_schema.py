"""The JSON Schema of the frontmatter and the readers say the same, each judged by the other.

The schema's side is the jsonschema library over values typed by YAML 1.2's core schema, as editors type them; the
reader's side sees the text alone.
"""

import re
from functools import cache
from pathlib import Path

import jsonschema
import pytest
import yaml
from test_notes_fields import RECORDS

from purfle.base.place import Place
from purfle.base.trouble import Troubles, Wrong
from purfle.notes.frontmatter.tree import compose_bare
from purfle.notes.vocabulary.fields import Reading, keys_of, record_schema
from purfle.notes.vocabulary.kinds import PATH
from purfle.notes.vocabulary.mapping import read_record
from purfle.shell import fields
from purfle.shell.cli import run

ROOT = Path(__file__).parents[1]


class Typed(yaml.SafeLoader):
    """YAML 1.2.2, 10.3.2: what plain scalars are."""


Typed.yaml_implicit_resolvers = {}
for tag, form, first in (
    ("null", "~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("bool", "true|True|TRUE|false|False|FALSE", list("tTfF")),
    ("int", "[-+]?[0-9]+", list("-+0123456789")),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", list("-+.0123456789")),
):
    Typed.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(f"^(?:{form})$"), first)


@cache
def judge(record):
    return jsonschema.Draft202012Validator(record_schema(record))


def refused(record, text):
    """Whether the schema refuses a mapping, and whether the reader tells of it."""
    troubles = Troubles()
    try:
        read_record(record, compose_bare(text, Place("x.md", 1), troubles), Reading(troubles))
        told = bool(troubles.found)
    except Wrong:
        told = True
    return not judge(record).is_valid(yaml.load(text, Typed)), told


# What YAML makes a number of (1e3, .5, +5) has lost the text that the reader refuses, so there is none of it here.
SCALARS = """yes no true False maybe 0 -3 5 2.5 12.345 "5" "39,80" $39 "5 %" 120 2026-03-14 2026-13-40 2026-3-4 "14 days" "2 weeks" "4 h" 2h30 "2:30" \
forever "a word" https://example.org ftp://x ../x photos/a.jpg /abs "34 in" "12 cats" "7 kg" E2 USD dollars 2025 14:30 25:99 04-06 "first in" 100000000 \
"no" ja"""
VALUES = ["", "~", "[1, 2]", "[1, 2, 3]", "[3, 2, 1]", "[]", "{}", "{a: 1}", "[a, b]", *re.findall(r'"[^"]*"|\S+', SCALARS)]
UNSAID = {
    "rise": lambda says, value: value == "[3, 2, 1]" and "[low, likely, high]" in says,
    "a time of day as the number that YAML 1.1 makes of it": lambda says, value: "time of day" in says and re.fullmatch(r"\[?[0-9, ]+\]?", value),
    "no, as the boolean that YAML 1.1 makes of it": lambda says, value: says.endswith(", or no") and value == "False",
    "a gauge above an inch, as text": lambda says, value: "gauge" in says and value in ('"5"', "34 in", '"34 in"'),
    "a gauge alone where words for a string may stand": lambda says, value: says.startswith("a list of") and "or a gauge alone" in says,
}
"""What no schema can say; the reader alone tells it."""
KEYS = {(declared.kind.says, declared.required): (record, word) for record in RECORDS for word, (_, declared) in keys_of(record).items()}
"""One key for each kind of value."""


@pytest.mark.parametrize(("record", "word"), [pytest.param(*key, id=f"{key[0].__name__}.{key[1]}") for key in KEYS.values()])
def test_a_value_is_refused_by_both_or_by_none(record, word):
    needed = {own: declared.example for own, (_, declared) in keys_of(record).items() if declared.required}
    kind = keys_of(record)[word][1].kind
    for value in VALUES:
        by_schema, told = refused(record, "\n".join(f"{own}: {written}" for own, written in {**needed, word: value}.items()))
        if kind is PATH and by_schema and not told:
            assert yaml.load(value, Typed) is not None and not isinstance(yaml.load(value, Typed), str)  # told as a picture that is missing
        elif told and not by_schema:
            assert any(of(kind.says, value) for of in UNSAID.values()), f"the reader alone refuses {word}: {value}"
        else:
            assert by_schema == told, f"the schema alone refuses {word}: {value}"


def fronts():
    """Kind and frontmatter of each note of the demo shop, one for each set of keys."""
    places = {"shop": "shop.md", "build": "builds/*/build.md", "episode": "journal/episodes/*.md", "bulletin": "journal/bulletins/*.md"}
    found = {}
    for kind, pattern in (*places.items(), ("note", "journal/*.md"), ("note", "builds/*/2*.md")):
        for path in sorted(ROOT.glob(pattern)):
            front = path.read_text("utf-8").split("---\n")[1]
            found.setdefault((kind, *sorted(yaml.load(front, Typed))), (kind, str(path.relative_to(ROOT)), front))
    return [pytest.param(*of, id=of[1]) for of in found.values()]


@pytest.mark.parametrize(("kind", "path", "front"), fronts())
def test_a_note_of_the_demo_and_each_slip_in_it_is_judged_alike(kind, path, front):
    """A key misspelt, a value of another type, some ten of them in each note: the schema and the reader say the same."""
    record = fields.KINDS[kind][1]
    assert refused(record, front) == (False, False)
    bent, all_slips = 0, list(slips(yaml.load(front, Typed)))
    for text in all_slips[:: len(all_slips) // 10 + 1]:
        by_schema, told = refused(record, text)
        assert by_schema == told, text
        bent += by_schema
    assert bent


def slips(data):
    """The mapping again and again as text, each time with one key or one value of it bent."""

    def within(value, rebuild):
        if isinstance(value, dict):
            for key in value:
                yield rebuild({f"{own}xq" if own == key else own: of for own, of in value.items()})
                yield rebuild({**value, key: {"no such": 1}})
                yield from within(value[key], lambda new, key=key: rebuild({**value, key: new}))
        elif isinstance(value, list):
            for n, of in enumerate(value):
                yield from within(of, lambda new, n=n: rebuild([*value[:n], new, *value[n + 1 :]]))

    for bent in within(data, lambda new: new):
        yield yaml.safe_dump(bent, default_flow_style=None, sort_keys=False, allow_unicode=True, width=10**6)


def test_the_schema_takes_a_new_shop(tmp_path):
    assert run(["start", str(tmp_path / "new"), "--today", "2026-05-20"]) == 0
    for kind, (_, record) in fields.KINDS.items():
        pattern = {"shop": "shop.md", "build": "builds/*/build.md", "episode": "journal/episodes/*.md", "bulletin": "journal/bulletins/*.md"}
        for path in (tmp_path / "new").glob(pattern.get(kind, "builds/*/2*.md")):
            front = path.read_text("utf-8").split("---\n")[1]
            assert [error.message for error in judge(record).iter_errors(yaml.load(front, Typed))] == [], path


def patterns(schema):
    if isinstance(schema, dict):
        return {schema["pattern"]} if isinstance(schema.get("pattern"), str) else set().union(*map(patterns, schema.values()))
    return set().union(*map(patterns, schema)) if isinstance(schema, list) else set()


def test_patterns_are_also_those_of_ecma_262():
    """JSON Schema 2020-12, Core 6.4, asks for ECMA-262's, which validators read with its u flag: there only these may follow a backslash."""
    found = patterns(fields.schemas())
    assert found
    for pattern in found:
        assert not re.search(r"\\[^dDsSwWbB^$\\.*+?()\[\]{}|/]", pattern), pattern
        assert not re.search(r"\(\?(?![:=!])|[*+?}]\+|\\[AZ]", pattern), pattern
