"""Writes MP3 files with soundfile, and ID3 tags before the sound. No other module imports
soundfile.

The tags follow the informal standard "ID3 tag version 2.3.0" (id3.org, 1999), which every player
reads: sections 3.1 (header), 3.3 (frames), 4.2 (text frames) and 4.11 (comments). Texts are UTF-16
with a byte order mark.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

#: Text frames are written in this order; a comment comes last.
FRAMES = ("TIT2", "TPE1", "TALB", "TRCK", "TKEY", "TBPM")
COMMENT = "COMM"
_UTF_16 = b"\x01"
_LANGUAGE = b"eng"


class EncodingError(Exception):
    """MP3 cannot be written here; the message says why."""


def mp3(samples: Samples, rate: int, compression: float) -> bytes:
    """One channel of samples (from -1 to 1, `rate` a second) as an MP3 file. `compression` runs
    from 0, the best sound, to just below 1, the smallest file. Raises EncodingError where no
    encoder is installed."""
    try:
        import soundfile
    except (ImportError, OSError) as error:  # its C library is missing on some systems
        raise EncodingError(f"soundfile does not start: {error}") from error
    file = io.BytesIO()
    try:
        soundfile.write(
            file,
            samples,
            rate,
            format="MP3",
            subtype="MPEG_LAYER_III",
            compression_level=compression,
            bitrate_mode="VARIABLE",
        )
    except soundfile.LibsndfileError as error:
        raise EncodingError(f"this version of soundfile cannot write MP3: {error}") from error
    return file.getvalue()


def tagged(sound: bytes, texts: Mapping[str, str]) -> bytes:
    """An MP3 file with tags. `texts` are the texts of frames by name, those of `FRAMES` and
    `COMMENT`; empty ones are left out. Raises ValueError for any other frame."""
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
    """A size as four bytes of seven bits each, so that none looks like the start of MP3 sound."""
    if not 0 <= number < 1 << 28:
        raise ValueError(f"{number} does not fit into 28 bits")
    return bytes(number >> shift & 0x7F for shift in (21, 14, 7, 0))


def _frame(name: str, body: bytes) -> bytes:
    # In this version a frame's own size is a plain number; its two bytes of flags are unused.
    return name.encode("ascii") + struct.pack(">IH", len(body), 0) + body


def _text(text: str) -> bytes:
    """UTF-16 with its byte order mark. A NUL would end the text; lone surrogates have no code."""
    return b"\xff\xfe" + text.replace("\0", " ").encode("utf-16-le", errors="replace")
