"""What stands in the head of every page, and the files that belong to it."""

from __future__ import annotations

import json
import struct
import zlib
from pathlib import Path
from urllib.parse import urljoin

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages.make_icons import FOLDER, icon
from chorus_handbook.pages.page import Page, Published, Site, set_in_late
from chorus_handbook.pages.site_head import WEB_MANIFEST, head_files
from chorus_handbook.pipeline import draw, read

VOICES = {
    "all": {"label": "All", "clef": "treble", "comfortable": "C4 to C5", "limits": "A3 to D5"}
}


def chorus(name: str = "Testing Chorus", **fields: object) -> Chorus:
    return Chorus.model_validate({"name": name, "voices": VOICES, **fields})


def in_site(path: str, *, indexed: bool) -> str:
    site = Site((), Published({}), (), indexed)
    return set_in_late(Page(path, "", "", content=None), "<head></head>", site)  # type: ignore[arg-type]


def test_pages_ask_not_to_be_listed_unless_the_chorus_wants_them_to_be() -> None:
    """ "noindex" in a tag, which search engines read only where robots.txt lets them (RFC 9309 is
    about fetching alone)."""
    assert '<meta name="robots" content="noindex">' in in_site("index.md", indexed=False)
    assert "robots" not in in_site("index.md", indexed=True)
    rules = head_files(chorus())["robots.txt"].decode().splitlines()
    assert rules[-2:] == ["User-agent: *", "Disallow: /assets/handbook/"]
    assert "robots.txt" not in head_files(chorus(indexed=True))


def test_the_choruss_own_robots_txt_comes_before_ours(project: Path) -> None:
    static = project / "handbook" / "static"
    static.mkdir()
    (static / "robots.txt").write_text("User-agent: *\nDisallow: /\n")
    cache = Cache(None)
    site = draw(read(project / "handbook", cache), cache).site
    assert site and site.files["robots.txt"] == b"User-agent: *\nDisallow: /\n"


def test_the_web_manifest_has_what_makes_a_page_installable() -> None:
    """name or short_name, icons of 192 and 512 pixels, start_url and a display mode (web.dev,
    "What does it take to be installable?"); addresses are relative to it, as in W3C's Web
    Application Manifest."""
    files = head_files(chorus("The Very Long Name of a Chorus"))
    manifest = json.loads(files[WEB_MANIFEST])
    assert manifest["name"] == "The Very Long Name of a Chorus: warm-ups"
    assert manifest["short_name"] == "Warm-ups" and manifest["display"] == "standalone"
    there = f"https://example.org/sub/{WEB_MANIFEST}"
    assert urljoin(there, manifest["start_url"]) == "https://example.org/sub/"
    sizes = {one["sizes"] for one in manifest["icons"]}
    assert sizes == {"192x192", "512x512"}
    assert {one["purpose"] for one in manifest["icons"]} == {"any", "maskable"}
    for one in manifest["icons"]:
        width, height = struct.unpack(">II", files[one["src"]][16:24])
        assert f"{width}x{height}" == one["sizes"]


def test_a_page_names_it_from_wherever_it_is() -> None:
    """With the reader's name and password: a browser fetches it without, if it is not told to
    (HTML standard, "link type manifest")."""
    for path, named in (("index.md", WEB_MANIFEST), ("a/b.md", f"../../{WEB_MANIFEST}")):
        tag = f'<link rel="manifest" href="{named}" crossorigin="use-credentials">'
        assert tag in in_site(path, indexed=False)


def test_the_icons_are_those_that_the_program_draws() -> None:
    assert (FOLDER / "icon-192.png").read_bytes() == icon(192)


def test_an_icon_is_whole_and_has_its_notes_where_no_system_cuts() -> None:
    """Rows of three bytes a pixel after a filter byte (W3C, PNG). What is drawn lies within 40% of
    the width from the middle, but for the ends of the lines (W3C: the safe zone)."""
    size, content = 60, icon(60)
    start = content.index(b"IDAT") + 4
    rows = zlib.decompress(content[start : content.index(b"IEND") - 8])
    assert len(rows) == size * (3 * size + 1)
    for y in range(size):
        for x in range(size):
            place = y * (3 * size + 1) + 1 + 3 * x
            if max(rows[place : place + 3]) > 0xF0:  # a note
                assert (x + 0.5 - 30) ** 2 + (y + 0.5 - 30) ** 2 <= (0.4 * size) ** 2
