"""ID3 tags before an MP3's sound: version 2.3, which every player reads.

The form is that of the informal standard "ID3 tag version 2.3.0" (id3.org, 1999): sections 3.1 (a
header whose size is a syncsafe number), 3.3 (frames), 4.2 (text frames) and 4.11 (comments). Texts
are UTF-16 with a byte order mark, so that every writing is kept.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping

#: Text frames are written in this order; a comment comes last.
FRAMES = ("TIT2", "TPE1", "TALB", "TRCK", "TKEY", "TBPM")
COMMENT = "COMM"
_UTF_16 = b"\x01"
_LANGUAGE = b"eng"


def tagged(sound: bytes, texts: Mapping[str, str]) -> bytes:
    """The sound with tags before it. `texts` are by frame: those of `FRAMES` and `COMMENT`, others
    raise ValueError. An empty text leaves its frame out."""
    unknown = set(texts) - {*FRAMES, COMMENT}
    if unknown:
        raise ValueError(f"no such frame: {', '.join(sorted(unknown))}")
    frames = [_frame(name, _UTF_16 + _text(texts[name])) for name in FRAMES if texts.get(name)]
    if comment := texts.get(COMMENT):
        body = _UTF_16 + _LANGUAGE + _text("") + b"\0\0" + _text(comment)
        frames.append(_frame(COMMENT, body))
    body = b"".join(frames)
    return b"ID3\x03\x00\x00" + syncsafe(len(body)) + body + sound if body else sound


def syncsafe(number: int) -> bytes:
    """A size in four bytes of seven bits each, so that none looks like the start of sound."""
    if not 0 <= number < 1 << 28:
        raise ValueError(f"{number} does not fit into 28 bits")
    return bytes(number >> shift & 0x7F for shift in (21, 14, 7, 0))


def _frame(name: str, body: bytes) -> bytes:
    # In this version a frame's own size is a plain number; its two bytes of flags are unused.
    return name.encode("ascii") + struct.pack(">IH", len(body), 0) + body


def _text(text: str) -> bytes:
    """UTF-16 with its mark. A NUL would end the text; a half of a surrogate pair has no code."""
    return b"\xff\xfe" + text.replace("\0", " ").encode("utf-16-le", errors="replace")
