"""A server that answers whatever an author does: real processes, requests with a time limit."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from mkdocs.config import load_config
from mkdocs.livereload import LiveReloadServer

from chorus_handbook.bench.reload import free_port
from chorus_handbook.mkdocs_plugin import build_date
from chorus_handbook.mkdocs_plugin.plugin import ChorusHandbookPlugin

HANDBOOK = ("-c", "import sys; from chorus_handbook.cli import main; sys.exit(main())", "serve")
MKDOCS = ("-m", "mkdocs", "serve")
#: No answer may take longer than so many seconds, whatever happens.
PATIENCE = 30
VIEWS = """\
- slug: quiet-ones
  title: Quiet ones
  intro: For a late start.
  where:
    impact: at most 2
"""


@dataclass
class Server:
    project: Path
    port: int
    log: Path
    process: subprocess.Popen[bytes]

    def get(self, path: str) -> tuple[int, str]:
        """Status and text of a page. A request that is not answered in time fails the test."""
        url = f"http://127.0.0.1:{self.port}/{path}"
        try:
            with urllib.request.urlopen(url, timeout=PATIENCE) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as refused:
            return refused.code, refused.read().decode()

    def until(self, path: str, shows: Callable[[int, str], bool]) -> str:
        """The page once it shows what is waited for; the server is answering all the while."""
        end = time.monotonic() + 2 * PATIENCE
        while time.monotonic() < end:
            status, text = self.get(path)
            if shows(status, text):
                return text
            time.sleep(0.2)
        raise AssertionError(f"{path} never showed it, but {status}: {text[-2000:]}\n{self.output}")

    @property
    def output(self) -> str:
        return self.log.read_text(encoding="utf-8")

    def lines_after(self, mark: int) -> list[str]:
        return self.output[mark:].splitlines()


@contextmanager
def serving(project: Path, command: tuple[str, ...] = HANDBOOK) -> Iterator[Server]:
    port, log = free_port(), project.parent / "serve.log"
    temporary(project).mkdir(exist_ok=True)
    option = "--address" if command is HANDBOOK else "--dev-addr"
    with log.open("wb") as output:
        process = subprocess.Popen(
            [sys.executable, *command, option, f"127.0.0.1:{port}"],
            cwd=project,
            stdout=output,
            stderr=subprocess.STDOUT,
            env={k: v for k, v in os.environ.items() if k != build_date.DATE}
            | {"TMPDIR": str(temporary(project))},
        )
    server = Server(project, port, log, process)
    try:
        end = time.monotonic() + 2 * PATIENCE
        while not listening(port):
            assert process.poll() is None and time.monotonic() < end, server.output
            time.sleep(0.1)
        yield server
    finally:
        process.kill()
        process.wait()
    assert "Traceback" not in server.output


def temporary(project: Path) -> Path:
    """Where a server puts what passes."""
    return project.parent / "temporary"


def listening(port: int) -> bool:
    with socket.socket() as probe:
        probe.settimeout(1)
        return probe.connect_ex(("127.0.0.1", port)) == 0


def change(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def low_tide(project: Path) -> Path:
    return project / "handbook" / "exercises" / "low-tide.md"


PAGE = "exercises/low-tide/"


@pytest.fixture(scope="module")
def running(
    tmp_path_factory: pytest.TempPathFactory, new_project: Callable[[Path], Path]
) -> Iterator[Server]:
    """One server for all tests that put right again what they changed."""
    project = new_project(tmp_path_factory.mktemp("served") / "project")
    (project / "handbook" / "views.yml").write_text(VIEWS, encoding="utf-8")
    with serving(project) as server:
        yield server


@pytest.fixture
def server(running: Server) -> Iterator[Server]:
    """The server, on a project that is put right again whatever becomes of the test."""
    project = running.project
    files = [project / "mkdocs.yml", *(project / "handbook").rglob("*.*")]
    before = {file: file.read_bytes() for file in files}
    yield running
    for file, content in before.items():
        if not file.exists() or file.read_bytes() != content:
            file.write_bytes(content)
    running.until(PAGE, lambda _, text: "hb-problems" not in text)


def test_the_address_is_told_when_there_is_something_to_read(server: Server) -> None:
    lines = [
        line for line in server.output.splitlines() if f"http://127.0.0.1:{server.port}/" in line
    ]
    assert lines == [f"Read the handbook at http://127.0.0.1:{server.port}/ (stop with Ctrl-C)."]
    assert server.output.index("No problems found.") < server.output.index(lines[0])
    assert server.get(PAGE)[0] == 200


def test_an_exercise_with_a_slip_keeps_its_address_and_shows_its_problems(server: Server) -> None:
    assert "hb-problems" not in server.get(PAGE)[1]
    mark = len(server.output)
    change(low_tide(server.project), "impact: 2", "impact: 7")
    page = server.until(PAGE, lambda _, text: "hb-problems" in text)
    assert "low-tide.md:5:9" in page and "Hum as if you agreed" in page  # as it was
    assert "as it was before the errors" in page
    status, nowhere = server.get("nowhere/")
    assert status == 404 and "low-tide.md:5:9" in nowhere and "livereload" in nowhere
    reported = [line for line in server.lines_after(mark) if "low-tide.md:5:9: error" in line]
    assert len(reported) == 1
    change(low_tide(server.project), "impact: 7", "impact: 2")
    server.until(PAGE, lambda _, text: "hb-problems" not in text)
    assert "hb-problems" not in server.get("nowhere/")[1]


def test_an_exercise_that_never_could_be_read_has_a_page_too(project: Path) -> None:
    change(low_tide(project), "impact: 2", "impact: [")
    (project / "handbook/exercises/second.md").write_text("no fields at all", encoding="utf-8")
    with serving(project) as server:
        for name in ("low-tide", "second"):
            status, page = server.get(f"exercises/{name}/")
            assert status == 200
            first = re.search(r"<li><code>([^<:]+)", page)
            assert first and first[1] == f"handbook/exercises/{name}.md"  # its own come first
        change(low_tide(project), "impact: [", "impact: 2")
        server.until(PAGE, lambda _, text: "Hum as if you agreed" in text)
        (project / "handbook/exercises/second.md").unlink()
        server.until("exercises/second/", lambda status, _: status == 404)
        ends_without_noise(server, signal.SIGTERM, 143)


def test_lists_keep_their_addresses_when_their_file_has_an_error(server: Server) -> None:
    views = server.project / "handbook" / "views.yml"
    assert server.get("views/quiet-ones/")[0] == 200, server.output
    for broken in ("- slug: [", VIEWS.replace("impact", "impakt")):
        views.write_text(broken, encoding="utf-8")
        page = server.until("views/quiet-ones/", lambda _, text: "hb-problems" in text)
        assert "views.yml:" in page and "Quiet ones" in page
        views.write_text(VIEWS, encoding="utf-8")
        server.until("views/quiet-ones/", lambda _, text: "hb-problems" not in text)
    views.write_text(VIEWS.replace("quiet-ones", "others"), encoding="utf-8")
    server.until("views/quiet-ones/", lambda status, _: status == 404)  # taken out on purpose
    views.write_text(VIEWS, encoding="utf-8")
    server.until("views/quiet-ones/", lambda status, _: status == 200)


@pytest.mark.parametrize("name", ["chorus.yml", "vocabulary.yml"])
def test_every_page_stays_when_a_file_that_all_need_is_broken(server: Server, name: str) -> None:
    file = server.project / "handbook" / name
    good = file.read_text(encoding="utf-8")
    file.write_text("name: [", encoding="utf-8")
    for path in ("", PAGE, "goals/resonance/"):
        page = server.until(path, lambda _, text: "hb-problems" in text)
        assert f"handbook/{name}:1" in page
    assert server.get(PAGE)[0] == 200
    file.write_text(good, encoding="utf-8")
    server.until(PAGE, lambda _, text: "hb-problems" not in text)


@pytest.mark.parametrize(
    ("broken", "reported"),
    [
        ("site_name: [", "YAML cannot read"),
        ("site_name: Ours\ntheme: {name: nothing}", "Unrecognised theme"),
        ("site_name: Ours\ndocs_dir: handbook", "plugins: chorus-handbook is missing"),
        ("CONFIG\nuse_directory_urls: false\n", "use_directory_urls"),
    ],
)
def test_a_broken_mkdocs_yml_hangs_nothing(server: Server, broken: str, reported: str) -> None:
    a_broken_mkdocs_yml_hangs_nothing(server, broken, reported)


def test_a_broken_mkdocs_yml_does_not_hang_mkdocs_itself(project: Path) -> None:
    with serving(project, MKDOCS) as server:
        a_broken_mkdocs_yml_hangs_nothing(server, "site_name: [", "YAML cannot read")


def a_broken_mkdocs_yml_hangs_nothing(server: Server, broken: str, reported: str) -> None:
    config = server.project / "mkdocs.yml"
    good = config.read_text(encoding="utf-8")
    mark = len(server.output)
    config.write_text(broken.replace("CONFIG", good), encoding="utf-8")
    page = server.until(PAGE, lambda _, text: "cannot be built" in text)
    assert reported in page and "Hum as if you agreed" in page
    assert "cannot be built" in server.get("nowhere/")[1]
    lines = [line for line in server.lines_after(mark) if reported in line]
    assert len(lines) in (1, 2)  # two if the file was seen both while and after it was written
    assert server.get("assets/handbook/lyrics-licence.txt")[0] == 200
    config.write_text(good, encoding="utf-8")
    server.until(PAGE, lambda _, text: "cannot be built" not in text)


def test_what_changes_during_the_first_build_is_built_again(project: Path) -> None:
    """Without a real server, in which this would be a matter of luck."""
    (project / "site").mkdir()
    config = load_config(str(project / "mkdocs.yml"))
    plugin = config.plugins["chorus-handbook"]
    assert isinstance(plugin, ChorusHandbookPlugin)
    plugin.on_startup(command="serve", dirty=False)
    plugin.on_pre_build(config=config)
    change(low_tide(project), "Hum as if", "Please hum as if")
    replaced = LiveReloadServer(lambda: None, "127.0.0.1", 0, config.site_dir)
    replaced.watch(str(project / "handbook"))
    replaced.watch(str(project / "mkdocs.yml"))
    server = plugin.on_serve(replaced, config=config, builder=None)
    server.observer.start()
    for disturb in (
        lambda: None,
        lambda: (project / "handbook").rename(project / "away"),
        lambda: (project / "away").rename(project / "handbook"),
        lambda: (project / "mkdocs.yml").write_text("site_name: B", encoding="utf-8"),
        lambda: (project / "handbook" / "new.md").write_text("# New", encoding="utf-8"),
    ):
        disturb()
        with server._rebuild_cond:
            assert server._rebuild_cond.wait_for(lambda: server._want_rebuild, timeout=PATIENCE)
            server._want_rebuild = False
    with server._rebuild_cond:  # nothing changes, and nothing is asked for
        assert not server._rebuild_cond.wait_for(lambda: server._want_rebuild, timeout=1)
    server.shutdown()


def test_a_folder_that_goes_and_comes_back_hangs_nothing(server: Server) -> None:
    handbook, away = server.project / "handbook", server.project / "away"
    handbook.rename(away)
    server.until(PAGE, lambda _, text: "hb-problems" in text)
    away.rename(handbook)
    change(low_tide(server.project), "Hum as if", "Please hum as if")
    server.until(PAGE, lambda _, text: "Please hum" in text)
    change(low_tide(server.project), "Please hum as if", "Hum as if")
    server.until(PAGE, lambda _, text: "Hum as if" in text)


def test_the_date_of_pages_follows_the_files(project: Path) -> None:
    with (project / "handbook" / "chorus.yml").open("a") as chorus:
        chorus.write("indexed: true\n")  # else there is no site map
    for file in (project / "handbook").rglob("*"):
        os.utime(file, (946_684_800, 946_684_800))  # 2000-01-01
    with serving(project) as server:
        assert "2000-01-01" in server.get("sitemap.xml")[1]
        change(low_tide(project), "Hum as if", "Please hum as if")
        os.utime(low_tide(project), (978_307_200, 978_307_200))  # 2001-01-01
        server.until(PAGE, lambda _, text: "Please hum" in text)
        assert "2001-01-01" in server.get("sitemap.xml")[1]
        ends_without_noise(server, signal.SIGINT, 0)


def ends_without_noise(server: Server, how: signal.Signals, code: int) -> None:
    """That a signal ends a server, and it leaves nothing behind."""
    server.process.send_signal(how)
    assert server.process.wait(PATIENCE) == code
    assert not list(temporary(server.project).iterdir())


def test_a_port_that_is_taken_is_one_line(project: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        done = subprocess.run(
            [sys.executable, *HANDBOOK, "--address", f"127.0.0.1:{port}"],
            cwd=project,
            capture_output=True,
            text=True,
            check=False,
            timeout=PATIENCE,
        )
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 1
    assert f"--address 127.0.0.1:{port + 1}" in done.stderr


@pytest.mark.parametrize(
    ("address", "message"),
    [
        (
            "127.0.0.1:80",
            r"127.0.0.1:80 \(permission denied\); try another number: .* 127.0.0.1:8000",
        ),
        (
            "no-such-computer.invalid:8000",
            'no computer called "no-such-computer.invalid" was found',
        ),
        ("127.0.0.1:99999", '"127.0.0.1:99999" is not an address'),
        ("::1:8000", "is not an address"),
    ],
)
def test_an_address_that_cannot_be_is_one_line(
    project: Path,
    handbook: Callable[..., tuple[int, str, str]],
    monkeypatch: pytest.MonkeyPatch,
    address: str,
    message: str,
) -> None:
    bind = socket.socket.bind

    def without_rights(self: socket.socket, to: tuple[str, int]) -> None:
        if to[1] < 1024:
            raise PermissionError(13, "Permission denied")
        bind(self, to)

    monkeypatch.setattr(socket.socket, "bind", without_rights)
    code, out, err = handbook("--project", project, "serve", "--address", address)
    assert (code, out) == (2, "") and len(err.splitlines()) == 1 and re.search(message, err), err
