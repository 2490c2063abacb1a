"""Decides where links and images may lead, and resolves addresses within the handbook.

Harmful addresses can be disguised with entities, percent signs and invisible characters, so an
address is checked in the form that a browser would end up with.
"""

from __future__ import annotations

import posixpath
import re
from dataclasses import dataclass
from html import unescape
from urllib.parse import quote, unquote, urlsplit

from chorus_handbook.source import clip

#: The schemes a link may have. It may also be a path in the handbook; an image can only be that.
SCHEMES = ("http", "https", "mailto", "tel")
#: The scheme with which an address within the handbook is stored. It is replaced by a relative
#: address once it is known on which page the link is shown.
INTERNAL = "handbook"

#: Characters that browsers leave out of an address before they read it.
_IGNORED = re.compile("[\x00-\x20\x7f-\xa0\u00ad\u200b-\u200f\u2028-\u202e\u2060\ufeff]+")
#: A scheme, such as "https", with its colon and at least one character after it.
_SCHEME = re.compile(r"([a-z][a-z0-9+.-]*):.")
#: How many characters of an address are looked at.
_LONGEST = 4000


def as_browsers_read(address: str) -> str:
    """The address as a browser might read it: entities and percent codes (%20) are decoded, then
    spaces and control characters are removed."""
    plain = address[:_LONGEST]
    for _ in range(3):  # an entity can hide a percent sign, and the other way round
        plain = unquote(unescape(plain))
    return _IGNORED.sub("", plain)


def check_address(address: str, page: str, image: bool) -> tuple[str, str] | None:
    """The message and the hint for an address that is not allowed; None for one that is.

    `page` is the path of the page with the link, such as "exercises/slack-water.md"; `image` says
    whether it is the address of an image.
    """
    plain = as_browsers_read(address)
    # A backslash inside an entity or a scheme would hide it, so look for the scheme without them.
    scheme = _SCHEME.match(as_browsers_read(address.replace("\\", "")).lower())
    if image and (scheme or plain.startswith(("//", "\\\\", "/\\", "\\/"))):
        return (
            "This image would be loaded from another site."
            if scheme is None or scheme[1] in SCHEMES
            else f'The address of an image cannot begin with "{clip(scheme[1])}:".',
            "Put the picture into the same folder as this page, and write only its file name here, "
            'such as "quay.png".',
        )
    if scheme:
        if scheme[1] in SCHEMES:
            return None
        return (
            f'A link cannot begin with "{clip(scheme[1])}:".',
            'Link to a page of the handbook, or to an address that begins with "https://".',
        )
    return _check_path(plain.replace("\\", "/"), page)


def _check_path(plain: str, page: str) -> tuple[str, str] | None:
    """The message and the hint for an address without a scheme (`plain`, as browsers read it) that
    is not allowed on `page`; None if it is allowed."""
    if plain.startswith("//"):
        return (
            f'The beginning of the address "{clip(plain)}" is missing.',
            'Write it in full, beginning with "https://".',
        )
    if plain.startswith("/"):
        return (
            f'The address "{clip(plain)}" begins with "/", which is the top of the site, not of '
            "the handbook.",
            'Write the path from this file, such as "other-exercise.md" or "../voice-care.md".',
        )
    path = re.split(r"[?#]", plain, maxsplit=1)[0]  # without a query and a heading
    if _below_root(path, page).startswith(".."):
        return (
            f'The address "{clip(plain)}" leads out of the handbook.',
            "Link to a page or picture in the handbook, or to an address that begins with "
            '"https://".',
        )
    return None


@dataclass(frozen=True, slots=True)
class Internal:
    """An address within the handbook: the `path` of a page or file below the handbook's folder, and
    the `rest` of the address, such as "#say"."""

    path: str
    rest: str

    @property
    def url(self) -> str:
        """The address as it is stored in HTML, such as "handbook:exercises/low-tide.md#say". When
        the HTML is put on a page, it is replaced by an address relative to that page."""
        return f"{INTERNAL}:{quote(self.path)}{self.rest}"


def internal(address: str, page: str) -> Internal | None:
    """The place in the handbook that an allowed address on `page` leads to; None when it leads to
    another site, or to another place on the same page."""
    parts = urlsplit(unescape(address))
    if parts.scheme or parts.netloc or not parts.path:
        return None
    rest = (f"?{parts.query}" if parts.query else "") + (
        f"#{parts.fragment}" if parts.fragment else ""
    )
    return Internal(_below_root(unquote(parts.path), page), rest)


def fragment(address: str) -> str | None:
    """The name after the # of an allowed address in the handbook, on this page or another; None if
    it has none, or leads to another site."""
    parts = urlsplit(unescape(address))
    elsewhere = parts.scheme or parts.netloc
    return unquote(parts.fragment) if parts.fragment and not elsewhere else None


def _below_root(path: str, page: str) -> str:
    """The path below the handbook's folder to which a relative `path` on a page leads. It begins
    with ".." if that is outside the handbook."""
    return posixpath.normpath(posixpath.join(posixpath.dirname(page), path))
