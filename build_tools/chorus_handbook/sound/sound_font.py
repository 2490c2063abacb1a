"""Makes tones from the chorus's own sound font, which FluidSynth plays, and tunes each exactly. No
other module imports pyfluidsynth.

FluidSynth is a C library that reads a file of unknown origin, so it runs in a process with limits
(`worker`), which calls `play`. Tones of sound fonts are often some cents out of tune. Because
singers listen for pure intervals, each tone is measured and retuned.
"""

from __future__ import annotations

import base64
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chorus_handbook import worker
from chorus_handbook.cache import Cache
from chorus_handbook.dependencies import SOUND
from chorus_handbook.pitch import hertz, named
from chorus_handbook.sound.tone import RATE, longest, resampled, shaped
from chorus_handbook.sound.tone_measures import cents_sharp

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

_LIMITS = worker.Limits(seconds=30)
#: Tones held in memory while tracks are made: about a megabyte each.
_CACHED_TONES = 64
#: Samples a second at which FluidSynth plays: three times ours.
_PLAYED_RATE = 3 * RATE
#: The velocity of every note, 127 being the loudest.
_VELOCITY = 90
#: The gain with which FluidSynth plays a note first, and the highest gain.
_GAIN, _MOST_GAIN = 1.0, 10.0
#: If the peak is below the first or above the last of these, the note is played once more, with a
#: gain that brings the peak to the one in the middle.
_QUIET, _TARGET_PEAK, _CLIPPED = 0.3, 0.7, 0.98
#: The most programs that a hint lists.
_MOST_LISTED = 12
#: A note whose peak lies below this is silent.
_SILENT = 1e-3
#: A tone is audible when it first reaches this share of its peak. It is cut to begin this many
#: seconds before that.
_AUDIBLE, _BEFORE = 0.1, 0.005

_INSTALL = (
    'Install FluidSynth and its Python binding: pip install "chorus-handbook[sound-font]", and '
    "on Debian apt install libfluidsynth3, on a Mac brew install fluid-synth. Or delete sound_font "
    "from chorus.yml."
)
_CHOOSE_ANOTHER = (
    "Choose another font or another instrument of it, or delete sound_font from chorus.yml."
)


class SoundFontError(Exception):
    """A font cannot be played: `message` says why, `hint` what to do about it."""

    def __init__(self, message: str, hint: str = _CHOOSE_ANOTHER) -> None:
        super().__init__(message)
        self.message, self.hint = message, hint


@dataclass(frozen=True)
class SoundFontTones:
    """One instrument of a font: the file, a `digest` of its content, and the bank and program."""

    file: Path
    digest: str
    bank: int
    program: int
    cache: Cache

    @property
    def name(self) -> str:
        """A text that identifies everything on which the tones depend, for cache keys."""
        return f"font {SOUND.version()} {self.digest} {self.bank} {self.program}"

    def tone(self, midi: float) -> Samples:
        """The tone of a MIDI note number, fractions included, in the form of `tone.tone`. Raises
        SoundFontError."""
        key = min(max(round(midi), 0), 127)
        sound, off = _samples(self, key)
        return shaped(resampled(sound, 100 * (midi - key) - off), midi)

    def played(self, key: int) -> bytes:
        """The MIDI note `key` as the font sounds it: 16-bit samples, `RATE` a second, played or
        from the cache. Raises SoundFontError."""
        cache_key = Cache.key("font tone", self.name, str(key))
        cached = self.cache.get(cache_key)
        if cached is None:
            cached = self._played(key)
            self.cache.put(cache_key, cached)
        return cached

    def _played(self, key: int) -> bytes:
        request = {
            "file": str(self.file),
            "digest": self.digest,
            "bank": self.bank,
            "program": self.program,
            "key": key,
            "seconds": longest() + 1,
        }
        try:
            found = worker.call(f"{__name__}:play", request, _LIMITS, needs=["numpy"])
        except worker.WorkerError as error:
            raise SoundFontError(f"The sound font {error}.") from error
        if "install" in found:
            raise SoundFontError(
                f"The program that plays sound fonts is not installed: {found['install']}", _INSTALL
            )
        if "error" in found:
            raise SoundFontError(found["error"], found.get("hint", _CHOOSE_ANOTHER))
        return base64.b64decode(found["samples"])


@lru_cache(maxsize=_CACHED_TONES)
def _samples(font: SoundFontTones, key: int) -> tuple[Samples, float]:
    """The MIDI note `key` as the font sounds it, and by how many cents it is sharp (negative:
    flat)."""
    import numpy as np

    sound = np.frombuffer(font.played(key), dtype="<i2") / 32768
    return sound, cents_sharp(sound, RATE, hertz(key))


