"""Ogg Vorbis and Ogg Opus: the headers with an empty comment, then the pages of sound.

Source: RFC 3533 (pages), RFC 7845 (Opus), Vorbis I specification, 4 and 5 (headers).
Invariant: one stream of one kind; the comment, its pictures, what pads it and the stream's own number are not copied.
"""

import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from purfle.shell.samples import broken

_REVERSED = bytes(int(f"{byte:08b}"[::-1], 2) for byte in range(256))
_CONTINUED, _FIRST, _LAST = 1, 2, 4
_SERIAL = 1
_NO_COMMENT = struct.pack("<II", 0, 0)  # an encoder's name of no letters, then no comments


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the stream."""

    flags: int
    granule: int
    serial: int
    lacing: bytes
    body: bytes


def crc(data: bytes) -> int:
    """The checksum of RFC 3533: polynomial 0x04C11DB7, from zero, highest bit first.

    zlib's is the same polynomial with the bits of every byte, and of the result, the other way round.
    """
    turned = zlib.crc32(data.translate(_REVERSED), 0xFFFFFFFF) ^ 0xFFFFFFFF
    return int(f"{turned:032b}"[::-1], 2)


def stripped(data: bytes) -> tuple[bytes, str]:
    """The stream without its comment, and `vorbis` or `opus`. Raises Wrong."""
    pages = list(_pages(data))
    if len({page.serial for page in pages}) != 1 or sum(bool(page.flags & _FIRST) for page in pages) != 1:
        raise broken("the Ogg file holds more than one stream")
    first = pages[0].body
    kind = "opus" if first.startswith(b"OpusHead") else "vorbis" if first.startswith(b"\x01vorbis") else None
    if kind is None:
        raise broken("the Ogg file holds neither Vorbis nor Opus")
    headers, sound = _headers(pages, 2 if kind == "opus" else 3)
    if kind == "opus":
        new = [headers[0], b"OpusTags" + _NO_COMMENT]
    else:
        new = [headers[0], b"\x03vorbis" + _NO_COMMENT + b"\x01", headers[2]]
    made = [Page(_FIRST, 0, _SERIAL, _lacing(new[0]), new[0]), *_laid(new[1:]), *sound]
    return b"".join(_written(page, number) for number, page in enumerate(made)), kind


def _pages(data: bytes) -> Iterator[Page]:
    at = 0
    while at < len(data):
        head = data[at : at + 27]
        if len(head) < 27 or head[:5] != b"OggS\0":
            raise broken("the Ogg file is cut short, or something else stands in it")
        flags, granule, serial, _, check, count = struct.unpack_from("<BqIIIB", head, 5)
        lacing = data[at + 27 : at + 27 + count]
        end = at + 27 + count + sum(lacing)
        page = data[at:end]
        if end > len(data) or crc(page[:22] + bytes(4) + page[26:]) != check:
            raise broken("the Ogg file is damaged or cut short")
        yield Page(flags, granule, serial, lacing, page[27 + count :])
        at = end
    if at == 0:
        raise broken("the file is empty")


def _headers(pages: list[Page], wanted: int) -> tuple[list[bytes], list[Page]]:
    """The first packets of the stream, and the pages after them."""
    packets: list[bytes] = []
    packet = bytearray()  # a picture in the comment is thousands of pieces
    read = 0
    for page in pages:
        at = 0
        read += 1
        for length in page.lacing:
            packet += page.body[at : at + length]
            at += length
            if length < 255:
                packets.append(bytes(packet))
                packet = bytearray()
        if len(packets) >= wanted:
            break
    if len(packets) != wanted or packet or read == len(pages):
        raise broken("the Ogg file's headers and its sound are not on pages of their own")
    return packets, pages[read:]


def _lacing(packet: bytes) -> bytes:
    """A packet's length as its page's table holds it."""
    return b"\xff" * (len(packet) // 255) + bytes([len(packet) % 255])


def _laid(packets: list[bytes]) -> Iterator[Page]:
    """Packets on pages of at most 255 pieces."""
    lacing, body = b"".join(map(_lacing, packets)), b"".join(packets)
    at = 0
    for start in range(0, len(lacing), 255):
        piece = lacing[start : start + 255]
        continued = start > 0 and lacing[start - 1] == 255
        ends = any(length < 255 for length in piece)
        yield Page(_CONTINUED if continued else 0, 0 if ends else -1, _SERIAL, piece, body[at : at + sum(piece)])
        at += sum(piece)


def _written(page: Page, number: int) -> bytes:
    head = b"OggS\0" + struct.pack("<BqII", page.flags, page.granule, _SERIAL, number)
    tail = bytes([len(page.lacing)]) + page.lacing + page.body
    return head + struct.pack("<I", crc(head + bytes(4) + tail)) + tail
