"""The vocabulary: every key's example reads back, its schema is one, and its name is suggested when misspelt."""

import inspect
from importlib import import_module, resources
from pkgutil import iter_modules

import jsonschema
import pytest
import yaml

from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes import records
from purfle.notes.frontmatter.tree import compose_bare
from purfle.notes.records.build import BuildSheet
from purfle.notes.records.shop import TAX_FORMS
from purfle.notes.vocabulary.fields import Reading, Record, keys_of, record_schema
from purfle.notes.vocabulary.mapping import read_record

MODULES = [import_module(f"{records.__name__}.{module.name}") for module in iter_modules(records.__path__)]
RECORDS = sorted({c for m in MODULES for c in vars(m).values() if inspect.isclass(c) and issubclass(c, Record) and c is not Record}, key=lambda c: c.__name__)
KEYS = [pytest.param(record, word, id=f"{record.__name__}.{word}") for record in RECORDS for word in keys_of(record)]


def read(kind, text):
    troubles = Troubles()
    tree = compose_bare(f"k: {text}", Place("x.md", 1), troubles)
    value = kind.read(tree.entries[0].value, Reading(troubles))
    assert not troubles.found
    return value


@pytest.mark.parametrize(("record", "word"), KEYS)
def test_the_example_of_a_key_is_read_without_trouble(record, word):
    _, declared = keys_of(record)[word]
    assert read(declared.kind, declared.example) is not None or declared.example == "no"


@pytest.mark.parametrize(("record", "word"), KEYS)
def test_the_schema_of_a_key_takes_its_example(record, word):
    # A second opinion: PyYAML's own typing and the jsonschema library, which know nothing of our readers.
    _, declared = keys_of(record)[word]
    value = yaml.load(f"k: {declared.example}", Loader=DatesAsText)["k"]
    jsonschema.Draft202012Validator(declared.kind.schema()).validate(value)


class DatesAsText(yaml.SafeLoader):
    """YAML's typing without dates, as JSON has none."""


DatesAsText.yaml_implicit_resolvers = {
    first: [(tag, rule) for tag, rule in rules if tag != "tag:yaml.org,2002:timestamp"] for first, rules in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


@pytest.mark.parametrize("record", RECORDS, ids=lambda r: r.__name__)
def test_a_schema_is_a_valid_schema_and_refuses_unknown_keys(record):
    schema = record_schema(record)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert not jsonschema.Draft202012Validator(schema).is_valid({"no such key": 1})


@pytest.mark.parametrize(("record", "word"), KEYS)
def test_a_misspelt_key_is_told_and_not_used(record, word):
    troubles = Troubles()
    tree = compose_bare(f"{word}x: 1", Place("x.md", 1), troubles)
    read = read_record(record, tree, Reading(troubles))
    assert f"{word}x" not in keys_of(record)
    assert troubles.found[0].code in ("key-misspelt", "key-unknown")
    assert read is None or not read.wrote(keys_of(record)[word][0])


def test_keys_ignore_case_spaces_and_hyphens():
    troubles = Troubles()
    tree = compose_bare("Serial Public: yes\nTITLE: Heron\nas-found: a.jpg", Place("x.md", 1), troubles)
    sheet = read_record(BuildSheet, tree, Reading(troubles))
    assert (sheet.serial_public, sheet.title, sheet.as_found) == (True, "Heron", "a.jpg")
    assert not troubles.found


def test_one_mapping_may_stand_where_a_list_is_expected():
    troubles = Troubles()
    one = read_record(BuildSheet, compose_bare("title: A\nsale: {date: 2026-05-20, price: 9}", Place("x.md", 1), troubles), Reading(troubles))
    many = read_record(BuildSheet, compose_bare("title: A\nsale: [{date: 2026-05-20, price: 9}]", Place("x.md", 1), troubles), Reading(troubles))
    assert [s.price for s in one.sale] == [s.price for s in many.sale]
    assert not troubles.found


def test_every_value_knows_its_place():
    troubles = Troubles()
    sheet = read_record(BuildSheet, compose_bare("title: Heron\nacquired:\n  price: 280", Place("b.md", 2), troubles), Reading(troubles))
    assert str(sheet.acquired.where("price")) == "b.md:4:10"
    assert str(sheet.where("title")) == "b.md:2:8"


def test_every_shipped_tax_form_can_be_named():
    shipped = {path.name.removesuffix(".json") for path in resources.files("purfle").joinpath("data/tax_forms").iterdir()}
    assert shipped == set(TAX_FORMS)
