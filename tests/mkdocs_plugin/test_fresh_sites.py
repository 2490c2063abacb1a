"""Each build of a served site in a folder of its own, shown when it is whole: the server alone,
with builds that take as long, and fail, as a test wants."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from mkdocs.livereload import LiveReloadServer

from chorus_handbook.bench.reload import free_port
from chorus_handbook.mkdocs_plugin.serving import HandbookServer
from chorus_handbook.mkdocs_plugin.site_folders import SiteFolders

#: Seconds that no answer and no build may take.
PATIENCE = 20
EPOCH = re.compile(r"livereload\((\d+), \d+\);")
LEFT = "handbook-serve-*"


def write_site(folder: Path, name: str) -> None:
    folder.mkdir(exist_ok=True)
    (folder / "index.html").write_text(f"<html><body>site {name}.</body></html>")
    (folder / "404.html").write_text(f"<html><body>nothing in {name}.</body></html>")
    (folder / f"{name}.css").write_text(name)


class Site:
    """A server, and a builder that does what `build` says; at first it writes a site that is called
    by the number of the build, from 1."""

    server_class: type[HandbookServer] = HandbookServer

    def __init__(self, folder: Path) -> None:
        self.builds = 0
        self.build: Callable[[Path], None] = lambda site: write_site(site, str(self.builds))
        self.source = folder / "source"
        self.source.mkdir()
        first = folder / "first"
        write_site(first, "0")
        replaced = LiveReloadServer(lambda: None, "127.0.0.1", free_port(), str(first))
        replaced.watch(str(self.source))
        self.server = self.server_class(self._make, first, replaced, {})
        self._loop = threading.Thread(target=self.server.serve, daemon=True)

    def begin(self) -> None:
        self._loop.start()
        while "site 0." not in self.get(""):
            time.sleep(0.02)

    def end(self) -> None:
        self.server.shutdown()
        self._loop.join(PATIENCE)
        assert not self._loop.is_alive()

    def _make(self, site: Path) -> None:
        self.builds += 1
        self.build(site)

    def edit(self) -> None:
        (self.source / f"{time.monotonic_ns()}.md").write_text("text")

    def get(self, path: str) -> str:
        """The text of an answer, also of one that says that nothing is there."""
        try:
            url = f"{self.server.url}{path}"
            with urllib.request.urlopen(url, timeout=PATIENCE) as answer:
                text: str = answer.read().decode()
        except urllib.error.HTTPError as refused:
            text = refused.read().decode()
        except OSError:
            text = ""
        return text

    def until(self, path: str, *words: str) -> str:
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            text = self.get(path)
            if all(word in text for word in words):
                return text
            time.sleep(0.02)
        raise AssertionError(f"{path} never showed {words}, but {text}")

    def built_again(self) -> None:
        before = self.server._visible_epoch
        self.edit()
        self.until_shown_after(before)

    def until_shown_after(self, epoch: int) -> None:
        with self.server._epoch_cond:
            shown = self.server._epoch_cond.wait_for(
                lambda: self.server._visible_epoch > epoch, PATIENCE
            )
        assert shown


@pytest.fixture
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The place of the system's temporary files."""
    place = tmp_path / "temporary"
    place.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(place))
    return place


@pytest.fixture
def site(tmp_path: Path, temporary: Path) -> Iterator[Site]:
    site = Site(tmp_path)
    site.begin()
    yield site
    site.end()
    assert not list(temporary.glob(LEFT))


def test_requests_during_a_build_are_answered_from_the_site_before(site: Site) -> None:
    begun, go_on, over = threading.Event(), threading.Event(), threading.Event()

    def slowly(folder: Path) -> None:
        (folder / "index.html").write_text("<html>half a site")
        begun.set()
        go_on.wait(PATIENCE)
        over.set()
        write_site(folder, "new")

    site.build = slowly
    site.edit()
    assert begun.wait(PATIENCE)
    answers = [site.get(path) for path in ("", "index.html", "nowhere/", "0.css")]
    waited = over.is_set()
    go_on.set()
    assert "site 0." in answers[0] and "site 0." in answers[1]
    assert "nothing in 0." in answers[2] and answers[3] == "0"
    assert not waited  # for the end of the build
    site.until("", "site new.")
    assert "nothing in new." in site.get("nowhere/") and site.get("new.css") == "new"


def test_a_page_is_never_there_before_what_it_needs(site: Site) -> None:
    def page_first(folder: Path) -> None:
        name = str(site.builds)
        (folder / "index.html").write_text(f"<html><body>site {name}.</body></html>")
        time.sleep(0.1)
        write_site(folder, name)

    site.build = page_first
    seen = set()
    end = time.monotonic() + PATIENCE
    while len(seen) < 5:
        assert time.monotonic() < end
        number = re.search(r"site (\d+)\.", site.get(""))
        assert number
        if number[1] not in seen:
            site.edit()
        seen.add(number[1])
        if site.get(f"{number[1]}.css") != number[1]:
            assert f"site {number[1]}." not in site.get("")  # by now it is the next one


