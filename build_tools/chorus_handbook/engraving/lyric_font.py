"""The paths of the font for lyrics, which every site contains, and of its licence.
`make_lyric_font` made both files.
"""

from __future__ import annotations

from pathlib import Path

#: The family's name in drawings and style sheets.
FAMILY = "Handbook Lyrics"
#: The font as WOFF2.
FONT_FILE = Path(__file__).with_name("lyrics.woff2")
#: Copyright and licence (SIL Open Font License 1.1), to be published beside the font.
LICENCE_FILE = Path(__file__).with_name("lyrics-licence.txt")
