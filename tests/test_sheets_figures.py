"""Frets, strings, wiring and parcels against published figures, and by another library's units."""

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from purfle.base import measures
from purfle.base.measures import Length
from purfle.base.trouble import Wrong
from purfle.sheets import frets, shipping, strings, wiring, wood

# --- frets: equal temperament ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("fret", "part"), [(1, 0.056126), (2, 0.109101), (3, 0.159104), (5, 0.250846), (7, 0.332580), (12, 0.5), (19, 0.666290), (24, 0.75)])
def test_parts_of_the_scale(fret, part):
    # Equal temperament, twelve equal ratios to the octave: 1 − 2^(−n ÷ 12); a published table to six places.
    assert frets.from_nut(1, fret) == pytest.approx(part, abs=5e-7)


FRETS = [
    (25.5, 1, 1.431, 3),
    (25.5, 5, 6.397, 3),
    (25.5, 12, 12.750, 3),
    (25.5, 22, 18.344, 3),  # computed from the formula
    (648, 1, 36.37, 2),
    (648, 7, 215.51, 2),
    (648, 12, 324.00, 2),
    (648, 24, 486.00, 2),  # the same
    # a published table for a scale of 16 in
    (16, 1, 0.90, 2),
    (16, 2, 1.75, 2),
    (16, 3, 2.55, 2),
    (16, 4, 3.30, 2),
    (16, 5, 4.01, 2),
    (16, 7, 5.32, 2),
    (16, 12, 8.00, 2),
    (16, 19, 10.66, 2),
    (16, 24, 12.00, 2),
]


@pytest.mark.parametrize(("scale", "fret", "at", "places"), FRETS)
def test_positions(scale, fret, at, places):
    assert round(frets.from_nut(scale, fret), places) == at


def test_the_old_rule_of_eighteen_is_not_what_is_used():
    # Each fret an eighteenth of what is left: at 25.5 in the twelfth lies at 12.657, wrong by 0.093.
    old = 25.5 * (1 - (17 / 18) ** 12)
    assert round(old, 3) == 12.657
    assert round(frets.from_nut(25.5, 12) - old, 3) == 0.093


@given(st.floats(100, 2000), st.integers(1, 36))
def test_each_fret_shortens_the_string_by_one_ratio(scale, fret):
    left, before = scale - frets.from_nut(scale, fret), scale - frets.from_nut(scale, fret - 1)
    assert before / left == pytest.approx(2 ** (1 / 12), rel=1e-12)


def test_other_divisions_of_the_octave():
    # 24 quarter tones: every second one is a semitone.
    assert frets.from_nut(650, 24, steps=24) == pytest.approx(325, rel=1e-12)
    assert frets.from_nut(650, 14, steps=24) == pytest.approx(frets.from_nut(650, 7), rel=1e-12)


def test_a_board_has_its_gaps_widths_and_radii():
    board = frets.board_of(647.7, 22, 43, 56, (254.0, 406.4))
    assert sum(fret.gap for fret in board.frets) == pytest.approx(board.last)
    assert board.frets[-1].width == pytest.approx(56)
    assert board.frets[-1].radius == pytest.approx(406.4)
    # Straight lines: halfway along the board, halfway between the two; at the saddle, beyond the second.
    assert frets.figure_at(254, 406.4, board.last / 2, board.last) == pytest.approx(330.2)
    assert board.saddle_radius == pytest.approx(254 + 152.4 * 647.7 / board.last)


def test_a_refret():
    # Two frets on a board 40 mm wide all along: (2 × 40 + 2 × 6 for ends) × 1.10 for waste; common practice, no source.
    two = frets.board_of(600, 2, 40, 40)
    assert (two.refret.frets, two.refret.at_least) == (2, False)
    assert two.refret.wire == pytest.approx(92 * 1.1)
    assert frets.board_of(600, 2, 40).refret.at_least


def test_room_on_a_scale():
    # 40 frets on 2 in: the last would lie 0.3 mm from the one before it.
    assert frets.from_nut(50.8, 40) - frets.from_nut(50.8, 39) == pytest.approx(0.30, abs=0.005)
    assert frets.room_for(50.8) < 12 < 24 < frets.room_for(330) and frets.room_for(864) > 36


# --- strings -----------------------------------------------------------------------------------------------------------

# CRC Handbook of Chemistry and Physics and OpenStax, University Physics 1, 16.3: equal-tempered scale, A4 = 440 Hz.
PITCHES = {"E2": 82.407, "A2": 110, "D3": 146.832, "G3": 195.998, "B3": 246.942, "E4": 329.628}


