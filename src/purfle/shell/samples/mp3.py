"""MP3: the run of MPEG layer III frames alone.

Source: ISO/IEC 11172-3 and 13818-3 (frame header); ID3v2.4 (length of its tag); the Xing/Info frame as its encoders write it.
Invariant: no tag before, between or after the frames is copied (ID3v1, ID3v2, APE, lyrics), nor the encoder's name.
"""

from dataclasses import dataclass

from purfle.shell.samples import broken

_RATES_1 = (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320)  # kbit/s, MPEG-1 layer III
_RATES_2 = (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160)  # MPEG-2 and 2.5
_SAMPLES = {3: (44100, 48000, 32000), 2: (22050, 24000, 16000), 0: (11025, 12000, 8000)}
_TAILS = (b"TAG", b"APETAGEX", b"LYRICSBEGIN", b"ID3", b"3DI")
_FEWEST = 3


@dataclass(frozen=True, slots=True)
class Frame:
    """What a frame's header says."""

    size: int
    """Bytes, header included."""
    version: int
    """3 MPEG-1, 2 MPEG-2, 0 MPEG-2.5."""
    rate: int
    mono: bool


def frame_at(data: bytes, at: int) -> Frame | None:
    """The layer III frame whose header stands there, or None."""
    head = data[at : at + 4]
    if len(head) < 4 or head[0] != 0xFF or head[1] & 0xE6 != 0xE2:  # sync, layer III
        return None
    version, bit_rate, rate = head[1] >> 3 & 3, head[2] >> 4, head[2] >> 2 & 3
    if version == 1 or bit_rate in (0, 15) or rate == 3:
        return None
    kbits = (_RATES_1 if version == 3 else _RATES_2)[bit_rate]
    hertz = _SAMPLES[version][rate]
    size = (144 if version == 3 else 72) * kbits * 1000 // hertz + (head[2] >> 1 & 1)
    return Frame(size, version, hertz, head[3] >> 6 == 3)


def begins(data: bytes) -> bool:
    """Whether the bytes begin as an MP3 does: with a tag, or with two frames in a row."""
    first = frame_at(data, 0)
    return data.startswith(b"ID3") or bool(first and frame_at(data, first.size))


def stripped(data: bytes) -> bytes:
    """The frames alone. Raises Wrong when there are too few, or when something unknown stands among them."""
    start = at = _past_tags(data)
    first = frame_at(data, at)
    count = 0
    while first and (frame := frame_at(data, at)) and (frame.version, frame.rate) == (first.version, first.rate) and at + frame.size <= len(data):
        at += frame.size
        count += 1
    if first is None or count < _FEWEST:
        raise broken("the file holds no run of MP3 frames")
    rest = data[at:]
    cut_frame = frame_at(data, at) is not None and len(rest) < 2000
    if rest.strip(b"\0") and not rest.startswith(_TAILS) and not cut_frame:
        raise broken("something that is neither sound nor a known tag stands in the MP3")
    return _counted(data[start : start + first.size], first) + data[start + first.size : at]


def _past_tags(data: bytes) -> int:
    """Where the frames begin: past every ID3v2 tag and the zeros that pad it."""
    at = 0
    while data[at : at + 3] == b"ID3":
        size = 0
        for byte in data[at + 6 : at + 10]:
            size = size << 7 | byte & 0x7F
        at += 10 + size + (10 if data[at + 5] & 0x10 else 0)
        while data[at : at + 1] == b"\0":
            at += 1
    return at


def _counted(frame: bytes, head: Frame) -> bytes:
    """The first frame; when it is the silent one that holds counts, with its counts and nothing more."""
    at = 4 + ({True: 17, False: 32} if head.version == 3 else {True: 9, False: 17})[head.mono]
    if frame[at : at + 4] not in (b"Xing", b"Info"):
        return frame
    flags = frame[at + 7]
    end = at + 8 + 4 * (flags & 1) + 4 * (flags >> 1 & 1) + 100 * (flags >> 2 & 1) + 4 * (flags >> 3 & 1)
    return frame[:end] + bytes(len(frame) - end)
