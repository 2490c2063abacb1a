"""What is said aloud, and how long it is."""

from dataclasses import replace

import pytest
from markupsafe import Markup

from chorus_handbook.claims.say import MOST_WORDS_TO_SAY, check_spoken
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.rendered import Heading, Rendered, Section
from chorus_handbook.problems import Place


@pytest.mark.parametrize(("words", "count"), [(MOST_WORDS_TO_SAY, 0), (MOST_WORDS_TO_SAY + 1, 1)])
def test_only_too_many_words_are_told(make, words, count):
    entry = make.entry()
    head = Heading(2, "say", "Say")
    section = Section(head, Markup("Say"), Markup(), (), words, Place(entry.source.path, 20))
    spoken = replace(entry, source=replace(entry.source, body=Rendered((section,))))
    problems = list(check_spoken(Subject(spoken)))
    assert [(p.code, p.place.line) for p in problems] == [("say-length", 20)] * count