@pytest.mark.parametrize(("note", "hertz"), PITCHES.items())
def test_pitches(note, hertz):
    assert strings.frequency(strings.steps_from_a4(note)) == pytest.approx(hertz, abs=5e-4)


@pytest.mark.parametrize(("note", "same"), [("F#3", "Gb3"), ("Bb1", "A#1"), ("C4", "B#3"), ("Cb4", "B3"), ("e♭2", "D#2"), ("F##2", "G2")])
def test_two_names_of_one_note(note, same):
    assert strings.steps_from_a4(note) == strings.steps_from_a4(same)


def test_middle_c():
    # ISO 16 and scientific pitch notation: C4 lies nine semitones below A4, 261.626 Hz (CRC Handbook).
    assert strings.steps_from_a4("C4") == -9
    assert round(strings.frequency(-9), 3) == 261.626


def test_another_concert_pitch():
    assert strings.frequency(strings.steps_from_a4("A2"), 442) == pytest.approx(110.5)


@pytest.mark.parametrize(
    ("note", "mend"),
    [
        ("H2", "write B2, if the German H is meant; the German B is written Bb"),
        ("Fis3", "write F#3"),
        ("Es2", "write Eb2"),
        ("As2", "write Ab2"),
        ("E", "write the octave after it, such as E2; C4 is the middle C"),
        ("E9", "write each note as a letter, a sign if it has one, and its octave, such as E2, F#3 or Bb1"),
        ("♫", "write each note as a letter, a sign if it has one, and its octave, such as E2, F#3 or Bb1"),
    ],
)
def test_a_note_that_is_none_says_what_to_write(note, mend):
    with pytest.raises(Wrong) as told:
        strings.steps_from_a4(note)
    assert (told.value.code, told.value.mend) == ("tuning-unreadable", mend)


@pytest.mark.parametrize("tuning", ["E2 A2 D3 G3 B3 E4", "E2, A2, D3, G3, B3, E4", "E2-A2-D3-G3-B3-E4", "e2/a2/d3/g3/b3/e4"])
def test_a_tuning_however_it_is_divided(tuning):
    assert strings.tuning_steps(tuning) == (-29, -24, -19, -14, -10, -5)


def test_a_wave_on_a_string():
    # OpenStax, University Physics 1, 16.3: the high and the low E of a guitar, both with waves of 427.23 m/s. An open string sounds half a wave.
    scale = 427.23 / 2 / 329.628
    assert strings.tension(3.09e-4, scale, 329.628) == pytest.approx(56.40, abs=0.005)
    assert strings.tension(5.78e-3, scale, 329.628) == pytest.approx(1055.00, abs=0.05)


def test_plain_steel():
    # .010 in, 25.5 in, E4, 7,850 kg/m³: computed; real strings about half a percent less.
    pull = strings.tension(strings.plain_mass(0.010 * 0.0254), 25.5 * 0.0254, 329.6276)
    assert round(pull, 2) == 72.52
    assert round(strings.pounds_of_force(pull), 2) == 16.30


def test_equal_gaps():
    # .010 .013 .017 .026 .036 .046 over 1.375 in between the outer centres: computed.
    gauges = (0.010, 0.013, 0.017, 0.026, 0.036, 0.046)
    assert round(strings.gap_between(gauges, 1.375), 4) == 0.2510
    assert [round(c, 4) for c in strings.equal_gaps(gauges, 1.375)] == [0, 0.2625, 0.5285, 0.8010, 1.0830, 1.3750]


@given(st.lists(st.floats(0.2, 2.6), min_size=2, max_size=12), st.floats(40, 90))
def test_gaps_are_equal_and_end_at_the_spread(diameters, spread):
    centres = strings.equal_gaps(diameters, spread)
    gaps = [b - a - (c + d) / 2 for a, b, c, d in zip(centres, centres[1:], diameters, diameters[1:], strict=False)]
    assert gaps == pytest.approx([strings.gap_between(diameters, spread)] * len(gaps), abs=1e-9)
    assert centres[-1] == pytest.approx(spread)


def test_equal_centres():
    assert strings.equal_centres(4, 30) == (0, 10, 20, 30)


# --- wiring ------------------------------------------------------------------------------------------------------------


