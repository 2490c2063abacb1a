"""Checks that the sound font which chorus.yml names exists, and that its first bytes are those of a
sound font.

A sound font is a file with recorded instruments. Whether the chosen instrument can be used is found
out later, when its tones are made (`sound/sound_font.py`).
"""

from __future__ import annotations

from pathlib import Path

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.problems import Problem
from chorus_handbook.source import Document
from chorus_handbook.source.named_files import NamedFileError, NamedFileKind, locate

#: The folder of the handbook in which sound fonts lie.
FOLDER = "sounds"
#: The largest sound font in bytes. A file with one good piano is smaller.
LARGEST = 256 * 1024 * 1024
#: A sound font is a RIFF file of the form sfbk: these are bytes 1 to 4 and 9 to 12 (SoundFont
#: Technical Specification 2.04, section 4).
_BEGINS, _FORM = b"RIFF", b"sfbk"
#: How many bytes these first fields of a RIFF file have.
_HEAD = 12
KIND = NamedFileKind(
    "sound font",
    "file",
    FOLDER,
    (".sf2", ".sf3"),
    ".sf2 or .sf3",
    "Name a SoundFont 2 file (.sf2, or .sf3 where its sounds are compressed).",
)


def font_file(root: Path, name: str) -> Path:
    """The path of the sound font that chorus.yml calls `name`, in the handbook's folder `root`.
    Raises NamedFileError."""
    return locate(root, name, KIND)


def check_sound_font(root: Path, chorus: Chorus, document: Document) -> list[Problem]:
    """Report a sound font that is missing or too large, or a file that is not a sound font. The
    `document` is chorus.yml."""
    if chorus.sound_font is None:
        return []
    place = document.place_of("sound_font", "file")
    try:
        file = font_file(root, chorus.sound_font.file)
        with file.open("rb") as opened:
            head = opened.read(_HEAD)
        size = file.stat().st_size
    except NamedFileError as error:
        code = "file-missing" if error.missing else "sound-font"
        return [Problem(place, code, error.message, error.hint)]
    except OSError:
        return [
            Problem(
                place,
                "file-missing",
                "The sound font cannot be opened.",
                "Change the file's permissions so that your user can read it.",
            )
        ]
    if not (head.startswith(_BEGINS) and head.endswith(_FORM)):
        return [
            Problem(
                place,
                "sound-font",
                "The file named here is not a sound font.",
                "Unpack it if it is still packed, or download it again; it may be incomplete.",
            )
        ]
    if size > LARGEST:
        return [
            Problem(
                place,
                "file-size",
                f"The sound font is larger than {LARGEST // 1024 // 1024} MB.",
                "Choose a smaller one; a single piano is enough.",
            )
        ]
    return []
