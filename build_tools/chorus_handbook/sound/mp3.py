"""Encodes samples as MP3 files, and puts ID3 tags (title, chorus, chapters) before the sound. No
other module imports soundfile.

The tags follow the informal standard "ID3 tag version 2.3.0" (id3.org, 1999), which every player
reads: sections 3.1 (header), 3.3 (frames), 4.2 (text frames) and 4.11 (comments). Texts are UTF-16
with a byte order mark. Chapters follow its "ID3v2 Chapter Frame Addendum" (version 1.0, 2005):
sections 3.1 (chapter) and 3.2 (table of contents).
"""

from __future__ import annotations

import io
import struct
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

#: The names of text frames, in the order in which they are written: title, artist, album, track
#: number, key, tempo. A comment comes last.
FRAMES = ("TIT2", "TPE1", "TALB", "TRCK", "TKEY", "TBPM")
COMMENT = "COMM"
#: The bytes of the tags that say how texts are encoded, and in which language comments are.
_UTF_16 = b"\x01"
_LANGUAGE = b"eng"
#: In place of a chapter's byte offsets: players go by its times.
_NO_OFFSETS = b"\xff" * 8
#: Flags of a table of contents: it is the top one, and its chapters are in order.
_TOP, _ORDERED = 0b10, 0b01


class EncodingError(Exception):
    """MP3 cannot be written here; the message says why."""


@dataclass(frozen=True, slots=True)
class ChapterMark:
    """A chapter of an MP3 file: its name, and its start and end in milliseconds."""

    title: str
    start: int
    end: int


def mp3(blocks: Iterable[Samples], rate: int, compression: float) -> bytes:
    """An MP3 file with one channel. Its samples (from -1 to 1, `rate` a second) come in one or more
    `blocks` that follow one another. `compression` runs from 0, the best sound, to just below 1,
    the smallest file. Raises EncodingError where no encoder is installed, and whatever `blocks`
    raises."""
    try:
        import soundfile
    except (ImportError, OSError) as error:  # its C library is missing on some systems
        raise EncodingError(f"soundfile does not start: {error}") from error
    file = io.BytesIO()
    try:
        with soundfile.SoundFile(
            file,
            "w",
            rate,
            channels=1,
            format="MP3",
            subtype="MPEG_LAYER_III",
            compression_level=compression,
            bitrate_mode="VARIABLE",
        ) as encoder:
            for block in blocks:
                encoder.write(block)
    except soundfile.LibsndfileError as error:
        raise EncodingError(f"this version of soundfile cannot write MP3: {error}") from error
    return file.getvalue()


def tagged(sound: bytes, texts: Mapping[str, str], chapters: Sequence[ChapterMark] = ()) -> bytes:
    """The MP3 file `sound` with tags before it. `texts` maps names of frames (`FRAMES`, `COMMENT`)
    to their texts; empty ones are left out. `chapters` are in order, 255 at most. Raises ValueError
    for an unknown frame."""
    unknown = set(texts) - {*FRAMES, COMMENT}
    if unknown:
        raise ValueError(f"no such frame: {', '.join(sorted(unknown))}")
    frames = [_frame(name, _UTF_16 + _text(texts[name])) for name in FRAMES if texts.get(name)]
    if comment := texts.get(COMMENT):
        body = _UTF_16 + _LANGUAGE + _text("") + b"\0\0" + _text(comment)
        frames.append(_frame(COMMENT, body))
    body = b"".join([*frames, *_chapter_frames(chapters)])
    # The header: version 2.3.0, no flags, and the size of what follows.
    return b"ID3\x03\x00\x00" + syncsafe(len(body)) + body + sound if body else sound


def _chapter_frames(chapters: Sequence[ChapterMark]) -> Iterable[bytes]:
    """The table of contents and the chapters, each with its name in a text frame of its own."""
    if not chapters:
        return
    names = [f"chapter-{number}".encode() + b"\0" for number, _ in enumerate(chapters, 1)]
    head = b"contents\0" + bytes([_TOP | _ORDERED, len(chapters)])
    yield _frame("CTOC", head + b"".join(names))
    for name, one in zip(names, chapters, strict=True):
        title = _frame("TIT2", _UTF_16 + _text(one.title))
        times = struct.pack(">II", one.start, one.end)
        yield _frame("CHAP", name + times + _NO_OFFSETS + title)


def syncsafe(number: int) -> bytes:
    """A size as four bytes of seven bits each, so that none looks like the start of MP3 sound."""
    if not 0 <= number < 1 << 28:
        raise ValueError(f"{number} does not fit into 28 bits")
    return bytes(number >> shift & 0x7F for shift in (21, 14, 7, 0))


def _frame(name: str, body: bytes) -> bytes:
    # In this version a frame's own size is a plain number; its two bytes of flags are unused.
    return name.encode("ascii") + struct.pack(">IH", len(body), 0) + body


def _text(text: str) -> bytes:
    """A text as UTF-16 with its byte order mark. A NUL is replaced, because it would end the text,
    and so are lone surrogates, which have no code."""
    return b"\xff\xfe" + text.replace("\0", " ").encode("utf-16-le", errors="replace")
