"""The score as it stands in a page: the drawings and the one sprite of signs they share."""

from __future__ import annotations

from collections.abc import Iterable

from chorus_handbook.engraving import Engraved, sprite


def score_figure(engraved: Engraved) -> str:
    """The first key's score: the wide drawing and, where that does not fit a phone, a narrow one.
    The style sheet shows one of them, so that the choice needs no script."""
    drawings = f'<div class="hb-wide">{engraved.wide}</div>'
    if engraved.narrow:
        drawings += f'<div class="hb-narrow">{engraved.narrow}</div>'
    kind = "hb-figure hb-two" if engraved.narrow else "hb-figure"
    return f'<figure class="{kind}">{sprite(engraved.symbols)}{drawings}</figure>'


def shared_sprite(drawn: Iterable[Engraved]) -> str:
    """One sprite for a page that shows several scores."""
    symbols: dict[str, str] = {}
    for engraved in drawn:
        symbols.update(engraved.symbols)
    return sprite(dict(sorted(symbols.items())))
