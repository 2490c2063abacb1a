"""`handbook import`: makes an exercise from a file in ABC or MusicXML.

Fields that can be read from the file or measured are filled in. The others are taken from options
of the command, or get a placeholder, which `handbook check` reports until the author replaces it.
"""

from __future__ import annotations

import argparse
import re
import sys
from dataclasses import dataclass
from pathlib import Path

from chorus_handbook import report
from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.chorus.model import IMPACT_WORDS, Chorus, Vocabulary
from chorus_handbook.commands.files import write_new
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.questions import add_flags, flags_only
from chorus_handbook.entries.draft import exercise_text, in_yaml
from chorus_handbook.entries.model import EXERCISE, MOST_PASSES, Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.abc.import_text import Tunes, read_header, split_tunes
from chorus_handbook.music.measure import measure
from chorus_handbook.music.musicxml.adopt import adopt
from chorus_handbook.music.musicxml.container import FOLDER, PACKED, PLAIN, read_score
from chorus_handbook.music.musicxml.parse import ScoreFileError
from chorus_handbook.music.musicxml.reader import read_document
from chorus_handbook.music.score import LEADER, Score
from chorus_handbook.pitch import Pitch, named
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import read_text
from chorus_handbook.source.names import as_name

SUMMARY = "Make an exercise from a score: a MusicXML file of any notation editor, or ABC"

ABC = ".abc"
#: Beats a minute where the file names no tempo.
_USUAL_TEMPO = 84
#: The most characters of a title.
_LONGEST_TITLE = 80


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, help="the score: .musicxml, .mxl or .abc")
    parser.add_argument(
        "--part",
        action="append",
        default=[],
        metavar="NAME=WHO",
        help='who sings a part of the file: --part "Women=soprano+alto"; may be given repeatedly',
    )
    parser.add_argument(
        "--tune",
        metavar="NUMBER",
        help="which tune of an ABC file with several, by the number in its X:; else the first",
    )
    add_flags(parser)


@dataclass(frozen=True, slots=True)
class _ImportedScore:
    """A score file that was read.

    title, tempo: as the file states them; `tempo` in beats a minute, None if it states none.
    tonic: the tonic of the key in which the file is written.
    fence: for ABC, the notation to write in the exercise's page, as a Markdown code block.
    document: for MusicXML, the content of the file to write in the folder `scores`.
    remark: a sentence to print about the import.
    """

    score: Score
    title: str
    tempo: int | None
    tonic: Pitch
    fence: str = ""
    document: bytes = b""
    remark: str = ""


def run(project: Project, options: argparse.Namespace) -> int:
    root = project.root
    config, problems = read_chorus_config(root)
    if config.vocabulary is None or config.chorus is None:
        print(report.as_text(problems), file=sys.stderr)
        print("handbook import: fix the files named above first.", file=sys.stderr)
        return 1
    known = flags_only(options, config.vocabulary)
    suffix = options.file.suffix.lower()
    if suffix not in (*PLAIN, PACKED, ABC):
        raise WrongUsageError(
            f'"{options.file}" is not a .musicxml, .mxl or .abc file. Export the score '
            "from the notation editor as MusicXML"
        )
    if options.file.exists() and not options.file.is_file():
        raise WrongUsageError(f'"{options.file}" is not a file; name a score')
    if suffix == ABC and options.part:
        raise WrongUsageError("--part is for MusicXML; in ABC, write who sings after V:")
    if suffix != ABC and options.tune is not None:
        raise WrongUsageError("--tune is for ABC; a MusicXML file holds one score")
    read = _read_abc_file if suffix == ABC else _read_musicxml
    imported, problems = read(options, config.chorus)
    if imported is None:
        print(report.as_text(problems), file=sys.stderr)
        if read is _read_musicxml and any(problem.code == "notation-voice" for problem in problems):
            print('Or say here who sings a part: --part "Women=soprano+alto"', file=sys.stderr)
        print("handbook import: nothing was written.", file=sys.stderr)
        return 1
    title = known["title"] or imported.title[:_LONGEST_TITLE] or options.file.stem
    slug = as_name(title)
    if not slug:
        raise WrongUsageError(
            'the title of the score has no letters; give it one with --title "..."'
        )
    score_name = f"{FOLDER}/{slug}.musicxml" if imported.document else ""
    fields = _fields(known, title, imported, score_name, config.chorus, config.vocabulary)
    files = {root / EXERCISE.page(slug): exercise_text(fields, imported.fence).encode()}
    if score_name:
        files[root / score_name] = imported.document
    write_new(files, "give another --title")
    _summarise(fields, imported)
    for path in files:
        print(path)
    return 0


def _read_musicxml(
    options: argparse.Namespace, chorus: Chorus
) -> tuple[_ImportedScore | None, list[Problem]]:
    """Read a MusicXML file. Returns the score and no problems, or None and the problems."""
    try:
        adopted = adopt(read_score(options.file), _parts(options.part))
    except ScoreFileError as error:
        place = error.place(options.file.name)
        return None, [Problem(place, error.code, error.message, error.hint)]
    score, problems = read_document(adopted.document, options.file.name, chorus, ())
    if score is None or score.file is None:
        return None, problems
    known = adopted.title, adopted.tempo, score.file.tonic
    imported = _ImportedScore(score, *known, document=adopted.document, remark=adopted.remark)
    return imported, []


def _parts(given: list[str]) -> dict[str, str]:
    """Read --part: maps the name of each part to those who sing it. Raises WrongUsageError."""
    names: dict[str, str] = {}
    for text in given:
        name, equals, who = text.partition("=")
        if not equals or not name.strip() or not who.strip():
            raise WrongUsageError(
                f'--part "{text}": write the name, = and who sings it, such as "Women=soprano"'
            )
        names[name.strip()] = who.strip()
    return names


