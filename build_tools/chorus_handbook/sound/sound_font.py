"""A sound font of the chorus's own: its tones, each brought to its very pitch.

FluidSynth (by pyfluidsynth, behind this one module) plays the font. It is a C library that reads a
stranger's file, so it does that in a process with limits (`worker`): `play` runs there. Fonts are
tuned by many hands, a few cents here and there; since the player is to let singers hear whether
beats stop, each tone is moved to where it belongs.
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
from chorus_handbook.sound.resample import off_by, resampled
from chorus_handbook.sound.tone import RATE, longest, shaped

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

_LIMITS = worker.Limits(seconds=30)
#: Keys held at hand while tracks are made: a megabyte each.
_MOST_TONES = 64
#: Samples a second at which FluidSynth plays: three of them become one of ours.
_PLAYED = 3 * RATE
#: How hard the key is struck, of 127.
_VELOCITY = 90
#: Loudness is set so that the peak lies between these; FluidSynth's own is cautious.
_GAIN, _MOST_GAIN, _QUIET, _WANTED, _CUT = 1.0, 10.0, 0.3, 0.7, 0.98
#: Programs that a hint lists.
_MOST_LISTED = 12
#: A tone whose loudest sample lies below this is none.
_SILENT = 1e-3
#: It begins where it first comes so near to its peak, and this many seconds sooner.
_AUDIBLE, _BEFORE = 0.1, 0.005

_INSTALL = (
    'Install FluidSynth and its Python binding: pip install "chorus-handbook[sound-font]", and '
    "on Debian apt install libfluidsynth3, on a Mac brew install fluid-synth. Or delete sound_font "
    "from chorus.yml."
)
_ANOTHER = "Choose another font or another program, or delete sound_font from chorus.yml."


class SoundFontError(Exception):
    """Why a font cannot be played, in plain words, and what to do about it."""

    def __init__(self, message: str, hint: str = _ANOTHER) -> None:
        super().__init__(message)
        self.message, self.hint = message, hint


@dataclass(frozen=True)
class Font:
    """An instrument in a font's file; `digest` names the file's content."""

    file: Path
    digest: str
    bank: int
    program: int
    cache: Cache

    @property
    def name(self) -> str:
        """Identifies all that the tones depend on."""
        return f"font {SOUND.version()} {self.digest} {self.bank} {self.program}"

    def tone(self, midi: float) -> Samples:
        """The tone of a MIDI note, or of a pitch between two, as `tone.tone` makes it. Raises
        SoundFontError."""
        key = min(max(round(midi), 0), 127)
        sound, off = _found(self, key)
        return shaped(resampled(sound, 100 * (midi - key) - off), midi)

    def played(self, key: int) -> bytes:
        """A key as the font has it, 16 bit, `RATE` samples a second, made or as it was kept. Raises
        SoundFontError."""
        stored = Cache.key("font tone", self.name, str(key))
        kept = self.cache.get(stored)
        if kept is None:
            kept = self._played(key)
            self.cache.put(stored, kept)
        return kept

    def _played(self, key: int) -> bytes:
        asked = {
            "file": str(self.file),
            "digest": self.digest,
            "bank": self.bank,
            "program": self.program,
            "key": key,
            "seconds": longest() + 1,
        }
        try:
            found = worker.call(f"{__name__}:play", asked, _LIMITS, needs=["numpy"])
        except worker.WorkerError as error:
            raise SoundFontError(f"The sound font {error}.") from error
        if "install" in found:
            raise SoundFontError(
                f"The program that plays sound fonts is not installed: {found['install']}", _INSTALL
            )
        if "fault" in found:
            raise SoundFontError(found["fault"], found.get("hint", _ANOTHER))
        return base64.b64decode(found["samples"])


@lru_cache(maxsize=_MOST_TONES)
def _found(font: Font, key: int) -> tuple[Samples, float]:
    """A key as the font has it, and by how many cents it is off."""
    import numpy as np

    sound = np.frombuffer(font.played(key), dtype="<i2") / 32768
    return sound, off_by(sound, RATE, hertz(key))


def open_font(file: Path, bank: int, program: int, cache: Cache) -> Font:
    """The instrument in a font's file. Raises SoundFontError when it cannot be read."""
    try:
        with file.open("rb") as opened:
            digest = sha256(opened.read()).hexdigest()
    except OSError as error:
        raise SoundFontError("The sound font cannot be read.") from error
    return Font(file, digest, bank, program, cache)


