"""A site for a memory stick: opened as files, without a server."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from contextlib import closing
from html import unescape
from pathlib import Path
from urllib.parse import unquote

import pytest
from playwright.sync_api import Browser, Page, expect

from chorus_handbook.pages.from_disk import open_from_disk
from chorus_handbook.records.manifest import read_manifest

Play = Callable[[Page], None]
_NAMED = re.compile(r'<(?:a|link|script|img)\b[^<>]*? (?:href|src)="([^"]*)"')


@pytest.fixture(scope="module")
def stick(demo_site: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo as it is opened from a disk."""
    site = shutil.copytree(demo_site, tmp_path_factory.mktemp("stick") / "site")
    open_from_disk(site)
    return site


def test_everything_that_a_page_names_is_a_file(stick: Path) -> None:
    lost = set()
    for page in stick.rglob("*.html"):
        if page.name == "404.html":  # hosts show it; its addresses are absolute
            continue
        for named in map(unescape, _NAMED.findall(page.read_text(encoding="utf-8"))):
            path = unquote(re.split("[?#]", named)[0])
            if path and not re.match(r"[a-z]+:", path) and not (page.parent / path).is_file():
                lost.add((str(page.relative_to(stick)), named))
    assert not lost


def test_pages_keys_print_sound_and_the_stand_work(
    chromium: Browser, stick: Path, play: Play
) -> None:
    with closing(chromium.new_context(viewport={"width": 390, "height": 844})) as context:
        page, wrong = context.new_page(), list[str]()
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("console", lambda one: wrong.append(one.text) if one.type == "error" else None)
        asked: set[str] = set()
        context.on("request", lambda request: asked.add(request.url.partition(":")[0]))
        page.goto((stick / "index.html").as_uri())
        page.locator('article a[href*="exercises/index.html"]').first.click()
        page.locator('a[href*="up-the-mast"]').first.click()
        told = page.get_by_text("This copy was opened from a disk")
        expect(told).to_be_visible()
        page.locator("[name=key]").select_option(index=2)
        expect(page.locator(".hb-figure")).to_have_attribute("data-key", "D4")
        play(page)
        page.emulate_media(media="print")
        expect(page.locator(".hb-figure svg[role=img]").first).to_be_visible()
        page.emulate_media(media="screen")
        page.keyboard.press("Control+k")
        page.keyboard.type("rol call")
        expect(page.locator("dialog[open]")).to_contain_text("Roll call on the quay")
        newest = max((stick / "warmups").glob("*/index.html"))
        page.goto(newest.as_uri())
        page.get_by_role("button", name="Music stand").click()
        score = page.locator(".hb-stand-score:visible")
        for _ in range(20):
            if score.count():
                break
            page.keyboard.press("ArrowRight")
        score.click()
        expect(page.locator(".hb-stand-drawing svg[role=img]:visible")).to_have_count(1)
        assert wrong == [] and asked <= {"file", "data", "blob"}


def test_nothing_that_is_not_there_is_promised(stick: Path) -> None:
    told = (stick / "kept" / "index.html").read_text(encoding="utf-8")
    assert "All of this copy is on the disk already" in told
    assert "each has a button" not in told
    assert "Keep it on this device" not in (stick / "index.html").read_text(encoding="utf-8")


def test_the_command_writes_it(
    project: Path, handbook: Callable[..., tuple[int, str, str]]
) -> None:
    """Beside the site for a host, which stays as it is; and again only when something changed."""
    target = project / "stick"
    build = ("--project", project, "build", "--memory-stick", target)
    code, _, told = handbook(*build)
    assert code == 0 and f"open {target / 'index.html'} in a browser" in told
    listed = read_manifest(target)
    assert listed and "assets/handbook/from_disk.js" in listed.files
    assert not (project / "site").exists()
    assert "Nothing has changed" in handbook(*build)[2]
    code, _, told = handbook(*build, "--site-dir", project / "site")
    assert code == 2 and "leave out --site-dir" in told