def _read_abc_file(
    options: argparse.Namespace, chorus: Chorus
) -> tuple[_ImportedScore | None, list[Problem]]:
    """Read a file in ABC notation. Returns the tune that was asked for and no problems, or None and
    the problems."""
    text, problems = read_text(options.file, options.file.name)
    if text is None:
        return None, problems
    line, music, remark = _choose_tune(split_tunes(text), options.tune)
    place = Place(options.file.name, line)
    header, wrong = read_header(music, place)
    if header is None:
        return None, wrong
    notation = Notation("abc", music, place)
    score, problems = read_abc(notation, chorus, tuple(chorus.voices))
    if score is None:
        return None, problems
    tempo = header.tempo(score.meter)
    fence = f"\n```abc\n{header.music}\n```\n"
    return _ImportedScore(score, header.title, tempo, header.tonic, fence, remark=remark), []


def _choose_tune(file: Tunes, number: str | None) -> tuple[int, str, str]:
    """The tune with this number in its field X:, or without a number the first one. Returns the
    number of its first line, its text, and a remark if the file has other tunes."""
    numbers = file.numbers
    if number is not None and number not in numbers:
        known = ", ".join(name for name in numbers if name) or "none"
        raise WrongUsageError(
            f"no tune in the file has the number {number} (a line X:{number}); the numbers are "
            f"{known}"
        )
    chosen = numbers.index(number) if number is not None else 0
    line, text = file.tunes[chosen]
    if len(numbers) == 1 or number is not None:
        return line, text, ""
    others = ", ".join(dict.fromkeys(name for name in numbers[1:] if name))
    remark = f"There are {len(numbers)} tunes in the file; the first is taken."
    return line, text, remark + (f" For another: --tune and its number ({others})." * bool(others))


def _fields(
    known: dict[str, object],
    title: str,
    imported: _ImportedScore,
    score_name: str,
    chorus: Chorus,
    vocabulary: Vocabulary,
) -> dict[str, str]:
    """The fields of the new exercise as YAML text, keyed by name. A field that only the author can
    fill in has no value, but a comment that says what belongs there."""
    tempo = imported.tempo or _USUAL_TEMPO
    facts = measure("", imported.score, tempo=tempo, keys=(imported.tonic,), passes=1, lead_in=0)
    goals = known["goal"]
    impacts = ", ".join(f"{number} {word}" for number, word in IMPACT_WORDS.items())
    fields = {
        "title": in_yaml(title),
        **({"plain": in_yaml(str(known["plain"]))} if known["plain"] else {}),
        "summary": in_yaml(str(known["summary"]))
        if known["summary"]
        else " # one line that says what it is",
        "goals": f"[{', '.join(map(str, goals))}]"
        if isinstance(goals, list)
        else f"[]  # the leading one first, from: {', '.join(vocabulary.goals)}",
        "impact": str(known["impact"] or f" # how much it asks of the voice: {impacts}"),
        "sounding": str(known["sounding"] or f" # one of: {', '.join(vocabulary.soundings)}"),
        **({"level": str(known["level"])} if known["level"] else {}),
        "minutes": f"{known['minutes']:g}"
        if known["minutes"]
        else f" # with talk; one pass takes {facts.seconds_per_pass:.0f} s",
        "tempo": str(tempo) + ("" if imported.tempo else "  # a guess: the score names none"),
        "keys": f"{imported.tonic}{_comfortable_keys(imported, chorus)}",
    }
    if imported.score.verses > 1:  # a pass for each verse, so that all are heard
        fields["passes"] = str(min(imported.score.verses, MOST_PASSES))
    voices = [p.voice for p in imported.score.parts if p.voice != LEADER and p.notes]
    if voices and voices != list(chorus.voices):
        fields["voices"] = f"[{', '.join(voices)}]"
    if score_name:
        fields["score"] = score_name
    return fields


def _comfortable_keys(imported: _ImportedScore, chorus: Chorus) -> str:
    """A YAML comment for the field `keys`: between which keys the music is comfortable for all
    voices."""
    # The tempo does not matter: only the range is used.
    facts = measure("", imported.score, tempo=60, keys=(imported.tonic,), passes=1, lead_in=0)
    up, down = [], []
    for voice in facts.voices:
        singer = chorus.voices.get(voice.voice)
        if singer and voice.lowest and voice.highest:
            up.append(singer.comfortable.high - voice.highest.midi)
            down.append(voice.lowest.midi - singer.comfortable.low)
    if not up:
        return ""
    if min(up) < 0 or min(down) < 0:
        return "  # as written; at least one voice leaves its comfortable range"
    lower, higher = imported.tonic.midi - min(down), imported.tonic.midi + min(up)
    return f"  # as written; comfortable for all from {named(lower)} to {named(higher)}"


def _summarise(fields: dict[str, str], imported: _ImportedScore) -> None:
    """Print the remark about the import, and what the author still has to fill in."""
    if imported.remark:
        print(imported.remark, file=sys.stderr)
    # Fields that have only a comment, or an empty list with one.
    left = [name for name, value in fields.items() if re.match(r"(\[\])?\s+#", value)]
    if left:
        print(f"Written. Fill in the empty fields ({', '.join(left)}),", file=sys.stderr)
        print("replace the texts in [brackets], then run: handbook check", file=sys.stderr)
    else:
        print("Written. Replace the texts in [brackets], then run: handbook check", file=sys.stderr)
