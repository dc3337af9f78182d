"""M4A: boxes of one sound track; every other box is overwritten with zeros in place, so that no offset changes.

Source: ISO/IEC 14496-12 (boxes and sample tables) and 14496-14 (mp4a).
Invariant: bytes that no sample table points at, dates, names, languages and all user data come out as zeros.
"""

import struct
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from purfle.shell.samples import broken

_INSIDE = (b"moov", b"trak", b"mdia", b"minf", b"stbl", b"edts", b"dinf")
_AS_IT_IS = (b"smhd", b"elst", b"stts", b"ctts", b"stsc", b"stsz", b"stco", b"co64", b"stss", b"sgpd", b"sbgp")
_MOST_PLACES = 8  # for the samples; encoders write one
_CODECS = (b"mp4a", b"alac")
_UNDETERMINED = struct.pack(">H", 0x55C4)  # the language "und", packed as 14496-12 says


@dataclass(frozen=True, slots=True)
class Box:
    """Where one box stands."""

    kind: bytes
    start: int
    body: int
    """Where its contents begin."""
    end: int


def _boxes(data: bytes | bytearray, start: int, end: int) -> Iterator[Box]:
    while start < end:
        if start + 8 > end:
            raise broken("the M4A is cut short")
        size, kind = struct.unpack_from(">I4s", data, start)
        head = 8
        if size == 1:
            size, head = struct.unpack_from(">Q", data, start + 8)[0], 16
        elif size == 0:
            size = end - start
        if size < head or start + size > end:
            raise broken("the M4A is cut short, or its boxes don't fit into each other")
        yield Box(kind, start, start + head, start + size)
        start += size


def stripped(data: bytes) -> bytes:
    """A file of the same length with the sound track alone. Raises Wrong."""
    out = bytearray(data)
    top = list(_boxes(data, 0, len(data)))
    kinds = [box.kind for box in top]
    if kinds.count(b"moov") != 1 or not 1 <= kinds.count(b"mdat") <= _MOST_PLACES or b"moof" in kinds:
        raise broken("the M4A is cut short or in fragments")
    moov = top[kinds.index(b"moov")]
    tables: dict[bytes, Box] = {}
    _clean(out, moov, tables)
    spans = list(_spans(data, tables))
    for box in top:
        if box.kind == b"mdat":
            _keep_only(out, data, box, spans)
        elif box.kind not in (b"moov", b"ftyp"):
            _void(out, box)
    if sum(length for _, length in spans) != sum(_kept(box, spans) for box in top if box.kind == b"mdat"):
        raise broken("the M4A is cut short")
    return bytes(out)


def _clean(out: bytearray, parent: Box, tables: dict[bytes, Box]) -> None:
    """Clean everything inside a box; the sample tables met are noted by kind."""
    for box in list(_boxes(out, parent.body, parent.end)):
        if box.kind == b"trak" and b"trak" in tables:
            raise broken("the M4A holds more than one track (chapters, or a picture)")
        if box.kind == b"mvex":
            raise broken("the M4A is in fragments")
        tables[box.kind] = box
        if box.kind in _INSIDE:
            _clean(out, box, tables)
        elif box.kind in _MENDED:
            _MENDED[box.kind](out, box)
        elif box.kind not in _AS_IT_IS:
            _void(out, box)


def _void(out: bytearray, box: Box) -> None:
    """Make a box free space."""
    out[box.start + 4 : box.start + 8] = b"free"
    out[box.body : box.end] = bytes(box.end - box.body)


def _without_dates(out: bytearray, box: Box) -> None:
    """Zero the dates of creation and change; name no language."""
    wide = out[box.body] == 1
    out[box.body + 4 : box.body + (20 if wide else 12)] = bytes(16 if wide else 8)
    if box.kind == b"mdhd":
        at = box.body + (32 if wide else 20)
        out[at : at + 2] = _UNDETERMINED


def _without_name(out: bytearray, box: Box) -> None:
    if bytes(out[box.body + 8 : box.body + 12]) != b"soun":
        raise broken("the M4A's track is no sound")
    out[box.body + 12 : box.end] = bytes(box.end - box.body - 12)


