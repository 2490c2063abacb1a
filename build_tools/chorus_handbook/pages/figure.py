"""The score as it stands in a page: the drawings in every key and the one sprite of signs they
share.

The first key is live, so that it is there without scripts and in print. The others wait in
templates, whose contents a browser neither draws nor finds ids in, until `browser/keys.js` puts
one of them in the first one's place.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import pgettext
from chorus_handbook.engraving.engraved import BassClef, Engraved, sprite
from chorus_handbook.pages import words
from chorus_handbook.pages.html import before_paint
from chorus_handbook.pages.starts import Starts

#: Where ids stand in a drawing: on elements, and in the list of what names it.
_ID = re.compile(r'( id="|aria-labelledby="|(?<=-score) |(?<=-score\.b) )([^" ]+)(?=[" ])')


def score_figure(drawn: Sequence[Engraved], starts: Starts) -> Markup:
    """The score in the keys in which it was drawn, the first of them live, with what to give and
    to sing first in each. In every key there is a wide drawing and, where that does not fit a
    phone, a narrow one; the style sheet shows one of them, so that the choice needs no script."""
    first, *further = drawn
    two = any(one.narrow for one in _in_all_clefs(drawn))
    kind = "hb-figure hb-two" if two else "hb-figure"
    figure = Markup(
        '<figure class="{}" data-key="{}"{}>{}{}{}<div class="hb-drawings">{}{}</div></figure>'
    ).format(
        *(kind, first.tonic, _bass_voices(first), before_paint(), _sprite(drawn), starts.signs),
        *(_drawings(first, two), starts.caption(first.tonic)),
    )
    templates = Markup().join(
        Markup('<template data-key="{}">{}{}</template>').format(
            one.tonic, _drawings(one, two), starts.caption(one.tonic)
        )
        for one in further
    )
    return figure + templates


def _in_all_clefs(drawn: Sequence[Engraved]) -> Iterator[Engraved | BassClef]:
    for one in drawn:
        yield one
        if one.bass:
            yield one.bass


def _bass_voices(engraved: Engraved) -> Markup:
    """The voices for which `browser/playback_choices.js` shows the drawings in bass clef."""
    if engraved.bass is None:
        return Markup()
    return Markup(' data-bass="{}"').format(" ".join(engraved.bass.voices))


def _sprite(drawn: Iterable[Engraved]) -> Markup:
    symbols: dict[str, str] = {}
    for engraved in drawn:
        symbols.update(engraved.symbols)
    return Markup(sprite(dict(sorted(symbols.items()))))


def _drawings(engraved: Engraved, two: bool) -> Markup:
    if engraved.bass is None:
        return _layouts(engraved, two)
    return Markup('<div class="hb-treble-clef">{}</div><div class="hb-bass-clef">{}</div>').format(
        _layouts(engraved, two), _layouts(engraved.bass, two)
    )


def _layouts(engraved: Engraved | BassClef, two: bool) -> Markup:
    drawings = Markup('<div class="hb-wide">{}</div>').format(Markup(engraved.wide))
    if engraved.octaves:
        drawings = Markup('<p class="hb-octaves">{}</p>').format(engraved.octaves) + drawings
    if two:
        narrow = Markup(engraved.narrow or _renamed(engraved.wide))
        drawings += Markup('<div class="hb-narrow">{}</div>').format(narrow)
    return drawings


def _renamed(wide: str) -> str:
    """The wide drawing where it fits a phone in this key, though not in every key: its ids as
    those of narrow drawings, so that each is in the page once."""
    return _ID.sub(r"\1\2.n", wide)


def key_chooser(drawn: Sequence[Engraved]) -> Markup:
    """The choice of a key for the score; empty where there is but one. It stays hidden where no
    script can make it work."""
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
