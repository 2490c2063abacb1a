"""The table of fields against the models it describes."""

from dataclasses import fields

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.entries.model import Entries, FrontMatter
from chorus_handbook.music.facts import Facts, VoiceFacts
from chorus_handbook.views.fields import FIELDS

#: Facts that stand in the table under another name: `keys` is counted, the voices are named, and of
#: the difficulty it is the level that is asked for.
OTHERWISE = {"keys": "key_count", "difficulty": "level", "voices": "voices_sing"}
#: Facts of one voice that the whole exercise has as well, or that are no single number.
OF_ONE_VOICE = {"voice", "intervals", "first", "line"}
#: What search finds an exercise by, not lists.
SEARCHED = {"phrases"}


def test_every_field_of_the_front_matter_can_be_asked():
    assert set(FrontMatter.model_fields) <= set(FIELDS)


def test_every_measured_field_can_be_asked():
    assert {OTHERWISE.get(f.name, f.name) for f in fields(Facts)} - SEARCHED <= set(FIELDS)
    assert {f.name for f in fields(VoiceFacts)} - OF_ONE_VOICE <= set(FIELDS)


def test_only_notices_can_be_answered():
    known = FIELDS["answers"].known(ChorusConfig(), Entries((), (), frozenset()))
    assert "phrase-length" in known
    assert "range-claim" not in known


def test_bounds_are_those_of_the_front_matter():
    assert (FIELDS["impact"].least, FIELDS["impact"].most) == (1, 5)
    assert (FIELDS["tempo"].least, FIELDS["tempo"].most) == (20, 300)
    assert FIELDS["minutes"].most == 60


def test_every_number_has_a_least_or_comes_from_the_front_matter():
    numbers = {name for name, field in FIELDS.items() if field.kind == "number"}
    assert {n for n in numbers if FIELDS[n].least is None} <= set(FrontMatter.model_fields)
