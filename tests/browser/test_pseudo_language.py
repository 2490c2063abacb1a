"""Every text that readers see comes from the catalogue or from an author.

A handbook with every kind of page is built in a language in which each message stands in brackets.
Its authors write Greek. So a Latin letter outside brackets, unless it names a note or is one of the
theme's own texts, is a text that was forgotten: on the page as it comes, and after everything that
a reader can do there.
"""

from __future__ import annotations

import functools
import http.server
import os
import re
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser
from pathlib import Path

import material
import pytest
from babel.messages.catalog import Catalog
from playwright.sync_api import Browser, Page, expect

import translations
from chorus_handbook import catalogue
from chorus_handbook.mkdocs_plugin.preview import empty_page
from chorus_handbook.mkdocs_plugin.problem_banner import banner, failure_banner
from chorus_handbook.problems import Place, Problem

TAG = "en-XA"
RUN = "from chorus_handbook.cli import main; raise SystemExit(main())"

CHORUS = f"""\
name: Χορωδία
language: {TAG}
voices:
  soprano: {{label: Σοπράνο, clef: treble, octave: 0, comfortable: C4 to F5, limits: A3 to A5}}
  alto: {{label: Άλτο, clef: treble, octave: 0, comfortable: G3 to C5, limits: E3 to E5}}
  tenor: {{label: Τενόρος, clef: treble-8, octave: -1, comfortable: C3 to F4, limits: A2 to A4}}
  bass: {{label: Μπάσος, clef: bass, octave: -1, comfortable: F2 to C4, limits: D2 to E4}}
leader: {{label: Αρχηγός}} # its first letter stands before staves, which is no bracket then
"""
VOCABULARY = """\
goals:
  breath: {label: Αναπνοή, about: Αέρας.}
  sound: {label: Ήχος, about: Ήχος.}
  nothing: {label: Τίποτα, about: Τίποτα.}
soundings:
  hum: {label: Μουρμουρητό, lowest_impact: 2, cautions: [strain]}
  breath: {label: Ανάσα, lowest_impact: 1}
formations:
  circle: {label: Σε κύκλο, diagram: circle}
  rows: {label: Σε σειρές, diagram: rows}
cautions:
  strain: {text: Όχι βία.}
"""
VIEWS = """\
- {slug: quiet, title: Ήσυχα, intro: Ήσυχα., where: {impact: at most 2}}
"""


def exercise(title: str, fields: str, body: str) -> str:
    return f"""\
---
title: {title}
summary: Μια άσκηση.
goals: [breath, sound]
{fields}
---
Κείμενο.

{body}
"""


#: Quick and short, as tracks of it are computed.
SUNG = "impact: 2\nsounding: hum\nminutes: 1.5\ntempo: 168\n"
#: Voices step out one after the other, there is a way back, and the end is too high for all.
CLIMB = exercise(
    "Σκάλα",
    SUNG + "keys: C4 up to A4 and back\nstep_out: allowed\npasses: 2\nformation: circle\ncue: έλα\n"
    "also_called: [σκαλίτσα]\nleads_to: [palirroia]",
    "## Say\nΈλα.\n\n```degrees\nmode: minor\nwords: λα ...\nall: 1 2 3 5 | 1' - - - |\n```\n",
)
#: Four parts, other octaves, a leader, and tuning.
PARTS = exercise(
    "Παλίρροια",
    SUNG + "keys: C4 up to D4\npasses: 2\nstep_out: octave\nformation: rows\nrelated: [anasa]",
    "```degrees\nwords: λα ...\nleader: 1 2 3 1 |\n\n"
    "soprano: 5 - 6 5 |\nalto: 3 - 4 3 |\ntenor: 1' - 1' 1' |\nbass: 1 - 4, 1 |\n```\n",
)
SPOKEN = exercise(
    "Λόγια",
    "impact: 2\nsounding: hum\nminutes: 0.5\ntempo: 92.5\nkeys: C4",
    "```degrees\nwords: τα τα κα τα\nall: x x' x, x |\n```\n",
)
SILENT = exercise("Ανάσα", "impact: 1\nsounding: breath\nminutes: 3", "")
FILES = {
    "chorus.yml": CHORUS,
    "vocabulary.yml": VOCABULARY,
    "views.yml": VIEWS,
    "exercises/skala.md": CLIMB,
    "exercises/palirroia.md": PARTS,
    "exercises/logia.md": SPOKEN,
    "exercises/anasa.md": SILENT,
}


