"""Makes the font for lyrics that the package contains. Run it with `python -m`; it needs the extra
`test`.

verovio spaces syllables for a font with the widths of Times, so a site must have such a font.
STIXGeneral has these widths to within one percent, and matplotlib contains it. Its licence, the SIL
Open Font License 1.1, allows a part of it to be shipped under another name if copyright and licence
stay in the file.
"""

from __future__ import annotations

import io
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

from chorus_handbook.engraving.lyric_font import FAMILY, FONT_FILE, LICENCE_FILE

#: The font file in matplotlib's folder, and the file with its licence beside it.
_FILE = "mpl-data/fonts/ttf/STIXGeneral.ttf"
_FONT_LICENCE = "LICENSE_STIX"
#: The licence text inside the font that we make.
_LICENCE = (
    "This Font Software is licensed under the SIL Open Font License, Version 1.1, available at "
    "https://openfontlicense.org. It is a part of a font by the STI Pub Companies, renamed."
)
#: Latin, Latin-1, Latin Extended-A, dashes, quotation marks, the ellipsis, the undertie, and the
#: vowels and consonants of the phonetic alphabet.
_CHARACTERS = [
    *range(0x20, 0x7F),
    *range(0xA0, 0x180),
    *range(0x250, 0x2B0),
    *(0x2C8, 0x2D0, 0x2010, 0x2011, 0x2013, 0x2014, 0x2018, 0x2019, 0x201A, 0x201C, 0x201D, 0x201E),
    *(0x2026, 0x203F),
]


def make() -> tuple[bytes, bytes]:
    """The font as WOFF2, and its licence: the file that came with it, and what was changed."""
    text = _source().with_name(_FONT_LICENCE).read_text(encoding="utf-8")
    about = (
        f'The font "{FAMILY}" (lyrics.woff2) is a modified version: a part of STIXGeneral as it is '
        "distributed\nwith matplotlib, renamed. What follows came with that font."
    )
    return _subset(_source()), f"{about}\n\n{text}".encode()


def _source() -> Path:
    """The font file inside matplotlib, found without importing it."""
    spec = find_spec("matplotlib")
    assert spec is not None and spec.origin is not None, "the extra `test` asks for matplotlib"
    return Path(spec.origin).parent / _FILE


def _subset(path: Path) -> bytes:
    font = TTFont(path, recalcTimestamp=False)
    options = Options(
        drop_tables=["FFTM"],
        # no ligatures: the engraver computes widths letter by letter
        layout_features=["kern", "ccmp", "mark", "mkmk"],
        name_IDs=[0, 13, 14],
        notdef_outline=True,
    )
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=_CHARACTERS)
    subsetter.subset(font)
    _rename(font)
    font.flavor = "woff2"
    written = io.BytesIO()
    font.save(written, reorderTables=True)
    return written.getvalue()


def _rename(font: Any) -> None:
    """Give the font its new name, and a licence text that says that it was changed. The original
    copyright text stays."""
    names = font["name"]
    plain = FAMILY.replace(" ", "")
    # the numbers of the names in the font's name table (OpenType: 1 family, 2 style, 3 unique name,
    # 4 full name, 6 PostScript name, 13 licence, 14 address of the licence)
    for name, text in (
        (1, FAMILY),
        (2, "Regular"),
        (3, plain),
        (4, FAMILY),
        (6, plain),
        (13, _LICENCE),
        (14, "https://openfontlicense.org"),
    ):
        names.setName(text, name, 3, 1, 0x409)  # for Windows, in Unicode, in English


if __name__ == "__main__":
    for file, content in zip((FONT_FILE, LICENCE_FILE), make(), strict=True):
        file.write_bytes(content)
