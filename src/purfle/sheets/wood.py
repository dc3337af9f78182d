"""How damp wood comes to be in a room, for whoever glues, levels or strings it there.

Error: about ±0.2 % of moisture against the published table between 30 and 70 % humidity at room warmth, and more beyond; species,
finish and the way it came there (drying or taking up) add half a percent either way.
Invariant: knows a room by two figures and nothing of any species.
"""


def moisture(fahrenheit: float, humidity: float) -> float:
    """Moisture at which wood neither takes up nor gives off water, in percent of its dry weight.

    `humidity` is relative, 0 to 1. Source: US Forest Products Laboratory, Wood Handbook, chapter 4, and its Research Note FPL-RN-0268
    (Simpson, 1998): the two-hydrate equation of Hailwood and Horrobin with its coefficients for degrees Fahrenheit, compared with
    transcripts of both, those for degrees Celsius among them.
    """
    t = fahrenheit
    weight = 330 + 0.452 * t + 0.00415 * t**2
    k = 0.791 + 0.000463 * t - 0.000000844 * t**2
    k1 = 6.34 + 0.000775 * t - 0.0000935 * t**2
    k2 = 1.09 + 0.0284 * t - 0.0000904 * t**2
    kh = k * humidity
    return 1800 / weight * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))


def fahrenheit(celsius: float) -> float:
    """Degrees Celsius as degrees Fahrenheit."""
    return celsius * 9 / 5 + 32
