"""Where a link or an image may lead, however the address is disguised."""

from __future__ import annotations

import posixpath
import re
from html import unescape
from urllib.parse import unquote

from chorus_handbook.source import clip

#: What a link may be, besides a path in the handbook. An image can only be such a path.
SCHEMES = ("http", "https", "mailto", "tel")

#: Signs that browsers leave out of an address before they read it.
_IGNORED = re.compile("[\x00-\x20\x7f-\xa0\u00ad\u200b-\u200f\u2028-\u202e\u2060\ufeff]+")
#: What a page takes out of an address: the signs of quotes at a line's start, and those of code.
_TAKEN_OUT = re.compile(r"\n[ \t>]*|`")
_TITLE = re.compile(r"""\s(?:"[^"]*"|'[^']*')\s*\Z""")
_SCHEME = re.compile(r"([a-z][a-z0-9+.-]*):.")
_LONGEST = 4000


def plainly(address: str) -> str:
    """The address a browser might end up with: entities, percent signs and backslashes undone."""
    plain = address[:_LONGEST]
    for _ in range(3):  # each can hide behind the other
        plain = unquote(unescape(plain))
    return _IGNORED.sub("", plain)


def check_address(address: str, page: str, image: bool) -> tuple[str, str] | None:
    """Message and hint when the address is refused. `page` is the file that holds it, from the
    handbook's folder on ("handbook/exercises/slack-water.md")."""
    address = _TAKEN_OUT.sub("", address)
    if "[" in _TITLE.sub("", address[:_LONGEST]):  # only the text of what they hold would be left
        return (
            "There are square brackets in this address.",
            "Write %5B for [ and %5D for ], or write the two links one after the other.",
        )
    plain = plainly(address).lstrip("<")
    # A backslash may stand within what it hides: in an entity, or in the scheme itself.
    scheme = _SCHEME.match(plainly(address.replace("\\", "")).lstrip("<").lower())
    if image and (scheme or plain.startswith(("//", "\\\\", "/\\", "\\/"))):
        return (
            "This image would be loaded from another site."
            if scheme is None or scheme[1] in SCHEMES
            else f'An image cannot be "{clip(scheme[1])}:".',
            "Put the picture's file into the handbook and name it here.",
        )
    if scheme:
        if scheme[1] in SCHEMES:
            return None
        return (
            f'A link cannot begin with "{clip(scheme[1])}:".',
            "Link to a page of the handbook, or to an address that begins with https://.",
        )
    return _check_path(plain.replace("\\", "/"), page)


def _check_path(plain: str, page: str) -> tuple[str, str] | None:
    if plain.startswith("//"):
        return (
            "The beginning of this address is missing.",
            "Write it in full, beginning with https://.",
        )
    if plain.startswith("/"):
        return (
            f'"{clip(plain)}" begins at the top of the web site, outside the handbook.',
            "Write the way from this file: other-exercise.md, ../voice-care.md.",
        )
    path = re.split(r"[?#]", plain, maxsplit=1)[0]
    folder = posixpath.dirname(page.partition("/")[2])
    if posixpath.normpath(posixpath.join(folder, path)).split("/")[0] == "..":
        return (
            f'"{clip(plain)}" leads out of the handbook.',
            "Link to a page or picture in the handbook, or to an address that begins with https://.",
        )
    return None
