"""The font of the lyrics, which goes out with every site, and its licence.

Both are files beside this module; `make_lyric_font` made them.
"""

from __future__ import annotations

from pathlib import Path

#: The family's name in drawings and style sheets.
FAMILY = "Handbook Lyrics"
#: The font as WOFF2.
FONT_FILE = Path(__file__).with_name("lyrics.woff2")
#: Copyright and licence (SIL Open Font License 1.1), to be published beside the font.
LICENCE_FILE = Path(__file__).with_name("lyrics-licence.txt")
