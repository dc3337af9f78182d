"""The shop's sound samples are copied without their tags, once for each content.

Invariant: what is published is recognised by its bytes; a page or a script under a sound's name is refused.
"""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from purfle.base.endings import SOUNDS
from purfle.base.trouble import Trouble, Wrong
from purfle.shell import plain
from purfle.shell.kept import Maker, Told, published, told
from purfle.shell.samples import broken, flac, m4a, mp3, ogg, wav
from purfle.shell.store import Store, public_name
from purfle.views.pictures import PublishedSound, Sounds

MOST_BYTES = 20_000_000
_RECIPE = "3"  # counted up whenever the same source should give other bytes, or a record has another shape


def publish(wanted: Iterable[str], shop_dir: Path, store_dir: Path) -> tuple[Sounds, tuple[Trouble, ...]]:
    """The published sounds by source path, as `kept.published`, and troubles; the bytes of each lie at `store_dir / sound.path`."""
    too_large = Wrong(
        "sound-too-large", f"the file is over {MOST_BYTES // 1_000_000} MB", "cut it to the half minute worth hearing, or save it as .mp3 or .ogg"
    )
    maker = Maker(Store(store_dir, "sounds", _RECIPE), MOST_BYTES, too_large, _made, _sound, lambda sound: {sound.path: sound.size})
    return published(maker, wanted, shop_dir)


def _made(data: bytes, ending: str) -> tuple[PublishedSound, Told, Mapping[str, bytes]]:
    bare, kind = stripped(data)
    path = f"sounds/{public_name(bare)}.{kind}"
    alike = {ending, kind} <= {"ogg", "opus"}
    remark = Wrong("sound-mislabelled", f"the file ends in .{ending} and holds {kind} bytes", f"rename it to .{kind}")
    return PublishedSound(path, SOUNDS[kind], len(bare)), () if ending == kind or alike else (told(remark),), {path: bare}


def _sound(kept: Any) -> PublishedSound:
    """A sound as it was before it was kept. Raises ValueError for what is none."""
    plain.mapping(kept, {"path", "media_type", "size"})
    path = plain.text(kept["path"], f"sounds/[0-9a-f]{{16}}\\.({'|'.join(SOUNDS)})")
    return PublishedSound(path, plain.text(kept["media_type"], "|".join(SOUNDS.values())), plain.number(kept["size"], 1, MOST_BYTES))


def stripped(data: bytes) -> tuple[bytes, str]:
    """The sound without its tags, and its kind: wav, mp3, ogg, opus, flac or m4a. Raises Wrong `sound-unreadable`."""
    try:
        return _stripped(data)
    except Wrong:
        raise
    except Exception as error:  # hostile bytes: a table that points nowhere, a count that fits nothing
        raise broken(f"the sound can't be read ({type(error).__name__})") from None


def _stripped(data: bytes) -> tuple[bytes, str]:
    if data[:4] == b"RIFF" and data[8:12] == b"WAVE":
        return wav.stripped(data), "wav"
    if data[:4] == b"OggS":
        bare, kind = ogg.stripped(data)
        return bare, "opus" if kind == "opus" else "ogg"
    if data[:4] == b"fLaC":
        return flac.stripped(data), "flac"
    if data[4:8] == b"ftyp":
        return m4a.stripped(data), "m4a"
    if mp3.begins(data):
        return mp3.stripped(data), "mp3"
    raise broken("the file is empty" if not data else _looks_like(data))


def _looks_like(data: bytes) -> str:
    start = data[:200].lstrip().lower()
    if start.startswith((b"<", b"#!")):
        return "the file is a page or a script, not a sound"
    return "the file does not begin as a .mp3, .ogg, .opus, .wav, .flac or .m4a does"
