"""What hangs on the battery, the resistors of lights, and what pots do to a pickup.

SI units unless a docstring says otherwise. Error: the formulas are exact; a battery's capacity holds for the maker's own
discharge current and warmth, and resistors are sold to 5 % in this series, so read the results as good to a tenth.
Invariant: only what runs from a small battery inside an instrument; mains are out of scope.
"""

import math

E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
"""The preferred values of IEC 60063, series E24, of one decade, times ten."""
HEADROOM = 0.25
"""Part of the battery's voltage left to the resistor when lights stand in series, so that they stay lit while it sags; common practice, no source."""
RATINGS = (0.125, 0.25, 0.5, 1.0, 2.0, 5.0)
"""Watts that resistors are commonly sold for."""
SAFETY = 2.0
"""A resistor is taken for at least so many times the watts it sees; common practice, no source."""


def battery_hours(mah: float, ma: float) -> float:
    """Hours a battery lasts: capacity in mAh over the current in mA."""
    return mah / ma


def series_ohms(battery: float, lights: float, amperes: float) -> float:
    """The resistor in series with lights: (battery − the lights' volts together) ÷ current. OpenStax, College Physics, 20.2 (Ohm's law)."""
    return (battery - lights) / amperes


def e24_up(ohms: float) -> float:
    """The smallest E24 value not below `ohms`, which is above nothing."""
    decade = math.floor(math.log10(ohms)) - 1
    sold = (value * 10.0**power if power >= 0 else value / 10.0**-power for power in (decade, decade + 1) for value in E24)
    return next(value for value in sold if value >= ohms * (1 - 1e-9))


def power(amperes: float, ohms: float) -> float:
    """Watts in a resistor: current² × resistance."""
    return amperes**2 * ohms


def rating_for(watts: float) -> float | None:
    """The smallest common rating with room to spare; None beyond those in the list."""
    return next((rating for rating in RATINGS if rating >= SAFETY * watts), None)


def most_in_series(battery: float, light: float) -> int:
    """How many lights of so many volts stand in one chain with headroom left; at least one when the battery has more volts than it."""
    if light >= battery:
        return 0
    return max(1, math.floor(battery * (1 - HEADROOM) / light + 1e-9))


def chains_of(count: int, most: int) -> tuple[int, ...]:
    """Lights in each chain, as evenly as they go: 5 lights, at most 3 in a chain → (3, 2)."""
    chains = -(-count // most)
    return tuple(count // chains + (1 if n < count % chains else 0) for n in range(chains))


def parallel(*ohms: float) -> float:
    """Resistances side by side: one over the sum of their inverses. OpenStax, College Physics, 21.1."""
    return 1 / sum(1 / each for each in ohms)


def passed(source: float, load: float) -> float:
    """The part of a pickup's voltage that is left across a load at low frequencies: load ÷ (load + source)."""
    return load / (load + source)


def cut_off(ohms: float, farads: float) -> float:
    """Frequency at which a resistor and a capacitor take half the power, 1 ÷ (2π × R × C), in hertz.

    A guide only: a pickup's own inductance and the cable shift what is heard.
    """
    return 1 / (2 * math.pi * ohms * farads)