def bracketed(message: str) -> str:
    return f"[{message}]"


def write_pseudo_language(place: Path) -> None:
    """The catalogue in which every message stands in brackets."""
    made = Catalog(locale="en")
    for message in translations.extracted():
        if not message.id:
            continue
        texts = [bracketed(text) for text in translations.texts(message.id)]
        string = texts[0] if isinstance(message.id, str) else texts
        made.add(message.id, string, message.locations, message.flags, context=message.context)
    folder = place / TAG
    folder.mkdir(parents=True)
    (folder / "messages.po").write_bytes(translations.written(made))
    for name, content in translations.compile_language(folder).items():
        (folder / name).write_bytes(content)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The handbook, built by a copy of the program that has one more language."""
    folder = tmp_path_factory.mktemp("pseudo")
    package = folder / "program" / "chorus_handbook"
    shutil.copytree(
        translations.PACKAGE, package, ignore=shutil.ignore_patterns("__pycache__", "bench")
    )
    write_pseudo_language(package / "locale")
    for name, text in FILES.items():
        file = folder / "handbook" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    (folder / "mkdocs.yml").write_text(
        "site_name: Εγχειρίδιο\ndocs_dir: handbook\n"
        "theme: {name: material, font: false, features: [navigation.tabs, navigation.top]}\n"
        "extra: {generator: false}\n"
        "plugins: [search, chorus-handbook: {tracks: true}]\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, "-c", RUN, "--project", folder, "build"],
        env={**os.environ, "PYTHONPATH": str(package.parent)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return folder / "site"


def theme_texts() -> frozenset[str]:
    """The theme's own, which come from its file of the language."""
    file = Path(material.__file__).parent / "templates" / "partials" / "languages" / "en.html"
    return frozenset(re.findall(r'": "((?:[^"\\]|\\.)*)"', file.read_text(encoding="utf-8")))


THEME = theme_texts()
#: Names of notes and Roman numerals of chords, which are the same in every language here.
MUSIC = re.compile(r"[A-G](?![A-Za-z])|\b(?:[IV]+|[iv]+)\b")


def outside(texts: Iterable[str]) -> list[str]:
    """What Latin words these texts have outside brackets. A message may be divided among several of
    them, by a link for instance; the brackets are counted across."""
    depth, found = 0, []
    for text in texts:
        if depth == 0 and text.strip() in THEME:
            continue
        kept = ""
        for letter in text:
            depth += letter == "["
            kept += letter if depth == 0 else ""
            depth -= letter == "]"
        found += re.findall(r"[A-Za-z]+", MUSIC.sub("", kept))
    assert depth == 0, "a bracket is not closed"
    return found


SHOWN = ("alt", "title", "aria-label", "aria-valuetext", "placeholder")


class Reader(HTMLParser):
    """All texts of a page as it is sent, those in templates too, and those in attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.attributes: list[str] = []
        self._skipped = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._skipped += tag in ("script", "style")
        self.attributes += [value for name, value in attrs if name in SHOWN and value]

    def handle_endtag(self, tag: str) -> None:
        self._skipped -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        if not self._skipped:
            self.texts.append(data)


def check(texts: list[str], attributes: list[str]) -> None:
    assert outside(texts) == []
    assert [value for value in attributes if outside([value])] == []


def read(html: str) -> Reader:
    reader = Reader()
    reader.feed(html)
    return reader


def test_every_page_without_scripts(site: Path) -> None:
    pages = sorted(site.rglob("*.html"))
    assert len(pages) >= 12
    for page in pages:
        reader = read(page.read_text(encoding="utf-8"))
        assert any("[" in text for text in reader.texts), page
        check(reader.texts, reader.attributes)


def test_a_forgotten_text_is_found() -> None:
    with pytest.raises(AssertionError):
        check(["[Play]", "Stop"], [])
    with pytest.raises(AssertionError):
        check(["[Play]"], ["100 percent"])
    check(["[See ", "voice care", ".]", "C4, F♯", "Ήχος 3"], ["[Key]"])


def test_what_is_shown_while_a_handbook_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The frame around problems; their own messages are for authors, and in English."""
    write_pseudo_language(tmp_path)
    monkeypatch.setattr(catalogue, "FOLDER", tmp_path)
    problems = [Problem(Place("α", n), "fence", "β", "γ") for n in range(1, 30)]
    with translations.in_language(TAG):
        assert "<li>[and 9 more]</li>" in banner(problems)
        assert "[The program has a fault; it is not your mistake.]" in failure_banner(ValueError())
        assert "[This page cannot be made" in empty_page("exercises/α.md").make().content


