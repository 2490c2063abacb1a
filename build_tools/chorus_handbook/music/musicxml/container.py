"""Finds score files in the handbook and reads them, plain (.musicxml) or packed (.mxl).

A packed file is a zip archive with a file META-INF/container.xml, which names the score in it
(MusicXML 4.0, "Compressed .mxl files"). Nothing is unpacked to the disk, and no more bytes are read
than a score may have.
"""

from __future__ import annotations

import io
import zipfile
from pathlib import Path, PurePosixPath

from chorus_handbook.entries.file_places import SCORES
from chorus_handbook.music.musicxml.parse import ScoreFileError, parse
from chorus_handbook.source import named_files
from chorus_handbook.source.named_files import NamedFileError

#: The folder of the handbook in which score files lie, and how their names end.
FOLDER = SCORES.folder
*PLAIN, PACKED = SCORES.endings
#: The largest score in bytes, packed or unpacked; no exercise needs more.
LARGEST_SCORE = 4 * 1024 * 1024
#: The most bytes of the file in an archive that names the score.
_LARGEST_CONTAINER = 64 * 1024
#: The most files in an archive.
_MOST_MEMBERS = 200
_CONTAINER = "META-INF/container.xml"
_MEDIA_TYPE = "application/vnd.recordare.musicxml+xml"
_EXPORT = "Export the score again from the notation editor."


def locate(root: Path, name: str) -> Path:
    """The path of the file that an exercise calls `name`, in the handbook's folder `root`. Raises
    ScoreFileError."""
    try:
        return named_files.locate(root, name, SCORES)
    except NamedFileError as error:
        code = "file-missing" if error.missing else "score-file"
        raise ScoreFileError(error.message, error.hint, code) from error


def read_score(file: Path) -> bytes:
    """The MusicXML text in a file, unpacked if need be. Raises ScoreFileError."""
    try:
        with file.open("rb") as opened:
            data = opened.read(LARGEST_SCORE + 1)
    except FileNotFoundError as error:
        raise ScoreFileError(
            "There is no such file.", "Check its name and its folder.", "file-missing"
        ) from error
    except OSError as error:
        raise ScoreFileError(
            f"The file cannot be opened ({str(error.strerror).lower()}).",
            "Check its permissions: you need the right to read it.",
            "file-missing",
        ) from error
    if len(data) > LARGEST_SCORE:
        raise _too_large()
    if not data.strip(b"\0 \t\r\n"):
        raise ScoreFileError("The file is empty.", _EXPORT, "file-empty")
    packed = data.startswith(b"PK")  # as every zip archive does
    if packed != (file.suffix.lower() == PACKED):
        state, ending = ("packed", ".mxl") if packed else ("not packed", ".musicxml")
        raise ScoreFileError(
            f"The file is {state}, but its name ends in {file.suffix}.",
            f'Rename the file so that it ends in "{ending}", and change its name in the exercise.',
        )
    return _unpacked(data) if packed else data


def _unpacked(data: bytes) -> bytes:
    """The MusicXML text in a packed file. Raises ScoreFileError."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if len(archive.infolist()) > _MOST_MEMBERS:
                raise ScoreFileError("The packed file contains too many files.", _EXPORT)
            return _member(archive, _score_name(archive), LARGEST_SCORE)
    except ScoreFileError:
        raise
    except Exception as error:  # each method of compression raises errors of its own
        raise ScoreFileError(
            "The packed file is damaged and cannot be unpacked.", _EXPORT
        ) from error


def _score_name(archive: zipfile.ZipFile) -> str:
    """The name of the score in a packed file. Raises ScoreFileError."""
    container = _member(archive, _CONTAINER, _LARGEST_CONTAINER)
    for element in parse(container).getroot().iter("{*}rootfile"):
        name = str(element.get("full-path", ""))
        if element.get("media-type") in (None, "", _MEDIA_TYPE):
            path = PurePosixPath(name)
            if path.is_absolute() or ".." in path.parts or "\\" in name or not name:
                raise ScoreFileError("The packed file names a score outside itself.", _EXPORT)
            return name
    raise ScoreFileError("The packed file does not say which of its files is the score.", _EXPORT)


def _member(archive: zipfile.ZipFile, name: str, most: int) -> bytes:
    """The contents of the file `name` in an archive. Raises ScoreFileError if there is no such
    file, or if it has more than `most` bytes."""
    try:
        member = archive.getinfo(name)
    except KeyError as error:
        raise ScoreFileError(
            f'The packed file does not contain "{named_files.plain(name)}".', _EXPORT
        ) from error
    with archive.open(member) as opened:
        data = opened.read(most + 1)  # the size that the archive states may be wrong
    if len(data) > most:
        raise _too_large()
    return data


def _too_large() -> ScoreFileError:
    return ScoreFileError(
        f"The score is larger than {LARGEST_SCORE // 1024 // 1024} MB.",
        "In the notation editor, export only the bars of the exercise, without sounds or pictures.",
        "file-size",
    )
