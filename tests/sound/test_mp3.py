"""Tags as two readers find them that did not write them, mutagen and tinytag; and their bytes
against the standard (ID3 tag version 2.3.0, id3.org)."""

from __future__ import annotations

import io
import struct

import numpy as np
import pytest
from mutagen.id3 import ID3
from tinytag import TinyTag

from chorus_handbook.sound.mp3 import COMMENT, FRAMES, ChapterMark, mp3, syncsafe, tagged

TEXTS = {
    "latin": "Up the mast – Alto",
    "umlauts": "Über die Reling",
    "cyrillic": "Тихая вода",
    "japanese": "静かな水",
    "hebrew": "מים שקטים",
    "emoji": "⚓️ Ahoy 🌊",
    "long": "la " * 5000,
}


@pytest.fixture(scope="module")
def sound() -> bytes:
    return mp3([np.sin(np.arange(16_000) / 20) / 2], 16_000, 0.6)


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_two_readers_find_every_text(sound: bytes, text: str) -> None:
    texts = dict.fromkeys(("TIT2", "TPE1", "TALB", COMMENT), text.strip())
    texts |= {"TRCK": "2/4", "TKEY": "Bb", "TBPM": "84"}
    made = tagged(sound, texts)
    found = ID3(io.BytesIO(made))
    assert found.version == (2, 3, 0) and set(found) == {*FRAMES, "COMM::eng"}
    for name in FRAMES:
        assert found[name].text == [texts[name]]
    assert found["COMM::eng"].text == [text.strip()]
    tags = TinyTag.get(file_obj=io.BytesIO(made), filename="track.mp3")
    assert (tags.title, tags.artist, tags.album) == (text.strip(),) * 3
    assert tags.comment == text.strip()
    assert (tags.track, tags.track_total) == (2, 4)
    other = {name.lower(): values for name, values in tags.other.items()}
    assert other["bpm"] == ["84"] and other["initial_key"] == ["Bb"]
    assert tags.duration == pytest.approx(1.0, abs=0.2)
    assert made.endswith(sound)


def test_the_header_is_that_of_the_standard() -> None:
    """Section 3.1: "ID3", version 3.0, no flags, a size of four times seven bits without the
    header's own ten bytes. Section 3.3: a frame's name, size and flags."""
    made = tagged(b"\xff\xfb", {"TIT2": "C"})
    body = b"\x01\xff\xfeC\0"
    frame = b"TIT2" + struct.pack(">I", len(body)) + b"\0\0" + body
    assert made == b"ID3\x03\0\0" + bytes([0, 0, 0, len(frame)]) + frame + b"\xff\xfb"


def test_chapters_are_laid_out_as_in_the_addendum() -> None:
    """ID3v2 Chapter Frame Addendum (version 1.0, 2005): section 3.1, an element's id that ends with
    a zero byte, start and end in milliseconds, offsets that do not count, and frames within;
    section 3.2, flags for the top one (bit 1) and in order (bit 0), and how many there are."""
    made = tagged(b"\xff\xfb", {}, [ChapterMark("C", 0, 1500), ChapterMark("D", 1500, 2000)])

    def frame(name: bytes, body: bytes) -> bytes:
        return name + struct.pack(">I", len(body)) + b"\0\0" + body

    def chapter(number: bytes, start: int, end: int, title: bytes) -> bytes:
        times = struct.pack(">II", start, end) + b"\xff" * 8
        named = frame(b"TIT2", b"\x01\xff\xfe" + title + b"\0")
        return frame(b"CHAP", b"chapter-" + number + b"\0" + times + named)

    frames = frame(b"CTOC", b"contents\0\x03\x02chapter-1\0chapter-2\0")
    frames += chapter(b"1", 0, 1500, b"C") + chapter(b"2", 1500, 2000, b"D")
    assert made == b"ID3\x03\0\0" + syncsafe(len(frames)) + frames + b"\xff\xfb"


@pytest.mark.parametrize(
    ("number", "coded"),
    [(0, "00 00 00 00"), (127, "00 00 00 7F"), (128, "00 00 01 00"), (257, "00 00 02 01")],
)
def test_a_size_has_seven_bits_a_byte(number: int, coded: str) -> None:
    """257 is the standard's own example (section 3.1)."""
    assert syncsafe(number) == bytes.fromhex(coded)


def test_a_size_beyond_28_bits_is_refused() -> None:
    with pytest.raises(ValueError, match="28 bits"):
        syncsafe(1 << 28)


def test_an_empty_text_has_no_frame(sound: bytes) -> None:
    made = tagged(sound, {"TIT2": "Low tide", "TPE1": "", COMMENT: ""})
    assert set(ID3(io.BytesIO(made))) == {"TIT2"}
    assert tagged(sound, {"TIT2": ""}) == sound


def test_what_no_text_can_hold_does_no_harm(sound: bytes) -> None:
    made = tagged(sound, {"TIT2": "Low\0tide\ud800", "TPE1": "Choir"})
    found = ID3(io.BytesIO(made))
    assert found["TIT2"].text == ["Low tide?"] and found["TPE1"].text == ["Choir"]


def test_an_unknown_frame_is_refused() -> None:
    with pytest.raises(ValueError, match="TXXX"):
        tagged(b"", {"TXXX": "x"})
