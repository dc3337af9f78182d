"""The wiring of a build worked out: what hangs on its battery, its lights' resistors, its pots.

Ohms, amperes and watts in SI; currents from the battery in milliamperes, as cells are rated. Errors as in `purfle.sheets.wiring`.
Invariant: tells no trouble; a light that can't be lit has no chain.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from purfle.notes.records.specs import SpecItem, Specs
from purfle.sheets import wiring as physics


@dataclass(frozen=True, slots=True)
class Chain:
    """Lights of one kind in series with their resistor, and how many such chains there are."""

    what: str
    lights: int
    """In one chain."""
    chains: int
    exact: float
    """Ohms by the formula."""
    ohms: float
    """The next E24 value up."""
    ma: float
    """What one chain then draws."""
    watts: float
    """In its resistor."""
    rating: float | None
    """Watts to buy."""


@dataclass(frozen=True, slots=True)
class Draw:
    """Something that takes current from the battery."""

    what: str
    ma: float
    light: bool


@dataclass(frozen=True, slots=True)
class Load:
    """The pots a pickup works into."""

    pickup: str
    """Words of the pickup; empty when the pots are for all of them."""
    ohms: float
    passed: float | None
    """The part of its voltage left at low frequencies; None without its resistance."""


@dataclass(frozen=True, slots=True)
class Wiring:
    """What the specification says of wires."""

    volts: float | None
    mah: float | None
    chains: tuple[Chain, ...]
    draws: tuple[Draw, ...]
    hours_all: float | None
    """With everything on."""
    hours_dark: float | None
    """With the lights off; None when there are none, or nothing else draws."""
    loads: tuple[Load, ...]
    tone: tuple[tuple[float, float], ...]
    """Kilohms of each tone pot with its cut-off in hertz; a guide."""


def wiring_of(specs: Specs) -> Wiring | None:
    """The wiring of a specification; None when it names nothing electric that can be worked out."""
    battery = specs.battery
    volts = float(battery.volts) if battery and battery.volts else None
    mah = float(battery.mah) if battery and battery.mah else None
    chains = tuple(chain for item in specs.leds for chain in chains_of(item, volts))
    draws = (*(Draw(item.what or "pickup", float(item.ma) * (item.qty or 1), False) for item in specs.pickups if item.ma), *_lights(chains))
    loads, tone = tuple(_loads(specs)), tuple(_tone(specs))
    if not (battery or chains or draws or loads or tone):
        return None
    total, dark = sum(d.ma for d in draws), sum(d.ma for d in draws if not d.light)
    return Wiring(
        volts,
        mah,
        chains,
        draws,
        physics.battery_hours(mah, total) if mah and total else None,
        physics.battery_hours(mah, dark) if mah and dark and dark < total else None,
        loads,
        tone,
    )


def chains_of(item: SpecItem, volts: float | None) -> Iterator[Chain]:
    """The chains that lights of one kind make on a battery; none when a figure is missing or the battery has too few volts."""
    if volts is None or not item.volts or not item.ma or item.qty == 0:
        return
    light, amperes = float(item.volts), float(item.ma) / 1000
    most = physics.most_in_series(volts, light)
    if most == 0:
        return
    counts = physics.chains_of(item.qty or 1, most)
    for count in sorted(set(counts), reverse=True):
        exact = physics.series_ohms(volts, count * light, amperes)
        ohms = physics.e24_up(exact)
        drawn = (volts - count * light) / ohms
        watts = physics.power(drawn, ohms)
        yield Chain(item.what or "light", count, counts.count(count), exact, ohms, drawn * 1000, watts, physics.rating_for(watts))


def _lights(chains: tuple[Chain, ...]) -> Iterator[Draw]:
    for what in dict.fromkeys(chain.what for chain in chains):
        yield Draw(what, sum(chain.ma * chain.chains for chain in chains if chain.what == what), True)


def _loads(specs: Specs) -> Iterator[Load]:
    """For each pickup the pots that are its own and those for all, side by side; one line when no pot is a pickup's own."""
    pots = [pot for pot in specs.pots if pot.kohm]
    own = [name for name in dict.fromkeys(pot.used_for for pot in pots) if name is not None]
    groups: list[str | None] = [*own] if own else [None] if pots else []
    for name in groups:
        ohms = physics.parallel(*(float(pot.kohm or 0) * 1000 / (pot.qty or 1) for pot in pots if pot.used_for in (name, None)))
        pickups = [p for p in specs.pickups if p.kohm and (name is None or name.casefold() in (p.what or "").casefold())]
        for pickup in pickups:
            yield Load(pickup.what or "pickup", ohms, physics.passed(float(pickup.kohm or 0) * 1000, ohms))
        if not pickups:
            yield Load(name or "", ohms, None)


def _tone(specs: Specs) -> Iterator[tuple[float, float]]:
    if specs.tone_nf:
        for kohm in dict.fromkeys(float(pot.kohm) for pot in specs.pots if pot.kohm and "tone" in (pot.what or "").casefold()):
            yield kohm, physics.cut_off(kohm * 1000, float(specs.tone_nf) * 1e-9)
