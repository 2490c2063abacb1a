"""When an exercise is adopted from another handbook: finds, for each word of that handbook's
vocabulary that it uses, the word of ours that means the same, and adds those that ours lacks. Words
are goals, manners of sounding, formations, cautions and actions.

Two words match if they have the same name or label. Two goals also match if one vocabulary lists
the name or label of the other's goal among the everyday words for its own; two cautions, if they
have the same text; two formations, if they have the same diagram.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from chorus_handbook.chorus.model import Caution, Formation, Model, Vocabulary
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.draft import in_yaml
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.source.field_editor import FieldEditor

#: The tables of a vocabulary, and what messages call one of their words.
TABLES: Mapping[str, str] = {
    "goals": "goal",
    "soundings": "manner of sounding",
    "formations": "formation",
    "cautions": "caution",
    "actions": "action",
}


@dataclass(frozen=True, slots=True, order=True)
class Word:
    """A word of a vocabulary: the table that defines it, and its name there."""

    table: str
    name: str

    def __str__(self) -> str:
        return f'the {TABLES[self.table]} "{self.name}"'


def words_of(front: FrontMatter, vocabulary: Vocabulary) -> list[Word]:
    """All words of the vocabulary that an exercise uses, including cautions that the vocabulary
    adds to it by itself."""
    names: dict[str, list[str]] = {
        "goals": front.goals,
        "soundings": [front.sounding],
        "formations": [front.formation] if front.formation else [],
        "cautions": list(cautions_for(front, vocabulary)),
        "actions": front.actions,
    }
    return [Word(table, name) for table, found in names.items() for name in dict.fromkeys(found)]


def match_word(word: Word, theirs: Vocabulary, ours: Vocabulary) -> str | None:
    """The name in our vocabulary of a word of the other vocabulary; None if no word or several
    words match."""
    known: Mapping[str, Model] = getattr(ours, word.table)
    if word.name in known:
        return word.name
    meant: Model = getattr(theirs, word.table)[word.name]
    for matches in (
        {name for name, one in known.items() if _label(one) == _label(meant)},
        set(_by_everyday_words(word, meant, ours, theirs)) & known.keys(),
        {name for name, one in known.items() if _diagram(one) and _diagram(one) == _diagram(meant)},
    ):
        if len(matches) == 1:
            return matches.pop()
    return None


def _label(one: Model) -> str:
    """The label of a word, or the text of a caution, in small letters."""
    text = one.text if isinstance(one, Caution) else str(getattr(one, "label", ""))
    return text.casefold()


def _diagram(one: Model) -> str:
    """The name of the diagram of a formation; empty for other words."""
    return one.diagram if isinstance(one, Formation) else ""


def _by_everyday_words(
    word: Word, meant: Model, ours: Vocabulary, theirs: Vocabulary
) -> Iterator[str]:
    """The names of those goals of ours that match a goal of the other vocabulary by everyday words:
    one of our everyday words for our goal is the name or label of theirs, or one of their everyday
    words for their goal is the name or label of ours."""
    if word.table != "goals":
        return
    called = {_plain(word.name), _label(meant)}
    for text, pages in ours.words.items():
        if _plain(text) in called:
            yield from (page.partition("/")[2] for page in pages if page.startswith("goals/"))
    leading = {_plain(t) for t, pages in theirs.words.items() if f"goals/{word.name}" in pages}
    for name, goal in ours.goals.items():
        if {_plain(name), _label(goal)} & leading:
            yield name


def _plain(text: str) -> str:
    """A text in the form in which everyday words and names are compared: in small letters, with
    spaces instead of hyphens."""
    return " ".join(text.casefold().replace("-", " ").split())


def add_words(
    text: str, words: Mapping[Word, str], theirs: Vocabulary, names: Mapping[Word, str]
) -> str:
    """The `text` of our vocabulary.yml with words of the other vocabulary added. `words` maps each
    of them to its name in ours. `names` maps words of the other vocabulary to the names that they
    have in ours already; with it, the cautions that an added word names are renamed."""
    fields = FieldEditor(text)
    for word, name in words.items():
        one: Model = getattr(theirs, word.table)[word.name]
        data = one.model_dump(mode="json", exclude_defaults=True)
        if "cautions" in data:
            own = [names.get(Word("cautions", c), c) for c in data["cautions"]]
            data["cautions"] = list(dict.fromkeys(own))
        fields.add_entry(word.table, name, {field: _yaml(v) for field, v in data.items()})
    return fields.text


def _yaml(value: object) -> str:
    """A field's value as YAML on one line."""
    if isinstance(value, list):
        return f"[{', '.join(map(str, value))}]"
    if isinstance(value, bool):
        return str(value).lower()
    return str(value) if isinstance(value, int) else in_yaml(str(value))
