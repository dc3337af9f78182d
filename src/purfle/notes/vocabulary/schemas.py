"""JSON Schemas of single values, as YAML types them, with the patterns of the readers themselves.

What they can't say, the reader alone tells: that no day is 2026-02-30, that an estimate rises, that `1e3` is no amount
once YAML has made a number of it. Case is no matter to the readers; a schema knows one, the lower.
Invariant: reads nothing; a pattern is shared with its reader wherever that has one, and is one of ECMA-262 too.
"""

from typing import Any

from purfle.base import measures, quantities, times

Schema = dict[str, Any]


def text(*forms: str) -> Schema:
    """Text of one of these forms."""
    return {"type": "string", "pattern": _whole(*forms)}


def _whole(*forms: str) -> str:
    return f"^(?:{'|'.join(forms)})$"


def _figure(*forms: str, **bounds: int) -> Schema:
    """A number, or text of one of these forms."""
    return {"type": ["number", "string"], "pattern": _whole(*forms), **bounds}


def words(*choices: str) -> Schema:
    """One of these words, and the boolean that YAML 1.1 makes of yes and no."""
    typed = [value for word, value in (("yes", True), ("no", False)) if word in choices]
    return {"enum": [*choices, *typed]}


def any_of(*several: Schema) -> Schema:
    """A value that is one of several."""
    return {"anyOf": list(several)}


def or_nothing(schema: Schema) -> Schema:
    """The same with null, for a key whose value is not written yet."""
    if "anyOf" in schema:
        return {**schema, "anyOf": [*schema["anyOf"], {"type": "null"}]}
    if "enum" in schema:
        return {**schema, "enum": [*schema["enum"], None]}
    types = schema["type"]
    return {**schema, "type": [*([types] if isinstance(types, str) else types), "null"]}


def hours(most: int) -> Schema:
    """A time spent; never an empty text, which the pattern of hours and minutes alone would take."""
    return _figure(_PLAIN, times.CLOCK.pattern, f"(?=[0-9]){times.WORDED.pattern}", minimum=0, maximum=most)


_PLAIN = quantities.PLAIN.pattern
_DAY = "(?:19|20|21)[0-9]{2}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])"

TEXT: Schema = {"type": ["string", "number", "boolean"], "maxLength": 2000}
FIGURE = _figure(_PLAIN, minimum=0)
SIGNED = _figure(f"[-\u2212]?{_PLAIN}")
COUNT: Schema = {"type": ["integer", "string"], "pattern": "^[0-9]{1,6}$", "minimum": 0, "maximum": 999999}
CELSIUS = _figure(f"{_PLAIN} ?(?:°|º|degrees?|deg\\.?)? ?(?:[Cc]|[Cc]elsius)?", minimum=0)
WAIT = _figure(times.WAIT.pattern, minimum=0, maximum=times.LONGEST_WAIT)
DAYS = _figure(times.DAYS.pattern, minimum=0, maximum=times.LONGEST_WAIT)
DAY = text(_DAY)
MONTH_DAY = text("(?:0[1-9]|1[0-2])-(?:0[1-9]|1[0-9]|2[0-8])")
YEAR: Schema = {"type": ["integer", "string"], "pattern": "^(?:19|20|21)[0-9]{2}$", "minimum": 1900, "maximum": 2199}
PERCENT = _figure(f"{_PLAIN} *%?", minimum=0, maximum=1000)
LARGE_PERCENT: Schema = {
    **_figure(f"{_PLAIN} *%", r"0+(?:\.0+)?", r"0*[1-9][0-9]*(?:\.[0-9]+)?", minimum=0, maximum=1000),
    "not": {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1},
}
LENGTH = text(measures.LENGTH.pattern, measures.FRACTION.pattern)
GAUGE = _figure(measures.GAUGE.pattern, measures.LENGTH.pattern, measures.FRACTION.pattern, exclusiveMinimum=0, exclusiveMaximum=1)
WEIGHT = text(measures.WEIGHT.pattern)
UNIT_WEIGHT = _figure(measures.UNIT_WEIGHT.pattern, exclusiveMinimum=0)
CLOCK: Schema = {"type": ["string", "integer"], "pattern": "^(?:[01]?[0-9]|2[0-3])[:.h][0-5][0-9]$", "minimum": 0, "maximum": 1439}
"""YAML 1.1 makes of 10:30 the whole number 630."""
YES_NO = words("yes", "no", "true", "false", "on", "off", "y", "n")
PATH = text(r"(?![/\\])(?!(?:.*[/\\])?\.\.(?:[/\\]|$))[^:]+")
SHOWING = any_of(words("no", "yes", "off", "on", "after delivery"), text(f"from {_DAY}"))
