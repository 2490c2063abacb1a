"""MP3, which every browser decodes: soundfile, behind this one module."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples


class EncodingError(Exception):
    """What stands in the way, in plain words."""


def mp3(samples: Samples, rate: int, compression: float) -> bytes:
    """One channel of samples from -1 to 1 as an MP3 file. `compression` runs from 0, the best, to
    below 1, the smallest. Raises EncodingError where no encoder is installed."""
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
