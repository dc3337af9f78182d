"""FLAC: the stream's description and its frames.

Source: RFC 9639, sections 8 (metadata) and 9 (frames).
Invariant: of the metadata only STREAMINFO is copied, and nothing after the last frame.
"""

from purfle.shell.samples import broken

_LONGEST_FRAME = 1 << 20
_MOST_TRIED = 4 * _LONGEST_FRAME
"""Bytes summed up in looking for the last frame: far more than a sound takes, and an end to one made of frames' beginnings."""


def _table() -> tuple[int, ...]:
    rows = []
    for byte in range(256):
        value = byte << 8
        for _ in range(8):
            value = (value << 1 ^ 0x8005 if value & 0x8000 else value << 1) & 0xFFFF
        rows.append(value)
    return tuple(rows)


_TABLE = _table()


def crc16(data: bytes) -> int:
    """The checksum at the end of a frame: polynomial 0x8005 from zero (RFC 9639, 9.3); zero over a whole frame."""
    value = 0
    for byte in data:
        value = (value << 8 & 0xFF00) ^ _TABLE[value >> 8 ^ byte]
    return value


def stripped(data: bytes) -> bytes:
    """The same frames after a single block of metadata. Raises Wrong."""
    at, info = 4, b""
    last = False
    while not last:
        if at + 4 > len(data):
            raise broken("the FLAC is cut short")
        last, kind, size = bool(data[at] & 0x80), data[at] & 0x7F, int.from_bytes(data[at + 1 : at + 4], "big")
        if kind == 0:
            info = data[at + 4 : at + 4 + size]
        at += 4 + size
    frames = _frames(data[at:])
    if len(info) != 34:
        raise broken("the FLAC does not say what it holds")
    return b"fLaC\x80\0\0\x22" + info + frames


def _frames(data: bytes) -> bytes:
    """The frames without an old-style tag at their end; refused when they don't end with a frame."""
    if data[-128:-125] == b"TAG":
        data = data[:-128]
    if data[:2] not in (b"\xff\xf8", b"\xff\xf9"):
        raise broken("no sound follows the FLAC's description")
    sync, end, left = data[:2], len(data), _MOST_TRIED
    while left > 0 and (end := data.rfind(sync, max(0, len(data) - _LONGEST_FRAME), end)) >= 0:
        if crc16(data[end:]) == 0:
            return data
        left -= len(data) - end
    raise broken("the FLAC is cut short, or something else stands after its sound")