def open_font(file: Path, bank: int, program: int, cache: Cache) -> SoundFontTones:
    """An instrument of a font's file. Raises SoundFontError if the file cannot be read."""
    try:
        with file.open("rb") as opened:
            digest = sha256(opened.read()).hexdigest()
    except OSError as error:
        raise SoundFontError("The sound font cannot be read.") from error
    return SoundFontTones(file, digest, bank, program, cache)


# What follows runs in the other process.


def play(request: dict[str, Any]) -> dict[str, str]:
    """Play one note. Returns its `samples` (16 bit, `RATE` a second, in base64), or an `error` and
    a `hint`, or, where FluidSynth is missing, the reason under `install`."""
    import numpy as np

    try:
        synth = _synth(request["file"], request["digest"])
    except (ImportError, OSError, AttributeError) as error:
        return {"install": f"{error}"}
    if synth.font < 0:
        return {"error": "The sound font is damaged: FluidSynth cannot read it."}
    bank, program = request["bank"], request["program"]
    if synth.player.program_select(0, synth.font, bank, program) != 0:
        return {
            "error": f"The sound font has no instrument with the number {program} "
            f'("program") in bank {bank}.',
            "hint": f"Write the numbers of an instrument that it has. {_listed(synth.programs())}",
        }
    gain = _GAIN
    sound = synth.note(request["key"], request["seconds"], gain)
    peak = float(np.abs(sound).max())
    if peak < _SILENT:
        return {
            "error": f"This instrument of the sound font has no sound at {named(request['key'])}."
        }
    if not _QUIET <= peak <= _CLIPPED:
        # A clipped sound does not tell how loud it really is, so it is played much more softly.
        gain = min(gain / 8 if peak > _CLIPPED else gain * _TARGET_PEAK / peak, _MOST_GAIN)
        sound = synth.note(request["key"], request["seconds"], gain)
    sound = _trimmed(sound)
    samples = np.round(resampled(sound, 0, RATE / _PLAYED_RATE) * 32767).clip(-32768, 32767)
    return {"samples": base64.b64encode(samples.astype("<i2").tobytes()).decode()}


def _listed(programs: list[str]) -> str:
    """A sentence that lists the programs of a font."""
    if not programs:
        return "There is none in banks 0 and 128."
    more = len(programs) - _MOST_LISTED
    return (
        f"There are {', '.join(programs[:_MOST_LISTED])}{f' and {more} more' if more > 0 else ''}."
    )


def _trimmed(sound: Samples) -> Samples:
    """The sound without the silence before it, faded at its end."""
    import numpy as np

    loud = np.abs(sound)
    first = int(np.argmax(loud > _AUDIBLE * loud.max()))
    trimmed = sound[max(first - round(_BEFORE * _PLAYED_RATE), 0) :].copy()
    # A tone of a font may never end; cut without a fade, it would click.
    fade = min(_PLAYED_RATE // 2, len(trimmed))
    trimmed[-fade:] *= np.linspace(1, 0, fade)
    return trimmed


class _Synth:
    """FluidSynth with one font; `font` is negative if the file cannot be read."""

    def __init__(self, file: str) -> None:
        import fluidsynth

        self.player = fluidsynth.Synth(
            samplerate=float(_PLAYED_RATE),
            **{
                "synth.dynamic-sample-loading": 1,  # load only the samples of one instrument
                "synth.reverb.active": 0,
                "synth.chorus.active": 0,
            },
        )
        self.font = self.player.sfload(file)

    def __del__(self) -> None:
        player = getattr(self, "player", None)  # none where FluidSynth is not installed
        if player is not None:
            player.delete()

    def note(self, key: int, seconds: float, gain: float) -> Samples:
        """A MIDI note held for `seconds`, both channels mixed into one."""
        import numpy as np

        self.player.setting("synth.gain", gain)
        self.player.all_sounds_off(0)
        # Discard a tenth of a second, in which the last note ends.
        self.player.get_samples(_PLAYED_RATE // 10)
        self.player.noteon(0, key, _VELOCITY)
        both = np.asarray(self.player.get_samples(round(seconds * _PLAYED_RATE)), dtype=np.float64)
        self.player.noteoff(0, key)
        made: Samples = both.reshape(-1, 2).mean(axis=1) / 32768
        return made

    def programs(self) -> list[str]:
        """The instruments in the usual banks, as a hint lists them."""
        return [
            f"{program} in bank {bank} ({name})"
            for bank in (0, 128)
            for program in range(128)
            if (name := self.player.sfpreset_name(self.font, bank, program))
        ]


@lru_cache(maxsize=1)
def _synth(file: str, _digest: str) -> _Synth:
    """FluidSynth with the font that was played last. The digest is an argument so that a changed
    file is loaded again."""
    return _Synth(file)
