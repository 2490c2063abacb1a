"""Changes the fields of an exercise that comes from another handbook. Voices and words get the
names that they have in our handbook; words without a name in ours are deleted; the origin of the
exercise is added.

"Theirs" is the other handbook, "ours" the one that gets the exercise.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from chorus_handbook.adopting.choices import Adopted, Choices, Side
from chorus_handbook.adopting.words import TABLES, Word, words_of
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.draft import in_yaml
from chorus_handbook.entries.kinds import SCORES
from chorus_handbook.music.revoicing import Revoicing
from chorus_handbook.records import Exercise
from chorus_handbook.source.field_editor import FieldEditor

#: A function that returns the new name of a word, or None to delete the word.
_Renaming = Callable[[str], str | None]


class FieldChanges:
    """Changes the fields of one exercise.

    done: the adopted exercise, whose files must be complete already. Remarks about the changes are
        added to it.
    known: a function that returns the slug in our handbook of an exercise of the other handbook;
        None if ours does not have it.
    """

    def __init__(
        self,
        exercise: Exercise,
        theirs: Side,
        ours: Side,
        choices: Choices,
        revoicing: Revoicing,
        done: Adopted,
        known: _Renaming,
    ) -> None:
        self._slug, self._front = exercise.slug, exercise.front
        self._theirs, self._ours, self._choices = theirs, ours, choices
        self._revoicing, self._done, self._known = revoicing, done, known

    def make(self, fields: FieldEditor) -> None:
        """Make all changes to the fields of the exercise. `fields` is the editor of its front
        matter."""
        front, choices = self._front, self._choices
        if title := choices.titles.get(self._slug):
            fields.replace(("title",), in_yaml(title))
        for table, name in (("goals", "goals"), ("actions", "actions"), ("cautions", "cautions")):
            self._rename_items(fields, name, partial(self._word, table))
        for table, name in (("soundings", "sounding"), ("formations", "formation")):
            if (name,) in fields:
                new = self._word(table, fields.value((name,)))
                if new is None:
                    fields.remove((name,))
                elif new != fields.value((name,)):
                    fields.replace((name,), new)
        self._change_voices(fields)
        for name in ("related", "leads_to"):
            before = list(getattr(front, name))
            lost = [slug for slug in before if self._known(slug) is None]
            self._rename_items(fields, name, self._known)
            if lost:
                self._say(
                    f'Left out of the field "{name}", because this handbook does not have them: '
                    f"{', '.join(lost)}."
                )
        for path in self._done.files:
            if path.startswith(f"{SCORES}/"):
                fields.replace(("score",), path)
        self._take_care(fields)
        # `init` converts exercises within one handbook, whose origin stays as it is.
        if self._theirs.root != self._ours.root:
            self._say_whose(fields)

    def _word(self, table: str, name: str) -> str | None:
        """The name in our vocabulary of a word in a table of the other vocabulary; None if it is
        left out."""
        new = self._choices.words.get(Word(table, name), name)
        if new != name:
            called = "left out" if new is None else f'called "{new}" here'
            self._say(f'The {TABLES[table]} "{name}" is {called}.')
        return new

    def _rename_items(self, fields: FieldEditor, name: str, new_name: _Renaming) -> None:
        """Rename the words in the list field `name`: delete those for which `new_name` returns
        None, and those that would stand there twice."""
        old = [path for path in fields.paths() if len(path) == 2 and path[0] == name]
        new = {path: new_name(fields.value(path)) for path in old}
        for number, path in reversed(list(enumerate(old))):
            to = new[path]
            if to is None or to in [new[other] for other in old[:number]]:
                fields.remove(path)
            elif to != fields.value(path):
                fields.replace(path, to)

    def _change_voices(self, fields: FieldEditor) -> None:
        """Write our voices into the fields `voices`, `round` and `tune_to`."""
        front, revoicing = self._front, self._revoicing
        if front.voices is not None and front.voices != "all":
            stated = [front.voices] if isinstance(front.voices, str) else front.voices
            ours = [v for name in stated for v in revoicing.ours_of(name) or (name,)]
            if stated != ours and any(revoicing.renamed(name) != name for name in stated):
                whole = set(ours) >= set(self._ours.chorus.voices)
                fields.replace(("voices",), "all" if whole else f"[{', '.join(ours)}]")
        for path in fields.paths():
            if path[:2] == ("round", "entries") and len(path) == 3:
                name = fields.value(path)
                if revoicing.renamed(name) != name:
                    fields.replace(path, revoicing.renamed(name))
        if front.tune_to and front.tune_to != "bass" and front.tune_to in revoicing.voices:
            fields.replace(("tune_to",), revoicing.voices[front.tune_to])

    def _take_care(self, fields: FieldEditor) -> None:
        """Keep the exercise safe: write down the cautions that the other vocabulary added by itself
        and ours does not, and raise the impact to the least that our vocabulary allows for its
        manner of sounding."""
        front, ours = self._front, self._ours.vocabulary
        needed = [
            (w.table, self._choices.words.get(w, w.name))
            for w in words_of(front, self._theirs.vocabulary)
        ]
        names = {table: [name for of, name in needed if of == table and name] for table in TABLES}
        (sounding,) = names["soundings"]
        manner = ours.soundings.get(sounding)
        impact = max(front.impact, manner.lowest_impact if manner else 1)
        if impact != front.impact:
            fields.replace(("impact",), str(impact))
            self._say(
                f"Impact raised to {impact}, the lowest that our vocabulary.yml allows for "
                f'"{sounding}".'
            )
        stated = [
            w for c in front.cautions if (w := self._choices.words.get(Word("cautions", c), c))
        ]
        update = {
            "impact": impact,
            "sounding": sounding,
            "actions": names["actions"],
            "cautions": stated,
        }
        shown = cautions_for(front.model_copy(update=update), ours)
        lacking = [
            name for name in dict.fromkeys(names["cautions"]) if name not in (*shown, *stated)
        ]
        if not lacking:
            return
        written = f"[{', '.join([*dict.fromkeys(stated), *lacking])}]"
        if ("cautions",) in fields:
            fields.replace(("cautions",), written)
        else:
            fields.append("cautions", written)
        self._say(
            "Cautions written into the file, because our vocabulary.yml would not add them: "
            f"{', '.join(lacking)}."
        )

    def _say_whose(self, fields: FieldEditor) -> None:
        """Write into its fields whose exercise it is (`origin`), and on what terms it may be used
        (`licence`): as the person who adopts it says, else as it says itself, else as the other
        chorus says of all its exercises."""
        front, chorus = self._front, self._theirs.chorus
        home = ", ".join(filter(None, (chorus.name, chorus.place)))
        origin = self._choices.origin or front.origin or home
        licence = (
            self._choices.licence or front.licence or (None if front.origin else chorus.licence)
        )
        for name, value in (("origin", origin), ("licence", licence)):
            if value and (name,) in fields:
                fields.replace((name,), in_yaml(value))
            elif value:
                fields.append(name, in_yaml(value))
        if licence is None:
            self._say(
                f"{origin} has not said on what terms others may use it: ask before you publish, "
                'and write the answer into the field "licence".'
            )

    def _say(self, remark: str) -> None:
        """Add a remark for the person who adopts the exercise, unless it was added before."""
        if remark not in self._done.remarks:
            self._done.remarks.append(remark)
