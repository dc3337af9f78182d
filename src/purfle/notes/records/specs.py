"""What an instrument is, under `specs:` on its build sheet."""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from purfle.base.measures import Length, UnitWeight
from purfle.base.trouble import Wrong
from purfle.notes.frontmatter.tree import Node, Scalar
from purfle.notes.vocabulary.fields import Kind, Reading, Record, key
from purfle.notes.vocabulary.kinds import COUNT, GAUGE, LENGTH, NUMBER, TEXT, UNIT_WEIGHT, YES_NO, many, part


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecItem(Record):
    """A pickup, string, light or wood, in words or with its figures."""

    SHORT: ClassVar[str] = "what"
    what: str | None = key(TEXT, "what it is", "split-coil, neck")
    gauge: Length | None = key(GAUGE, "a string's gauge, in inches when no unit is written", "0.045")
    note: str | None = key(TEXT, "a string's note", "E1")
    wound: bool | None = key(YES_NO, "the string is wound; plain steel when left out", "yes")
    material: str | None = key(TEXT, "what a plain string is made of; steel when left out, anything else needs its unit_weight", "nylon")
    unit_weight: UnitWeight | None = key(
        UNIT_WEIGHT,
        "the string's weight per length, from its maker, in pounds per inch when no unit is written; without it a wound string has no tension",
        "0.00088",
    )
    volts: Decimal | None = key(NUMBER, "a light's forward voltage", "2.0")
    ma: Decimal | None = key(NUMBER, "milliamperes it draws from the battery, each", "20")
    kohm: Decimal | None = key(NUMBER, "a pickup's or pot's resistance in kilohms", "250")
    qty: int | None = key(COUNT, "how many of it", "2")
    used_for: str | None = key(TEXT, "for a wood: where it is; for a pot: the pickup it is for, all of them when left out", "top", word="for")


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery(Record):
    """The battery on board."""

    volts: Decimal | None = key(NUMBER, "its voltage", "9")
    mah: Decimal | None = key(NUMBER, "its capacity in milliampere-hours", "550")
    kind: str | None = key(TEXT, "what kind of cell it is", "alkaline")


def _string() -> Kind:
    """A string with its figures, its gauge alone, or words for it."""
    whole = part(SpecItem)

    def read(node: Node, reading: Reading) -> SpecItem:
        if isinstance(node, Scalar) and re.fullmatch(r"[0-9.]+(\s*(mm|in|inch|\"))?", node.text.strip()):
            try:
                gauge = GAUGE.read(node, reading)
            except Wrong as wrong:  # the string is there all the same, and counts
                reading.troubles.wrong(node.at, wrong)
                gauge = None
            return SpecItem(gauge=gauge, at=node.at, marks=(("gauge", node.at),))
        found: SpecItem = whole.read(node, reading)
        return found

    return Kind(f"{whole.says}, or a gauge alone", read, whole.schema, SpecItem)


STRING = _string()


@dataclass(frozen=True, slots=True, kw_only=True)
class StrungBefore(Record):
    """What the instrument was strung and tuned to before, to see how the load on the neck moves."""

    tuning: str | None = key(TEXT, "the notes it had, thick string first; as now when left out", "E1 A1 D2 G2")
    strings: tuple[SpecItem, ...] = key(many(STRING), "the strings it had, thick to thin; as now when left out", "[{gauge: 0.100, wound: yes}]", default=())
    a4: Decimal | None = key(NUMBER, "the pitch of A4 then, in hertz; as now when left out", "440")


@dataclass(frozen=True, slots=True, kw_only=True)
class Specs(Record):
    """What the instrument is, for the buyer and for the sheets; all of it public."""

    scale_length: Length | None = key(LENGTH, "nut to saddle", "34 in", instead_of="scale length")
    frets: int | None = key(COUNT, "number of frets", "21")
    nut_width: Length | None = key(LENGTH, "width of the nut", "41 mm")
    heel_width: Length | None = key(LENGTH, "width of the board at the last fret", "56 mm")
    bound: bool = key(YES_NO, "the board is bound, so that frets end short of its edge", "yes", default=False)
    radius: tuple[Length, ...] = key(many(LENGTH), "radius of the board; two for a compound one, at the nut and at the last fret", "[10 in, 14 in]", default=())
    nut_spread: Length | None = key(LENGTH, "between the centres of the outer strings at the nut", "35 mm")
    bridge_spread: Length | None = key(LENGTH, "between the centres of the outer strings at the bridge", "52 mm")
    strings: tuple[SpecItem, ...] = key(many(STRING), "the strings, thick to thin", "[{gauge: 0.046, wound: yes}, 0.017]", default=())
    tuning: str | None = key(TEXT, "the notes, thick string first, with their octaves; C4 is middle C", "E1 A1 D2 G2")
    a4: Decimal | None = key(NUMBER, "the pitch of A4 in hertz; 440 when left out", "442")
    strung_before: StrungBefore | None = key(part(StrungBefore), "what it was strung and tuned to before", "{tuning: D1 G1 C2 F2}")
    pickups: tuple[SpecItem, ...] = key(many(part(SpecItem)), "the pickups, neck first", "[split-coil]", default=())
    battery: Battery | None = key(part(Battery), "the battery on board", "{volts: 9, mah: 550}")
    leds: tuple[SpecItem, ...] = key(many(part(SpecItem)), "lights", "[{what: side dots, volts: 2.0, ma: 5}]", default=())
    woods: tuple[SpecItem, ...] = key(many(part(SpecItem)), "woods", "[{what: alder, for: body}]", default=())
    pots: tuple[SpecItem, ...] = key(
        many(part(SpecItem)), "the pots, with their resistance", "[{what: volume, kohm: 250}, {what: tone, kohm: 250}]", default=()
    )
    tone_nf: Decimal | None = key(NUMBER, "the tone capacitor in nanofarads", "22")
    weight: str | None = key(TEXT, "weight, in words", "3.6 kg")
    controls: str | None = key(TEXT, "knobs and switches", "two volumes, one tone")
    other: tuple[str, ...] = key(many(TEXT), "anything else a buyer should know", "[case included]", default=())
