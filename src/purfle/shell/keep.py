"""Writes a lined-up episode into the journal.

Invariant: never writes over a file that is there.
"""

from collections.abc import Iterator
from pathlib import Path

from purfle.show.model import LineUpEpisode, LineUpSegment


class AlreadyThere(Exception):
    """The journal has an episode of that day."""


def keep_episode(root: Path, episode: LineUpEpisode) -> Path:
    """The new file of an episode as it is lined up. Raises `AlreadyThere`, or OSError."""
    folder = root / "journal" / "episodes"
    day = episode.airs.isoformat()
    there = sorted(folder.glob(f"{day}*.md"))
    if there:
        raise AlreadyThere(f"{there[0].relative_to(root)} is there already")
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{day}.md"
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text_of(episode))
    except FileExistsError:
        raise AlreadyThere(f"{path.relative_to(root)} is there already") from None
    return path


def text_of(episode: LineUpEpisode) -> str:
    """An episode's file: its segments, with why each is in beside it."""
    names = dict.fromkeys(s.build for s in episode.segments if s.build)
    return "\n".join(["---", f"title: {_quoted(', '.join(names) or 'An episode')}", "segments:", *_segments(episode.segments), "---", ""])


def _segments(segments: tuple[LineUpSegment, ...]) -> Iterator[str]:
    for s in segments:
        words = {"build": s.build, "stage": s.stage, "what": s.what}
        keys = [f"{key}: {_quoted(value)}" for key, value in words.items() if value] + [f"minutes: {s.minutes:f}"]
        why = f"  # {' '.join(s.why.split())}" if s.why else ""
        yield f"  - {{{', '.join(keys)}}}{why}"


def _quoted(text: str) -> str:
    """The text as a YAML scalar: bare when it is plain words, else in double quotes (YAML 1.2, 7.3.1)."""
    if text.replace(" ", "").replace("-", "").replace("_", "").isalnum() and text[0].isalpha() and text.isascii() and text == text.strip():
        return text
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'
