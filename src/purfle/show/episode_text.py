"""The text of a proposed episode's file, for the owner to go on from.

Invariant: gives text only; whether a file is there already is for whoever writes it.
"""

import re
from datetime import date
from decimal import Decimal

from purfle.show.model import Gift, LineUpEpisode, LineUpSegment

UNNAMED = "to be named"
"""The title until its owner writes one."""


def episode_path(airs: date) -> str:
    """The file's name in the shop folder."""
    return f"journal/episodes/{airs.isoformat()}.md"


def episode_text(episode: LineUpEpisode) -> str:
    """The file of a line-up: title to be written, day of recording, segments, and the disclosures they ask for."""
    lines = ["---", f"title: {UNNAMED}", f"recorded: {episode.records.isoformat()}", f"minutes: {_figure(episode.length)}"]
    lines += ["segments:", *(f"  - {_segment(segment)}" for segment in episode.segments)] if episode.segments else []
    gifts = tuple(dict.fromkeys(gift for segment in episode.segments for gift in segment.disclose))
    lines += ["disclosures:", *(f"  - {_disclosure(gift)}" for gift in gifts)] if gifts else []
    lines += ["showroom: no", "---", ""]
    if episode.segments:
        lines += ["::: private", *(f"- {_reason(segment)}" for segment in episode.segments), ":::", ""]
    return "\n".join(lines)


def _segment(segment: LineUpSegment) -> str:
    pairs = [
        ("build", segment.build),
        ("stage", segment.stage),
        ("what", segment.what if segment.what != "progress" else None),
        ("minutes", _figure(segment.minutes)),
    ]
    return _mapping([(key, value) for key, value in pairs if value])


def _disclosure(gift: Gift) -> str:
    return _mapping([("what", f"{gift.what} in {gift.build}"), ("build", gift.build), ("how", gift.how), *([("from", gift.origin)] if gift.origin else [])])


def _mapping(pairs: list[tuple[str, str]]) -> str:
    return "{" + ", ".join(f"{key}: {_scalar(value)}" for key, value in pairs) + "}"


def _scalar(text: str) -> str:
    """A value as flow YAML takes it: plain where that is safe, else in double quotes."""
    if re.fullmatch(r"[\w(/][\w ()/.'+-]*", text) and not text.endswith(" "):
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _figure(minutes: Decimal) -> str:
    return f"{minutes.normalize():f}"


def _reason(segment: LineUpSegment) -> str:
    name = " ".join(part for part in (segment.build, segment.stage) if part) or segment.what
    return f"{name}: {segment.why}"
