"""The JSON that programs may rely on: its schema, how values are written in it, and troubles.

Amounts, hours, chances and margins are decimal strings; days are ISO 8601; null is unknown or does not apply.
A key is never taken away or changed in meaning without a higher `schema`. The answers themselves are in
`contract_money` and `contract_week`.
Invariant: works nothing out; every value was worked out before.
"""

import json
import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from purfle.base.codes import CODES
from purfle.base.money import rounded, unit
from purfle.base.place import Place
from purfle.base.trouble import Trouble

SCHEMA = 1
Answer = dict[str, Any]


def dumps(answer: Mapping[str, Any]) -> str:
    """The answer as JSON text, the schema's number at the top; nothing in it can give a terminal an order."""
    text = json.dumps({"schema": SCHEMA, **answer}, ensure_ascii=False, indent=2)
    return _UNSEEN.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


_UNSEEN = re.compile("[\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]")
"""What a terminal might obey or an eye miss, beside what JSON itself escapes: as `\\u202e` it is read back as the same (RFC 8259, 7)."""


def plain(value: Decimal | None) -> str | None:
    """A figure as a decimal string, never in powers of ten; 2, 2.0 and 2.00 are one figure, however it was typed or summed up."""
    return None if value is None else f"{value.normalize():f}"


def money(currency: str) -> Callable[[Decimal | None], str | None]:
    """A formatter of amounts with the currency's own decimals (ISO 4217)."""
    smallest = unit(currency)
    return lambda value: None if value is None else f"{rounded(value, smallest):f}"


def fixed(value: Decimal | None, places: int = 2) -> str | None:
    """A ratio or hours as a decimal string with so many places, halves away from zero."""
    return None if value is None else f"{value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f}"


def day(value: date | None) -> str | None:
    """A day as ISO 8601."""
    return None if value is None else value.isoformat()


def source(place: Place) -> str | None:
    """`file:line`, or null for what no note wrote."""
    return f"{place.file}:{place.line}" if place.file else None


def troubles(found: Sequence[Trouble]) -> Answer:
    """`check`: every trouble."""
    return {"troubles": [trouble(t) for t in found]}


def trouble(t: Trouble) -> Answer:
    """One trouble."""
    stops = str(CODES[t.code].stops)
    return {"file": t.place.file, "line": t.place.line, "column": t.place.column, "stops": stops, "code": t.code, "found": t.found, "mend": t.mend}
