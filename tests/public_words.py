"""Sentences as a builder writes them, and whether each gives something private away: `cases/public_words`, three YAML files of the same make.

    about       what the sentences have in common
    sheet       lines of the frontmatter of the build they are about, Heron, which is in the showroom: what is private stands here
    shop        lines of the frontmatter of shop.md
    where       note (a bench note on Heron, by default), episode or about
    tells       sentences that give something private away, one a line: each holds the showroom
    innocent    sentences that give nothing away: none holds it
    missed      sentences that give something away and pass all the same: what is known to be out of reach
    alarms      innocent sentences that hold the showroom: what is known to be a false alarm

The rules were tuned on `tuned.yaml`; `held_out.yaml` was written before and not looked at meanwhile, so it measures what the rules do with sentences
they have not met. `fresh.yaml` is of a later writer, who had not seen the rules: 96 of 136 of those sentences were found and none of 145 raised a false
alarm, before what was general in the misses was mended. It keeps those that need no journal.

    cd tests && ../.venv/bin/python public_words.py      prints how many are found, and how many raise a false alarm
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import yaml

from purfle.base.codes import stops_showroom
from purfle.notes.shop import read_shop

FOLDER = Path(__file__).parent / "cases" / "public_words"
FILES = ("tuned", "held_out", "fresh")
KINDS = ("tells", "innocent", "missed", "alarms")
PLACES = {
    "note": ("builds/heron/2026-03-14.md", "---\nstage: strip\nhours: 2\n---\n\n{}\n"),
    "episode": ("journal/episodes/2026-03-14.md", "---\ntitle: Blue\naired: yes\nshowroom: yes\n---\n\n{}\n"),
    "about": ("shop.md", "{}\n"),
}
SHOP = "---\nname: Test\ncontact: mailto:bench@example.org\nroutes: {{solid: [{{stage: strip, hours: 2}}]}}\n{}---\n"
HERON = "---\ntitle: Heron\nroute: solid\n{}showroom: yes\n---\n"


@dataclass(frozen=True)
class Case:
    """A sentence, and what it is read against."""

    file: str
    about: str
    kind: str
    sentence: str
    where: str
    shop: str
    sheet: str

    @property
    def gives_away(self) -> bool:
        """Whether the sentence gives something private away, as a person reads it."""
        return self.kind in ("tells", "missed")

    @property
    def is_known(self) -> bool:
        """Whether the sentence is known to be judged wrongly."""
        return self.kind in ("missed", "alarms")

    def holds(self, sentence: str | None = None) -> list[str]:
        """The codes of what holds the showroom when the sentence, or another, stands in the shop."""
        name, frame = PLACES[self.where]
        files = {"shop.md": SHOP.format(self.shop), "builds/heron/build.md": HERON.format(self.sheet)}
        files[name] = files.get(name, "") + frame.format(self.sentence if sentence is None else sentence)
        told = read_shop({name: text.encode() for name, text in files.items()}, frozenset(), date(2026, 5, 20))[1]
        return [trouble.code for trouble in told if stops_showroom([trouble])]


def cases(file: str) -> Iterator[Case]:
    """The sentences of one of the files."""
    for group in yaml.safe_load((FOLDER / f"{file}.yaml").read_text("utf-8")):
        for kind in KINDS:
            for sentence in group.get(kind, "").splitlines():
                yield Case(file, group["about"], kind, sentence, group.get("where", "note"), group.get("shop", ""), group["sheet"])


def main() -> None:
    """Print the rates of each file."""
    for file in FILES:
        judged = [(case.gives_away, bool(case.holds())) for case in cases(file)]
        told, passed = [held for gives, held in judged if gives], [held for gives, held in judged if not gives]
        print(
            f"{file}: {sum(told)} of {len(told)} found ({sum(told) / len(told):.1%}), {sum(passed)} of {len(passed)} false alarms ({sum(passed) / len(passed):.1%})"
        )


if __name__ == "__main__":
    main()