@pytest.mark.parametrize("failure", [ValueError, SystemExit, MemoryError, RecursionError, OSError])
def test_a_build_that_fails_leaves_the_site_and_says_so_on_pages(
    site: Site, failure: type[BaseException], caplog: pytest.LogCaptureFixture
) -> None:
    well = site.build

    def badly(folder: Path) -> None:
        (folder / "index.html").write_text("half a site")
        raise failure("no luck & <b>")

    site.build = badly
    site.built_again()
    page = site.get("")
    assert "site 0." in page and "cannot be built" in page and "no luck &amp; &lt;b&gt;" in page
    assert "no luck" in site.get("nowhere/") and site.get("0.css") == "0"
    assert len([record for record in caplog.records if "no luck" in record.message]) == 1
    site.build = well
    site.built_again()
    assert "no luck" not in site.until("", "site 2.")


def test_edits_during_a_build_lead_to_one_more(site: Site) -> None:
    begun, go_on = threading.Event(), threading.Event()
    well = site.build

    def slowly(folder: Path) -> None:
        begun.set()
        assert go_on.wait(PATIENCE)
        well(folder)

    site.build = slowly
    site.edit()
    assert begun.wait(PATIENCE)
    for _ in range(3):
        site.edit()
        time.sleep(0.3)  # the watcher sees each of them
    go_on.set()
    site.until("", "site 2.")
    time.sleep(1)
    assert site.builds == 2


def test_a_browser_learns_of_a_new_site_and_loads_it_once(site: Site) -> None:
    known = EPOCH.search(site.get(""))
    assert known
    told: list[str] = []
    browser = threading.Thread(target=lambda: told.append(site.get(f"livereload/{known[1]}/1")))
    browser.start()
    time.sleep(0.3)
    assert not told
    site.edit()
    browser.join(PATIENCE)
    assert told and int(told[0]) > int(known[1])
    page = site.get("")
    shown = EPOCH.search(page)
    assert "site 1." in page and shown and shown[1] == told[0]


@pytest.mark.usefixtures("temporary")
def test_no_page_of_the_old_site_says_it_is_the_new_one(tmp_path: Path) -> None:
    """A browser would not load it again. The new site comes at the worst moment: when the place of
    the old page is known, and its number is not."""
    meanwhile: list[Callable[[], None]] = []

    class Unlucky(HandbookServer):
        @property
        def root(self) -> str:
            known = self._root
            if meanwhile and threading.current_thread() is not loop:
                meanwhile.pop()()
            return known

        @root.setter
        def root(self, value: str) -> None:
            self._root = value

    class UnluckySite(Site):
        server_class = Unlucky

    site = UnluckySite(tmp_path)
    loop = site._loop
    site.begin()
    meanwhile.append(site.built_again)
    page = site.get("")
    shown = site.server._visible_epoch
    site.end()
    epoch = EPOCH.search(page)
    assert site.builds == 1 and not meanwhile
    assert epoch and int(epoch[1]) == shown and "site 1." in page


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="counts open files as Linux does")
def test_many_builds_leave_nothing_open_and_nothing_behind(site: Site, temporary: Path) -> None:
    def count() -> tuple[int, int, int]:
        end = time.monotonic() + PATIENCE
        while threading.active_count() > threads and time.monotonic() < end:
            time.sleep(0.02)  # the thread of the last answer has still to end
        (place,) = temporary.glob(LEFT)
        sites = [folder for folder in place.iterdir() if folder.is_dir()]
        return len(os.listdir("/proc/self/fd")), threading.active_count(), len(sites)  # noqa: PTH208

    site.built_again()
    time.sleep(0.2)
    threads = threading.active_count()
    before = count()
    for _ in range(20):
        site.built_again()
        site.get("")
    time.sleep(0.2)
    assert site.builds >= 21
    assert count() == before and before[2] == 2


def test_what_a_killed_server_left_is_removed_and_nothing_else(temporary: Path) -> None:
    code = (
        "import sys, tempfile, time; tempfile.tempdir = sys.argv[1]\n"
        "from chorus_handbook.mkdocs_plugin.site_folders import SiteFolders\n"
        "folders = SiteFolders(); (folders.fresh() / 'page').touch()\n"
        "print('ready', flush=True); time.sleep(600)"
    )
    command = [sys.executable, "-c", code, str(temporary)]
    with subprocess.Popen(command, stdout=subprocess.PIPE) as killed:
        assert killed.stdout and killed.stdout.readline() == b"ready\n"
        (left,) = temporary.glob(LEFT)
        other = SiteFolders()
        kept = left.exists()
        killed.send_signal(signal.SIGKILL)
        killed.wait(PATIENCE)
    assert kept  # its process was alive
    (temporary / "handbook-serve-new").mkdir()  # one that begins at this moment
    (temporary / "handbook-serve-link").symlink_to(temporary / "theirs")
    (temporary / "theirs").mkdir()
    (temporary / "theirs" / "in-use.lock").touch()
    third = SiteFolders()
    names = {path.name for path in temporary.iterdir()}
    assert left.name not in names
    assert {"handbook-serve-new", "handbook-serve-link", "theirs", other._place.name} <= names
    assert (temporary / "theirs" / "in-use.lock").exists()
    for folders in (other, third):
        folders.remove()
    assert {path.name for path in temporary.iterdir()} == names - {
        other._place.name,
        third._place.name,
    }


def test_a_folder_that_the_system_cleared_away_is_made_again(temporary: Path) -> None:
    folders: Any = SiteFolders()
    folders.fresh()
    for path in sorted(temporary.rglob("*"), reverse=True):
        path.unlink() if path.is_file() else path.rmdir()
    assert folders.fresh().is_dir()
    folders.remove()
    assert not list(temporary.iterdir())
