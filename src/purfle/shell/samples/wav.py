"""WAV: the `fmt` and `data` chunks alone, written anew.

Source: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (RIFF, WAVE).
Invariant: no other chunk (LIST, bext, id3, iXML …) and no byte after the last sample is copied.
"""

import struct
from collections.abc import Iterator

from purfle.shell.samples import broken

_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
_GUID_TAIL = bytes.fromhex("000000001000800000aa00389b71")  # of every subformat that is a plain format tag


def stripped(data: bytes) -> bytes:
    """The same samples in a WAV of two chunks. Raises Wrong."""
    found: dict[bytes, bytes] = {}
    for name, body in _chunks(data):
        if name in (b"fmt ", b"data"):
            if name in found:
                raise broken(f"the WAV has two {name.decode().strip()} chunks")
            found[name] = body
    if len(found) < 2:
        raise broken("the WAV has no samples, or does not say what they are")
    fmt, block = _format(found[b"fmt "])
    samples = found[b"data"][: len(found[b"data"]) // block * block]
    if not samples:
        raise broken("the WAV holds no samples")
    body = b"WAVE" + _chunk(b"fmt ", fmt) + _chunk(b"data", samples)
    return b"RIFF" + struct.pack("<I", len(body)) + body


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Each chunk's name and body; a last chunk that is cut short is an error only when it is needed."""
    at = 12
    while at + 8 <= len(data):
        name, size = struct.unpack_from("<4sI", data, at)
        if at + 8 + size > len(data) and name in (b"fmt ", b"data"):
            raise broken("the WAV is cut short")
        yield name, data[at + 8 : at + 8 + size]
        at += 8 + size + size % 2


def _format(fmt: bytes) -> tuple[bytes, int]:
    """The format chunk with nothing but its fields, and the bytes of one sample of all channels."""
    if len(fmt) < 16:
        raise broken("the WAV's format is cut short")
    tag, channels, rate, _, block, bits = struct.unpack_from("<HHIIHH", fmt)
    sizes = {_PCM: (8, 16, 24, 32), _FLOAT: (32, 64)}
    plain = tag
    if tag == _EXTENSIBLE:
        if len(fmt) < 40 or fmt[26:40] != _GUID_TAIL:
            raise broken("the WAV holds a packed sound that browsers may not play")
        plain = struct.unpack_from("<H", fmt, 24)[0]
    if plain not in sizes or bits not in sizes[plain]:
        raise broken("the WAV holds a packed sound that browsers may not play")
    if not 1 <= channels <= 8 or block != channels * bits // 8 or not 1000 <= rate <= 768_000:
        raise broken("the WAV's format makes no sense")
    head = struct.pack("<HHIIHH", tag, channels, rate, rate * block, block, bits)
    if tag == _PCM:
        return head, block
    return head + (struct.pack("<H", 22) + fmt[18:40] if tag == _EXTENSIBLE else b"\0\0"), block


def _chunk(name: bytes, body: bytes) -> bytes:
    return name + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2)