def test_a_light_and_its_resistor():
    # A common textbook example: 9 V, 2.0 V, 20 mA.
    exact = wiring.series_ohms(9, 2.0, 0.020)
    assert exact == pytest.approx(350)
    assert wiring.e24_up(exact) == 360
    assert round((9 - 2.0) / 330 * 1000, 2) == 21.21 and round((9 - 2.0) / 360 * 1000, 2) == 19.44
    # Ohm and Joule: 19.44 mA through 360 Ω is 0.136 W; twice that asks for half a watt.
    assert round(wiring.power(7 / 360, 360), 3) == 0.136 and wiring.rating_for(7 * 7 / 360) == 0.5


# IEC 60063, series E24, as published tables of it have it; below it is compared with the rule it was rounded from.
E24 = (1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1)


def test_the_series_is_e24():
    assert tuple(value / 10 for value in wiring.E24) == E24
    # 24 even ratios to the decade; the standard keeps eight values that older use had rounded otherwise.
    assert sum(1 for n, value in enumerate(E24) if round(10 ** (n / 24), 1) != value) == 8


@given(st.floats(0.5, 9e6))
def test_the_next_value_up_is_the_least_that_is_enough(ohms):
    sold = wiring.e24_up(ohms)
    every = [value * 10.0**power for power in range(-2, 8) for value in E24]
    assert sold == pytest.approx(min(value for value in every if value >= ohms * (1 - 1e-9)), rel=1e-9)


@pytest.mark.parametrize(("ohms", "sold"), [(330, 330), (330.1, 360), (9.11, 10), (91, 91), (92, 100), (1000, 1000), (0.95, 1.0), (999, 1000)])
def test_values_at_the_edges(ohms, sold):
    assert wiring.e24_up(ohms) == pytest.approx(sold)


def test_batteries():
    assert wiring.battery_hours(550, 2) == 275
    assert round(wiring.battery_hours(500, 4.5), 1) == 111.1


def test_side_by_side():
    # OpenStax, College Physics, 21.1: 1, 6 and 13 Ω; and two pots.
    assert round(wiring.parallel(1, 6, 13), 3) == 0.804
    assert round(wiring.parallel(250_000, 500_000) / 1000, 3) == 166.667


def test_tone_cut_off():
    assert round(wiring.cut_off(250_000, 22e-9), 2) == 28.94


def test_chains():
    # 9 V with a quarter left over holds three lights of 2 V; six make two chains, five three and two.
    assert wiring.most_in_series(9, 2.0) == 3
    assert wiring.chains_of(6, 3) == (3, 3) and wiring.chains_of(5, 3) == (3, 2) and wiring.chains_of(1, 3) == (1,)
    assert wiring.most_in_series(3, 3.2) == 0 and wiring.most_in_series(3, 2.9) == 1


# --- wood --------------------------------------------------------------------------------------------------------------


# US Forest Products Laboratory, Wood Handbook, chapter 4, table of the moisture of wood at 60, 70 and 80 °F, by relative humidity.
ROOM = {
    30: (6.2, 6.2, 6.1), 35: (7.0, 6.9, 6.8), 40: (7.8, 7.7, 7.6), 45: (8.6, 8.5, 8.3), 50: (9.4, 9.2, 9.1), 55: (10.2, 10.1, 9.9), 60: (11.1, 11.0, 10.8),
    65: (12.1, 12.0, 11.7), 70: (13.3, 13.1, 12.9),
}  # fmt: skip


@pytest.mark.parametrize(("humidity", "percents"), ROOM.items())
def test_wood_in_a_room(humidity, percents):
    assert [wood.moisture(warmth, humidity / 100) for warmth in (60, 70, 80)] == pytest.approx(percents, abs=0.2)


def test_wood_in_a_kiln():
    # The same equation at 140 °F and 55 %, as an encyclopedia of physics quotes it: 8.4, where the table has 8.0.
    assert round(wood.moisture(140, 0.55), 1) == 8.4


# --- the parcel --------------------------------------------------------------------------------------------------------


def test_dimensional_weight():
    # 12 in cubed over 139 is 12.43 lb; a metre by 40 by 15 cm over 5,000 is 12 kg: algebra.
    side = Length(Decimal(12), "in").mm
    assert round(shipping.dimensional_weight(side, side, side, Decimal(139), "in3/lb").pounds, 2) == Decimal("12.43")
    assert shipping.dimensional_weight(Decimal(1000), Decimal(400), Decimal(150), Decimal(5000), "cm3/kg").kg == 12


# --- units: pint, which knows its own conversions ----------------------------------------------------------------------

UNITS = pint.UnitRegistry()
Q = UNITS.Quantity