def _within_itself(out: bytearray, box: Box) -> None:
    """The sound must be in this very file, which a flag says, and not at an address."""
    for entry in _boxes(out, box.body + 8, box.end):
        if entry.end - entry.start != 12 or out[entry.end - 1] != 1:
            raise broken("the M4A's sound is in another file")


def _described(out: bytearray, box: Box) -> None:
    """Keep the codec's own boxes in the description of the samples."""
    for entry in list(_boxes(out, box.body + 8, box.end)):
        if entry.kind not in _CODECS:
            raise broken("the M4A holds a sound that browsers may not play")
        more = {0: 0, 1: 16}.get(int.from_bytes(out[entry.body + 8 : entry.body + 10], "big"))
        if more is None:
            raise broken("the M4A's description is of an unusual kind")
        for inner in list(_boxes(out, entry.body + 28 + more, entry.end)):
            if inner.kind not in (b"esds", b"alac", b"btrt"):
                _void(out, inner)


_MENDED: dict[bytes, Callable[[bytearray, Box], None]] = {
    b"mvhd": _without_dates, b"tkhd": _without_dates, b"mdhd": _without_dates, b"hdlr": _without_name, b"dref": _within_itself, b"stsd": _described,
}  # fmt: skip


def _spans(data: bytes, tables: dict[bytes, Box]) -> Iterator[tuple[int, int]]:
    """Offset and length of every chunk of samples, from the sample tables."""
    if not {b"stsz", b"stsc", b"stsd", b"hdlr"} <= tables.keys() or not {b"stco", b"co64"} & tables.keys():
        raise broken("the M4A's sample tables are missing")
    sizes = _sizes(data, tables[b"stsz"])
    wide = b"co64" in tables
    chunks = _column(data, tables[b"co64" if wide else b"stco"], ">Q" if wide else ">I")
    runs = _column(data, tables[b"stsc"], ">III")
    firsts = [first for first, _, _ in runs]
    if firsts != sorted(set(firsts)) or firsts[:1] == [0]:  # 14496-12, 8.7.4: each run begins after the one before it
        raise broken("the M4A's sample tables make no sense")
    at = 0
    for index, (first, samples, _) in enumerate(runs):
        until = runs[index + 1][0] if index + 1 < len(runs) else len(chunks) + 1
        for (offset,) in chunks[first - 1 : until - 1]:
            yield offset, sum(sizes[at : at + samples])
            at += samples
    if at < len(sizes):
        raise broken("the M4A's sample tables don't agree")


def _column(data: bytes, box: Box, row: str) -> list[tuple[int, ...]]:
    """The rows of a table that begins with its count."""
    count, width = struct.unpack_from(">I", data, box.body + 4)[0], struct.calcsize(row)
    body = data[box.body + 8 : box.end]
    if count * width > len(body):
        raise broken("the M4A's sample tables are cut short")
    return list(struct.iter_unpack(row, body[: count * width]))


def _sizes(data: bytes, box: Box) -> list[int]:
    each, count = struct.unpack_from(">II", data, box.body + 4)
    if count > 10_000_000:
        raise broken("the M4A's sample tables make no sense")
    if each:
        return [each] * count
    rows = data[box.body + 12 : box.body + 12 + 4 * count]
    return [size for (size,) in struct.iter_unpack(">I", rows)]


def _inside(box: Box, span: tuple[int, int]) -> bool:
    return box.body <= span[0] and span[0] + span[1] <= box.end


def _kept(box: Box, spans: list[tuple[int, int]]) -> int:
    return sum(span[1] for span in spans if _inside(box, span))


def _keep_only(out: bytearray, data: bytes, box: Box, spans: list[tuple[int, int]]) -> None:
    """Zero what no sample table points at."""
    out[box.body : box.end] = bytes(box.end - box.body)
    for offset, length in (span for span in spans if _inside(box, span)):
        out[offset : offset + length] = data[offset : offset + length]
