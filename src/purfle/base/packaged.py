"""The tables that come with purfle, under `data/`.

Invariant: reads nothing of the shop's; a table is read once, when it is first asked for.
"""

import json
from functools import cache
from importlib import resources
from typing import Any


@cache
def table(name: str) -> dict[str, Any]:
    """A table by its name under `data/`, without its ending. Raises FileNotFoundError when there is none."""
    return dict(json.loads(resources.files("purfle").joinpath(f"data/{name}.json").read_text("utf-8")))
