"""What the documents say is so: commands, options, targets, paths, codes; and a new shop written by the README alone."""

import json
import re
import textwrap
from pathlib import Path

import pytest

from purfle.base.codes import CODES
from purfle.shell import fields
from purfle.shell.cli import purfle, run

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text()
DOCUMENTS = {name: (ROOT / name).read_text() for name in ("README.md", "DEVELOPERS.md")}
DAY = "2026-05-20"


def section(heading):
    """A section of the README, without its sub-sections."""
    return re.split(r"^#", README.split(f"# {heading}\n", 1)[1], maxsplit=1, flags=re.MULTILINE)[0]


def blocks(text):
    """The indented blocks of a text, in order."""
    found = re.findall(r"(?:^    .*\n(?:^\n(?=    ))*)+", text, re.MULTILINE)
    return [textwrap.dedent(block) for block in found]


# --- commands and options ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_command_that_is_named_exists(name):
    # In code: between backquotes, or on a line of an indented block.
    code = "\n".join(re.findall(r"`([^`\n]+)`", DOCUMENTS[name]) + re.findall(r"^    (.*)$", DOCUMENTS[name], re.MULTILINE))
    named = set(re.findall(r"^(?:\S*/)?purfle ([a-z]+)", code, re.MULTILINE))
    assert named and named <= set(purfle.commands)


def test_every_command_has_its_row_in_the_readme():
    assert set(re.findall(r"^\| `purfle ([a-z]+)", README, re.MULTILINE)) == set(purfle.commands)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_option_that_is_named_exists(name):
    known = {option for command in purfle.commands.values() for param in command.params for option in (*param.opts, *param.secondary_opts)}
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", DOCUMENTS[name])) <= known | {"--help", "--version"}


def test_all_take_a_shop_and_a_day():
    """`start` is given its folder as DIR."""
    for name, command in purfle.commands.items():
        options = {option for param in command.params for option in param.opts}
        assert {"--shop", "--today"} <= options or (name == "start" and "--today" in options), name


def test_those_that_print_figures_take_json():
    for name in ("check", "week", "lineup", "year", "sheet", "quote", "fields"):
        assert "--json" in {option for param in purfle.commands[name].params for option in param.opts}, name


@pytest.mark.parametrize("name", sorted(purfle.commands))
def test_every_command_and_option_says_what_it_is(name):
    assert purfle.commands[name].help
    assert all(param.help for param in purfle.commands[name].params if param.param_type_name == "option")


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_make_target_that_is_named_exists(name):
    targets = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(), re.MULTILINE))
    assert set(re.findall(r"(?:`|^ +)make ([a-z]+)", DOCUMENTS[name], re.MULTILINE)) <= targets


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_file_of_the_code_that_is_named_exists(name):
    text = (ROOT / name).read_text()
    for path in re.findall(r"`((?:src|tests|tools|site_templates|benchmarks)/[\w./]+)`", text):
        assert (ROOT / path).exists(), path
    layers = "|".join(folder.name for folder in (ROOT / "src/purfle").iterdir() if folder.is_dir() and folder.name.isalpha())
    for path in re.findall(rf"`((?:{layers})/[\w./]+)`", text):
        assert (ROOT / "src/purfle" / path).exists(), path


# --- the reference ----------------------------------------------------------------------------------------------------


def test_every_code_is_in_the_reference():
    told = fields.reference()
    assert [code for code in CODES if f"- `{code}` " not in told] == []


def test_every_key_is_in_the_reference():
    told = fields.reference()
    for _, record in fields.KINDS.values():
        for inside in (record, *fields.inside(record)):
            for word in fields.keys_of(inside):
                assert f"- `{word}`:" in told


def test_the_schema_is_a_schema_and_takes_the_examples():
    """Judged by the jsonschema library, by the meta-schema of 2020-12; the examples typed by PyYAML's own rules."""
    import jsonschema
    import yaml

    schemas = fields.schemas()
    jsonschema.Draft202012Validator.check_schema(schemas)
    for kind, (_, record) in fields.KINDS.items():
        judge = jsonschema.Draft202012Validator({**schemas, "anyOf": [{"$ref": f"#/$defs/{kind}"}]})
        text = "\n".join(f"{word}: {declared.example}" for word, (_, declared) in fields.keys_of(record).items())
        assert [error.message for error in judge.iter_errors(json.loads(json.dumps(yaml.safe_load(text), default=str)))] == [], kind


# --- a new user, by the README alone ----------------------------------------------------------------------------------


@pytest.fixture
def shop(tmp_path):
    root = tmp_path / "shop"
    assert run(["start", str(root), "--today", DAY]) == 0
    (root / "builds/heron/photos").mkdir(parents=True)
    (root / "builds/heron/photos/bare.jpg").write_bytes(_photo())
    (root / "builds/heron/build.md").write_text(blocks(section("A build"))[0])
    (root / f"builds/heron/{DAY}.md").write_text(blocks(section("A bench note"))[0])
    (root / f"journal/{DAY}-heron.md").write_text(blocks(section("A day at the shop"))[0])
    return root