# In the browser.

COLLECT = """
(names) => {
  const texts = [], attributes = [];
  const walk = (node) => {
    if (node.nodeType === Node.TEXT_NODE) texts.push(node.data);
    if (["SCRIPT", "STYLE"].includes(node.nodeName)) return;
    if (node instanceof Element) {
      attributes.push(...names.flatMap((name) => node.getAttribute(name) ?? []));
      for (const part of ["::before", "::after"]) {
        const content = getComputedStyle(node, part).content;
        if (content.startsWith('"')) attributes.push(content);
      }
    }
    for (const child of node.childNodes) walk(child);
    if (node instanceof HTMLTemplateElement) walk(node.content);
  };
  walk(document.body);
  return [texts, attributes];
}
"""


@pytest.fixture(scope="module")
def url(site: Path) -> Iterator[str]:
    handler = functools.partial(Quiet, directory=str(site))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()


class Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """Tests need no access log."""


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, service_workers="block")
    yield context.new_page()
    context.close()


def look(page: Page) -> None:
    check(*page.evaluate(COLLECT, list(SHOWN)))


def test_a_run_is_played(url: str, page: Page) -> None:
    page.goto(f"{url}exercises/skala/")
    says = page.locator(".hb-player-status")
    page.locator(".hb-player-options > summary").click()
    expect(page.locator(".hb-cents td").first).not_to_be_empty()
    page.locator(".hb-player-cents > summary").click()
    look(page)
    page.locator(".hb-play").click()
    expect(says).to_have_text(re.compile(r"^\[Playing in \[C minor\]\.\]$|^\[Playing in C\.\]$"))
    look(page)
    page.locator("[name=key]").select_option(index=2)
    expect(says).to_contain_text("[Now in [D")
    page.locator("[name=tempo]").fill("60")
    page.locator("[data-voice=alto] input").fill("50")
    look(page)
    page.wait_for_timeout(400)
    page.locator(".hb-play").click()
    expect(says).to_have_text("[Paused.]")
    page.locator(".hb-hold").click()
    expect(page.locator(".hb-reference-status")).to_contain_text("[Holding")
    look(page)
    page.locator("[data-voice] [data-role=silent]").first.click()
    page.locator(".hb-hold").click()
    page.locator(".hb-give-pitch").click()
    page.locator(".hb-stop").click()
    expect(says).to_have_text("[Stopped.]")
    look(page)


def test_a_range_of_ones_own(url: str, page: Page) -> None:
    page.goto(f"{url}exercises/skala/")
    page.locator(".hb-player-options > summary").click()
    own = page.locator(".hb-own")
    own.locator("summary").click()
    for voice in ("bass", "soprano", ""):
        own.locator("[name=voice]").select_option(voice)
        look(page)
    for lowest, highest in ((70, 60), (48, 60), (57, 81), (30, 85)):
        own.locator("[name=lowest]").select_option(str(lowest))
        own.locator("[name=highest]").select_option(str(highest))
        expect(own.locator(".hb-own-status")).not_to_be_empty()
        look(page)
    expect(page.locator(".hb-you-text")).to_contain_text("[The voice nearest")
    page.goto(f"{url}exercises/")
    expect(page.locator(".hb-fits").first).to_be_attached()
    look(page)
    page.locator(".hb-fitting input").click()
    look(page)
    page.locator(".hb-own-clear").click()
    expect(page.locator(".hb-own-status")).to_have_text("[Your range is cleared.]")
    look(page)


def test_sound_that_cannot_be_had(url: str, page: Page) -> None:
    page.route("**/instrument.json?*", lambda route: route.abort())
    page.goto(f"{url}exercises/skala/")
    page.locator(".hb-play").click()
    expect(page.locator(".hb-player-status")).to_contain_text("could not be loaded")
    look(page)