def test_conversions_are_pints():
    assert float(Length(Decimal("25.5"), "in").mm) == pytest.approx(Q(25.5, "inch").to("mm").magnitude, rel=1e-12)
    assert strings.pounds_of_force(100) == pytest.approx(Q(100, "newton").to("force_pound").magnitude, rel=1e-12)
    assert float(measures.unit_weight("0.00088").kg_per_m) == pytest.approx(Q(0.00088, "pound/inch").to("kg/m").magnitude, rel=1e-12)
    assert float(measures.weight("14 lb 6 oz").kg) == pytest.approx((Q(14, "pound") + Q(6, "ounce")).to("kg").magnitude, rel=1e-12)
    assert float(measures.gauge("0.046").mm) == pytest.approx(Q(0.046, "inch").to("mm").magnitude, rel=1e-12)


SIZES = st.floats(1e-3, 1e3)
ANSWERS = {
    # formula, the units that go in, the unit that must come out
    "from_nut": (lambda a: frets.from_nut(a, 7), ("inch",), "meter"),
    "plain_mass": (strings.plain_mass, ("inch", "g/cm**3"), "kg/m"),
    "tension": (strings.tension, ("pound/inch", "inch", "hertz"), "newton"),
    "gap": (lambda a, b, c: strings.gap_between((a, b, a), c), ("mm", "inch", "foot"), "meter"),
    "centres": (lambda a, b, c: strings.equal_gaps((a, b), c)[1], ("mm", "inch", "foot"), "meter"),
    "radius": (lambda a, b, c: frets.figure_at(a, b, c, b), ("inch", "mm", "foot"), "meter"),
    "hours": (wiring.battery_hours, ("mA*hour", "mA"), "second"),
    "series": (wiring.series_ohms, ("volt", "millivolt", "mA"), "ohm"),
    "power": (wiring.power, ("mA", "kiloohm"), "watt"),
    "parallel": (wiring.parallel, ("kiloohm", "ohm", "megaohm"), "ohm"),
    "cut_off": (wiring.cut_off, ("kiloohm", "nanofarad"), "1/second"),
    "passed": (wiring.passed, ("kiloohm", "ohm"), "dimensionless"),
    "frequency": (lambda a: strings.frequency(7, a), ("kilohertz",), "hertz"),
}


@pytest.mark.parametrize("name", ANSWERS)
@given(sizes=st.tuples(SIZES, SIZES, SIZES))
def test_dimensions_and_mixed_units(name, sizes):
    """The formulas take pint's quantities of mixed units: the answer has its dimension, and is that of plain SI numbers."""
    formula, units, unit = ANSWERS[name]
    given_ = [Q(size, each) for size, each in zip(sizes, units, strict=False)]
    plain = formula(*(quantity.to_base_units().magnitude for quantity in given_))
    lengths = sum(abs(quantity.to_base_units().magnitude) for quantity in given_)  # a difference of lengths may cancel to nothing
    assert formula(*given_).to(unit).to_base_units().magnitude == pytest.approx(plain, rel=1e-9, abs=1e-12 * lengths)


SCALED = {
    # (formula of plain SI numbers, exponents of metre, kilogram, second for a, b, c and the answer)
    "tension": (strings.tension, ((-1, 1, 0), (1, 0, 0), (0, 0, -1)), (1, 1, -2)),
    "plain mass": (lambda a, b, c: strings.plain_mass(a, b), ((1, 0, 0), (-3, 1, 0), (0, 0, 0)), (-1, 1, 0)),
    "fret": (lambda a, b, c: frets.from_nut(a, 9), ((1, 0, 0), (0, 0, 0), (0, 0, 0)), (1, 0, 0)),
    "radius": (lambda a, b, c: frets.figure_at(a, b, c, c), ((1, 0, 0), (1, 0, 0), (1, 0, 0)), (1, 0, 0)),
}


@pytest.mark.parametrize("name", SCALED)
@given(values=st.tuples(SIZES, SIZES, SIZES), units=st.tuples(*[st.floats(0.1, 10)] * 3))
def test_changing_the_units_changes_the_answer_by_its_dimension(name, values, units):
    """Dimensional analysis without any library: other metres, kilograms and seconds scale the answer by its own exponents and no more."""
    formula, exponents, answer = SCALED[name]

    def factor(powers):
        return units[0] ** powers[0] * units[1] ** powers[1] * units[2] ** powers[2]

    scaled = formula(*(value * factor(powers) for value, powers in zip(values, exponents, strict=True)))
    assert scaled == pytest.approx(formula(*values) * factor(answer), rel=1e-9)