def _photo():
    import io

    from PIL import Image

    file = io.BytesIO()
    Image.new("RGB", (640, 480), "#7a5a3a").save(file, "JPEG")
    return file.getvalue()


def answer(capsys, *args):
    capsys.readouterr()
    assert run([args[0], *args[1:], "--today", DAY, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_a_build_and_notes_written_by_the_readme_are_seen_everywhere(shop, capsys):
    assert run(["compile", "--shop", str(shop), "--today", DAY]) == 0, capsys.readouterr().err
    public = "".join(page.read_text() for page in (shop / "out/showroom").rglob("*.html"))
    assert "A short-scale bass that stood in a shed for twenty winters." in public
    assert "The finish came off in sheets." in public
    assert "First pass of colour, thin." in public
    assert "He wanted 320 for it" not in public
    assert "Only I read this part" not in public
    assert any(task["build"] == "heron" for day in answer(capsys, "week", "--shop", str(shop))["days"] for task in day["tasks"])
    assert "heron" in {build["id"] for build in answer(capsys, "year", "--shop", str(shop))["builds"]}
    lines = answer(capsys, "sheet", "heron", "--shop", str(shop))["lines"]
    assert {"325.00", "120.00"} <= {line["amount"] for line in lines}


def test_a_shop_that_is_under_way_opens_with_what_it_has(tmp_path, capsys):
    """By hand: 46.80 and 31 on the shelf and 280 for an instrument are 357.80; of it 31 is not paid."""
    under_way = section("A shop that is under way")
    root = tmp_path / "shop"
    for name, sheet in {
        "plover": "route: solid-refinish\nacquired: {date: 2025-10-02, price: 280}",
        "wren": "kind: commission\nacquired: {date: 2025-11-01, how: customer's}\ncommission: {customer: M., price: 600}",
    }.items():
        (root / "builds" / name).mkdir(parents=True)
        (root / f"builds/{name}/build.md").write_text(f"---\ntitle: {name.title()}\n{sheet}\n---\n")
    (root / "journal").mkdir()
    (root / re.search(r"`(journal/[\d-]+\.md)`", under_way).group(1)).write_text(blocks(under_way)[0])
    closed, handed_in = re.findall(r"`((?:closed|handed_in): [^`]+)`", under_way)
    routes = "routes: {solid-refinish: [strip, prime, colour]}"
    settings = f"---\nname: A shop\n{routes}\n{closed}\n{handed_in.replace('2310.00', '357.80')}\n---\n"
    (root / "shop.md").write_text(settings)
    year = answer(capsys, "year", "2026", "--shop", str(root))
    assert (year["cost_of_goods_sold"]["opening_inventory"], year["cost_of_goods_sold"]["purchases"]) == ("357.80", "0.00")
    assert (year["deposits_held"], year["cash"]["out"], year["cash"]["in"]) == ("200.00", "31.00", "0.00")
    assert [s["finished"] for s in answer(capsys, "sheet", "plover", "--shop", str(root))["stages"]][:2] == ["2025-12-31"] * 2
    (root / "shop.md").write_text(settings.replace("357.80", "360"))
    capsys.readouterr()
    assert run(["check", "--shop", str(root), "--today", DAY]) == 1
    assert "was handed in with 360 and the notes now come to 357.80" in capsys.readouterr().out


def test_selling_as_the_readme_says(shop, capsys):
    offer, sale = re.findall(r"`((?:for_sale|sale): \{[^`]+\})`", section("Selling"))
    sheet = shop / "builds/heron/build.md"
    sheet.write_text(sheet.read_text().replace("showroom: yes", f"showroom: yes\n{offer}"))
    assert run(["compile", "--shop", str(shop), "--today", DAY]) == 0, capsys.readouterr().err
    assert "950" in (shop / "out/showroom/builds/heron.html").read_text()
    sheet.write_text(sheet.read_text().replace(offer, sale))
    assert run(["compile", "--shop", str(shop), "--today", DAY]) == 0, capsys.readouterr().err
    assert "900" not in re.sub(r"<style.*?</style>", "", (shop / "out/showroom/builds/heron.html").read_text(), flags=re.DOTALL)


def test_a_trouble_looks_as_the_readme_shows_it(shop, capsys):
    shown = blocks(section("When something is wrong"))[0]
    file, line, text = re.match(r"(\S+?):(\d+):\d+ .*\n    (.*)\n", shown).groups()
    lines = (shop / file).read_text().split("\n")
    (shop / file).write_text("\n".join([lines[0], "title: Heron", *["# "] * (int(line) - 3), text, "---", ""]))
    capsys.readouterr()
    assert run(["check", "--shop", str(shop), "--today", DAY]) == 1
    assert shown.strip() in capsys.readouterr().out
