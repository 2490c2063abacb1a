"""The HTML of the score in a page: the drawings in all keys, and the sprite of glyphs they share.

The first key is shown even without scripts and in print. The others are in <template> elements,
which a browser does not show and in which it finds no ids. When a reader chooses another key,
`browser/keys.js` puts the content of its <template> in place of the score that is shown.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import pgettext
from chorus_handbook.engraving.engraved import NOTES_IN_WORDS, BassClef, Engraved, sprite
from chorus_handbook.pages import words
from chorus_handbook.pages.html import before_paint, render
from chorus_handbook.pages.starts import Starts

#: The two attributes that end with the suffix of a drawing (group 2 is their value): the id of an
#: element, and `data-suffix`, which states the suffix.
_SUFFIXED = re.compile(r'( id="|data-suffix=")([^"]*)')

#: The width and height of a drawing, in CSS pixels.
_SIZE = re.compile(r' width="(\d+)" height="(\d+)"')
#: A score for phones that is taller than this (in CSS pixels) is shown smaller there, so that a
#: reader who scrolls by one screen sees where "How to run it" begins. Our choice.
TALL = 850
#: On paper, "How to run it" stands beside a narrow, high score instead of below it: the greatest
#: width and the least height of such a score, in CSS pixels. Our choice.
_BESIDE_WIDEST, _BESIDE_LOWEST = 575, 500


def score_figure(drawn: Sequence[Engraved], starts: Starts) -> Markup:
    """The score in all keys, each with the pitch to give and the starting notes.

    Each key has a wide drawing and, if that does not fit a phone, a narrow one. The style sheet
    shows one of the two, so that the choice needs no script.
    """
    first, *further = drawn
    has_narrow = any(one.narrow for one in _in_all_clefs(drawn))
    tall = any(_size(one.narrow)[1] > TALL for one in _in_all_clefs(drawn) if one.narrow)
    classes = "hb-figure" + " hb-two" * has_narrow + " hb-tall" * tall
    figure = Markup(
        '<figure class="{}" data-key="{}"{}>{}{}{}<div class="hb-drawings">{}{}</div></figure>'
    ).format(
        *(classes, first.tonic, _bass_voices(first), before_paint(), _sprite(drawn), starts.signs),
        *(_drawings(first, has_narrow), starts.caption(first.tonic)),
    )
    templates = Markup().join(
        Markup('<template data-key="{}">{}{}</template>').format(
            one.tonic, _drawings(one, has_narrow), starts.caption(one.tonic)
        )
        for one in further
    )
    return figure + templates


def _in_all_clefs(drawn: Sequence[Engraved]) -> Iterator[Engraved | BassClef]:
    """The drawings of all keys; after each, the drawings of that key in bass clef, if there are
    any."""
    for one in drawn:
        yield one
        if one.bass:
            yield one.bass


def _size(svg: str) -> tuple[int, int]:
    """Width and height in CSS pixels."""
    found = _SIZE.search(svg)
    assert found, "drawings state their size"
    return int(found[1]), int(found[2])


def _bass_voices(engraved: Engraved) -> Markup:
    """The voices for which `browser/playback_choices.js` shows the drawings in bass clef."""
    if engraved.bass is None:
        return Markup()
    return Markup(' data-bass="{}"').format(" ".join(engraved.bass.voices))


def _sprite(drawn: Iterable[Engraved]) -> Markup:
    """The glyphs that the drawings refer to, as SVG symbols."""
    symbols: dict[str, str] = {}
    for engraved in drawn:
        symbols.update(engraved.symbols)
    return Markup(sprite(dict(sorted(symbols.items()))))


def _drawings(engraved: Engraved, has_narrow: bool) -> Markup:
    """The score in one key, in treble clef and, if some voices read bass clef, in that as well."""
    if engraved.bass is None:
        return _layouts(engraved, has_narrow)
    return Markup('<div class="hb-treble-clef">{}</div><div class="hb-bass-clef">{}</div>').format(
        _layouts(engraved, has_narrow), _layouts(engraved.bass, has_narrow)
    )


def _layouts(engraved: Engraved | BassClef, has_narrow: bool) -> Markup:
    """The wide drawing and, if any key has a narrow one (`has_narrow`), also a narrow drawing."""
    width, height = _size(engraved.wide)
    beside = width <= _BESIDE_WIDEST and height >= _BESIDE_LOWEST
    classes = "hb-wide hb-beside" if beside else "hb-wide"
    drawings = Markup('<div class="{}">{}</div>').format(classes, Markup(engraved.wide))
    if engraved.legend:
        drawings = Markup('<p class="hb-legend">{}</p>').format(engraved.legend) + drawings
    if has_narrow:
        narrow = Markup(engraved.narrow or _renamed(engraved.wide))
        drawings += Markup('<div class="hb-narrow">{}</div>').format(narrow)
    return drawings


def _renamed(wide: str) -> str:
    """A copy of a wide drawing for use as the narrow one, when it fits a phone in this key but not
    in every key. Its ids are changed, so that each occurs once in the page."""
    return _SUFFIXED.sub(r"\1\2.n", wide)


def in_words(first: Engraved) -> Markup:
    """All notes of the score in words, in a section that is folded at first. They are in the first
    key; `browser/notes_in_words.js` puts them into the key that is shown."""
    words = first.words
    if words is None:
        return Markup()
    return render(
        "exercise_notes.html",
        id=NOTES_IN_WORDS,
        key=first.tonic,
        pitches=" ".join(words.pitches),
        title=words.title,
        about=" ".join(words.about),
        lines=[
            (line.singers, line.octaves, [(label, Markup(text)) for label, text in line.bars])
            for line in words.lines
        ],
    )


def key_chooser(drawn: Sequence[Engraved]) -> Markup:
    """The list from which a reader chooses the key; empty when there is only one. It is hidden
    until a script makes it work. It leaves out the mode, for which a phone has no room beside the
    other controls; the line under the score names it."""
    if len(drawn) < 2:
        return Markup()
    options = Markup().join(
        Markup('<option value="{}">{}</option>').format(one.tonic, words.note(one.tonic.letter))
        for one in drawn
    )
    return Markup(
        '<label class="hb-chooser" hidden><span>{}</span> '
        '<select name="key" autocomplete="off">{}</select></label>'
        '<span class="hb-unseen" role="status"></span>'
    ).format(pgettext("of music", "Key"), options)
