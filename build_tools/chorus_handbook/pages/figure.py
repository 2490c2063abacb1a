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
from chorus_handbook.engraving import BassClef, Engraved, sprite
from chorus_handbook.pages import words
from chorus_handbook.pages.starts import Starts

_HEIGHT = re.compile(r'<svg [^>]*?height="(\d+)"')
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
        '<figure class="{}" data-key="{}"{}>{}{}<div class="hb-drawings" style="{}">{}{}</div>'
        "</figure>"
    ).format(
        *(kind, first.tonic, _bass_voices(first), _sprite(drawn), starts.signs),
        _room(drawn, two),
        *(_drawings(first, two), starts.caption(first.tonic)),
    )
    if not further:
        return figure
    templates = Markup().join(
        Markup('<template data-key="{}">{}{}</template>').format(
            one.tonic, _drawings(one, two), starts.caption(one.tonic)
        )
        for one in further
    )
    return figure + _chooser(drawn) + templates


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


def _room(drawn: Sequence[Engraved], two: bool) -> str:
    """The height of the tallest key, so that nothing below the score moves when the key changes."""
    clefs = list(_in_all_clefs(drawn))
    wide = max(_height(one.wide) for one in clefs)
    narrow = max(_height(one.narrow or one.wide) for one in clefs) if two else wide
    return f"--hb-wide:{wide}px;--hb-narrow:{narrow}px"


def _height(svg: str) -> int:
    found = _HEIGHT.search(svg)
    return int(found[1]) if found else 0


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


def _chooser(drawn: Sequence[Engraved]) -> Markup:
    """A button a key. It stays hidden where no script can make it work."""
    buttons = Markup().join(
        Markup('<button type="button" data-key="{}" aria-pressed="{}">{}</button>').format(
            one.tonic, str(n == 0).lower(), words.note(one.tonic.letter)
        )
        for n, one in enumerate(drawn)
    )
    return Markup(
        '<div class="hb-chooser" role="group" aria-label="{}" hidden>{}'
        '<span class="hb-unseen" role="status"></span></div>'
    ).format(pgettext("of music", "Key"), buttons)