# What follows runs in the other process.


def play(asked: dict[str, Any]) -> dict[str, str]:
    """One key struck and held: `samples` (16 bit, `RATE` a second, base64), or a `fault` with its
    `hint`, or what there is to `install`."""
    import numpy as np

    try:
        synth = _synth(asked["file"], asked["digest"])
    except (ImportError, OSError, AttributeError) as error:
        return {"install": f"{error}"}
    if synth.font < 0:
        return {"fault": "The sound font is damaged: FluidSynth cannot read it."}
    if synth.player.program_select(0, synth.font, asked["bank"], asked["program"]) != 0:
        return {
            "fault": f"The sound font has no program {asked['program']} in bank {asked['bank']}.",
            "hint": f"Name a program and bank that it has. {_listed(synth.programs())}",
        }
    gain = _GAIN
    sound = synth.struck(asked["key"], asked["seconds"], gain)
    peak = float(np.abs(sound).max())
    if peak < _SILENT:
        return {"fault": f"The sound font has no sound at {named(asked['key'])} in this program."}
    if not _QUIET <= peak <= _CUT:
        gain = min(gain / 8 if peak > _CUT else gain * _WANTED / peak, _MOST_GAIN)
        sound = synth.struck(asked["key"], asked["seconds"], gain)
    sound = _begun(sound)
    samples = np.round(resampled(sound, 0, RATE / _PLAYED) * 32767).clip(-32768, 32767)
    return {"samples": base64.b64encode(samples.astype("<i2").tobytes()).decode()}


def _listed(programs: list[str]) -> str:
    if not programs:
        return "There is none in banks 0 and 128."
    more = len(programs) - _MOST_LISTED
    return (
        f"There are {', '.join(programs[:_MOST_LISTED])}{f' and {more} more' if more > 0 else ''}."
    )


def _begun(sound: Samples) -> Samples:
    """Without the silence before it, so that every tone is on time; faded at its end."""
    import numpy as np

    loud = np.abs(sound)
    first = int(np.argmax(loud > _AUDIBLE * loud.max()))
    begun = sound[max(first - round(_BEFORE * _PLAYED), 0) :].copy()
    # It may sound on for ever; what is cut must not be heard as a click when it is moved.
    fall = min(_PLAYED // 2, len(begun))
    begun[-fall:] *= np.linspace(1, 0, fall)
    return begun


class _Synth:
    """FluidSynth with one font; `font` is below 0 when it cannot be read."""

    def __init__(self, file: str) -> None:
        import fluidsynth

        self.player = fluidsynth.Synth(
            samplerate=float(_PLAYED),
            **{
                "synth.dynamic-sample-loading": 1,  # only what this instrument needs
                "synth.reverb.active": 0,
                "synth.chorus.active": 0,
            },
        )
        self.font = self.player.sfload(file)

    def __del__(self) -> None:
        player = getattr(self, "player", None)  # none where FluidSynth is not installed
        if player is not None:
            player.delete()

    def struck(self, key: int, seconds: float, gain: float) -> Samples:
        """A key held for so long, both channels as one."""
        import numpy as np

        self.player.setting("synth.gain", gain)
        self.player.all_sounds_off(0)
        self.player.get_samples(_PLAYED // 10)
        self.player.noteon(0, key, _VELOCITY)
        both = np.asarray(self.player.get_samples(round(seconds * _PLAYED)), dtype=np.float64)
        self.player.noteoff(0, key)
        made: Samples = both.reshape(-1, 2).mean(axis=1) / 32768
        return made

    def programs(self) -> list[str]:
        """The instruments that there are in the usual banks."""
        return [
            f"{program} in bank {bank} ({name})"
            for bank in (0, 128)
            for program in range(128)
            if (name := self.player.sfpreset_name(self.font, bank, program))
        ]


@lru_cache(maxsize=1)
def _synth(file: str, _digest: str) -> _Synth:
    """The font that was played last; the digest tells it from an earlier one of that name."""
    return _Synth(file)
