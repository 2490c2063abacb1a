"""Text from a file is text, whatever is written into it.

Every text field of every kind of file is found in the models, and filled with what would be markup,
script, template or Markdown if somebody took it for that. The handbook is built once, and looked at
three ways: by a browser, in which nothing may run; by an HTML parser that is not the sanitiser's
(html5lib, written after the HTML standard); and by a JSON parser.

What has to be encoded, and where, is told by OWASP, Cross Site Scripting Prevention Cheat Sheet,
"Output Encoding": in HTML text and in quoted attributes the characters & < > " '.
"""

from __future__ import annotations

import copy
import functools
import http.server
import importlib
import json
import os
import pkgutil
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

import html5lib
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page, expect
from pydantic import BaseModel

import chorus_handbook
from chorus_handbook.chorus.model import Chorus, Model, Vocabulary
from chorus_handbook.cli import main
from chorus_handbook.entries import prose
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.entries.warm_up import RoutineFields, WarmUpFields
from chorus_handbook.pipeline import check
from chorus_handbook.problems import has_errors
from chorus_handbook.views.model import SavedView
from chorus_handbook.warmups.take_over import SungFile, SungItem

Path_ = tuple[str, ...]

#: Each would do something in one place or another. `{n}` is a number of its own for each text.
SHORT = (
    "<script>ran({n})</script>",
    '"><img src=x onerror=ran({n})>',
    "'><svg onload=ran({n})>",
    '" autofocus onfocus=ran({n}) x="',
    "' tabindex=0 onfocus=ran({n}) x='",
    "</script><script>ran({n})</script>",
    "</title><script>ran({n})</script>",
    "]]><script>ran({n})</script>",
    "&lt;svg onload=ran({n})&gt;",
    "&#60;svg onload=ran({n})&#62;",
    "{{{{ 7 * 191 }}}}{{% raw %}} {n}",
    "javascript:ran({n})",
    "**b** [x](javascript:ran({n}))",
    "<!--{n}",
    "\\u003csvg onload=ran({n})>",
    "</template><svg onload=ran({n})>",
)
LONG = (
    "q{n}\"><script>ran({n})</script><img src=x onerror=ran({n})>'><svg onload=ran({n})>"
    "\" autofocus onfocus=ran({n}) x=\" ' onfocus=ran({n}) x=' &lt;svg onload=ran({n})&gt;"
    " ]]>{{{{7*191}}}} javascript:ran({n}) **b** [x](javascript:ran({n}))"
    " <!-- </title></template> \\u003csvg>"
)


class Hostile:
    """Makes hostile texts, each with a number of its own."""

    def __init__(self) -> None:
        self.count = 100

    def text(self, size: int, turn: int) -> str:
        """The longest (size 0), one that serves as a title (1), or a short one (2); `turn` chooses
        among those that are too short for everything at once."""
        self.count += 1
        first, second = SHORT[turn % len(SHORT)], SHORT[-1 - turn % len(SHORT)]
        return (LONG, f"q{{n}} {first}{second}", first)[size].format(n=self.count)


def text_fields(model: type[BaseModel], path: Path_ = ()) -> Iterator[Path_]:
    """Where text may stand in a model; "*" is every item of a list or a mapping."""
    for name, info in model.model_fields.items():
        yield from _texts(info.annotation, (*path, name))


def _texts(kind: Any, path: Path_) -> Iterator[Path_]:
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is Annotated:
        yield from _texts(arguments[0], path)
    elif origin in (Union, UnionType):
        for choice in arguments:
            yield from _texts(choice, path)
    elif origin in (list, dict):
        yield from _texts(arguments[-1], (*path, "*"))
    elif kind is str or kind is Any:
        yield path
    elif isinstance(kind, type) and issubclass(kind, BaseModel):
        yield from text_fields(kind, path)


#: The kinds of files, each with its model.
MODELS: dict[str, type[BaseModel]] = {
    "chorus": Chorus,
    "vocabulary": Vocabulary,
    "exercise": FrontMatter,
    "view": SavedView,
    "page": prose.PageFields,
    "warm-up": WarmUpFields,
    "routine": RoutineFields,
}
#: What a music stand saves. It is taken over into a warm-up, from which it is shown.
SAVED = {SungFile, SungItem}
FIELDS = [(kind, path) for kind, model in MODELS.items() for path in text_fields(model)]

#: Text that reaches no page and no data file.
NOT_SHOWN = {
    ("chorus", ("place",)),
    ("vocabulary", ("actions", "*", "label")),
    ("warm-up", ("answers", "*")),
    ("routine", ("answers", "*")),
}

_VOICE = {
    "clef": "treble",
    "comfortable": {"lowest": "C4", "highest": "F5"},
    "limits": {"lowest": "A3", "highest": "A5"},
    "widest": {"lowest": "G3", "highest": "B5"},
}
#: A handbook in which every field that can hold text is there to be filled.
BASE: dict[str, Any] = {
    "chorus": {
        "name": "Testing Chorus",
        "place": "Here",
        "licence": "CC BY 4.0",
        "voices": {
            "high": {"label": "High", **_VOICE},
            "low": {"label": "Low", **_VOICE},
        },
        "groups": {"both": ["high", "low"]},
        "leader": {"label": "Leader"},
    },
    "vocabulary": {
        "goals": {"tone": {"label": "Tone", "about": "Sound."}},
        "soundings": {"hum": {"label": "Hum", "lowest_impact": 1, "cautions": ["care"]}},
        "formations": {"circle": {"label": "In a circle", "diagram": "circle"}},
        "cautions": {"care": {"text": "Take care."}},
        "actions": {"touch": {"label": "Touches the face", "cautions": ["care"]}},
        "impact_cautions": {level: ["care"] for level in range(1, 6)},
        "words": {"<svg onload=ran(5)>": ["exercises/probe-0"]},
    },
    "exercise": {
        "title": "Probe",
        "summary": "A probe.",
        "goals": ["tone"],
        "impact": 2,
        "sounding": "hum",
        "minutes": 2,
        "formation": "circle",
        "cue": "probe",
        "also_called": ["Trial"],
        "cautions": ["care"],
        "actions": ["touch"],
        "answers": {"say-length": "Because."},
    },
    "view": {
        "slug": "low",
        "title": "Low",
        "intro": "Low ones.",
        "where": {"impact": "at most 5"},
        "any": [{"impact": "at most 5"}],
        "order": ["title"],
    },
    "page": {"title": "About"},
    "warm-up": {
        "title": "Monday",
        "date": "2026-09-10",
        "starts": "19:30",
        "minutes": 15,
        "leader": "Leader",
        "pianist": "Pianist",
        "room": "Room",
        "leads_into": {"piece": "Piece", "goals": ["tone"]},
        "items": [
            {
                "exercise": "probe-0",
                "note": "Note.",
                "sung": "yes",
                "remark": "Remark.",
            }
        ],
        "answers": {"warmup-time": "Because."},
    },
    "routine": {
        "title": "Four",
        "summary": "For four.",
        "items": [{"exercise": "probe-0", "variation": "Another.", "note": "Note."}],
    },
}
#: What only an exercise of another chorus has.
OF_OTHERS = (("origin",), ("licence",))
#: Notation of each kind, with markup wherever it has room for a text; a {word} has no spaces.
WORD = "<svg/onload=ran({n})>"
NOTATION = (
    "```degrees\nmeter: 2/4\nwords: {word} ...\nlow: 1 2 | 3 - |\nleader: 1 - | 1 - |\n```\n",
    "```abc\nX:1\nT:{text}\nC:{text}\nM:2/4\nL:1/4\nQ:1/4=84\nK:C\n"
    'V:high name="\'><svg onload=ran({n})>"\nCD|E2|\nw:{word} a b\n```\n',
)
SCORE = """\
<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
  <work><work-title>{text}</work-title></work>
  <movement-title>{text}</movement-title>
  <identification><creator type="composer">{text}</creator><rights>{text}</rights></identification>
  <credit page="1"><credit-words default-x="10" default-y="10">{text}</credit-words></credit>
  <part-list>
    <score-part id="P1"><part-name>High</part-name>
      <part-name-display><display-text>{text}</display-text></part-name-display>
      <part-abbreviation>{text}</part-abbreviation></score-part>
  </part-list>
  <part id="P1">
    <measure number="1">
      <attributes><divisions>1</divisions><key><fifths>0</fifths></key>
        <time><beats>2</beats><beat-type>4</beat-type></time>
        <clef><sign>G</sign><line>2</line></clef></attributes>
      <direction><direction-type><words>{text}</words></direction-type></direction>
      <direction><direction-type><rehearsal>{text}</rehearsal></direction-type></direction>
      <direction><direction-type><dynamics><other-dynamics>{text}</other-dynamics></dynamics>
        </direction-type></direction>
      <note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice>
        <type>quarter</type><lyric><syllabic>single</syllabic><text>{text}</text></lyric></note>
      <note><pitch><step>D</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice>
        <type>quarter</type></note>
    </measure>
  </part>
</score-partwise>
"""


def put(data: Any, path: Path_, text: Callable[[], str]) -> None:
    """Write a text of its own into every place of the field."""
    head, *rest = path
    if head == "*":
        places = list(data) if isinstance(data, dict) else range(len(data))
        assert places, "BASE has no example of this; add one"
        for place in places:
            if rest:
                put(data[place], tuple(rest), text)
            else:
                data[place] = text()
    elif not rest:
        data[head] = text()
    elif rest == ["*"] and not data.get(head):
        data[head] = [text()]
    else:
        if data.get(head) is None:
            data[head] = {}
        put(data[head], tuple(rest), text)


#: What the site looks like: as the demo does, with everything that prints titles.
SETTINGS = {
    "docs_dir": "handbook",
    "theme": {
        "name": "material",
        "font": False,
        "features": [
            *("navigation.tabs", "navigation.path", "navigation.footer", "navigation.indexes"),
            *("search.suggest", "search.highlight"),
        ],
    },
    "plugins": ["search", "chorus-handbook"],
}


@dataclass
class Handbook:
    """A project to be written: exercises, views and pages by their file name."""

    chorus: dict[str, Any] = field(default_factory=lambda: copy.deepcopy(BASE["chorus"]))
    vocabulary: dict[str, Any] = field(default_factory=lambda: copy.deepcopy(BASE["vocabulary"]))
    exercises: dict[str, tuple[dict[str, Any], str]] = field(default_factory=dict)
    views: list[dict[str, Any]] = field(default_factory=list)
    pages: dict[str, tuple[dict[str, Any], str]] = field(default_factory=dict)
    warm_ups: list[dict[str, Any]] = field(default_factory=list)
    routines: list[dict[str, Any]] = field(default_factory=list)
    score: str = ""
    settings: dict[str, Any] = field(default_factory=lambda: {"site_name": "Testing Chorus"})

    def of(self, kind: str) -> list[dict[str, Any]]:
        """The data of all files of a kind."""
        if kind == "exercise":
            return [front for front, _ in self.exercises.values()]
        if kind == "page":
            return [front for front, _ in self.pages.values()]
        lists = {"view": self.views, "warm-up": self.warm_ups, "routine": self.routines}
        return lists[kind] if kind in lists else [getattr(self, kind)]

    def write(self, project: Path) -> Path:
        """The files, JSON being YAML."""
        root = project / "handbook"
        (root / "exercises").mkdir(parents=True, exist_ok=True)
        for name in ("chorus", "vocabulary"):
            (root / f"{name}.yml").write_text(_yaml(getattr(self, name)), encoding="utf-8")
        views = [
            f"- {_yaml(view).replace(chr(10), chr(10) + '  ').rstrip()}\n" for view in self.views
        ]
        if views:
            (root / "views.yml").write_text("".join(views), encoding="utf-8")
        for name, (front, body) in self.exercises.items():
            text = f"---\n{_yaml(front)}---\n{body}"
            (root / "exercises" / f"{name}.md").write_text(text, encoding="utf-8")
        for name, (front, body) in self.pages.items():
            text = f"---\n{_yaml(front)}---\n{body}" if front else body
            (root / f"{name}.md").write_text(text, encoding="utf-8")
        named = {f"warmups/2026-09-{n + 10}-monday": one for n, one in enumerate(self.warm_ups)}
        named |= {f"routines/routine-{n}": one for n, one in enumerate(self.routines)}
        for name, front in named.items():
            (root / name).parent.mkdir(exist_ok=True)
            (root / f"{name}.md").write_text(f"---\n{_yaml(front)}---\nText.\n", encoding="utf-8")
        if self.score:
            (root / "scores").mkdir(exist_ok=True)
            (root / "scores" / "probe.musicxml").write_text(self.score, encoding="utf-8")
        (project / "mkdocs.yml").write_text(_yaml({**self.settings, **SETTINGS}), encoding="utf-8")
        return root


def _yaml(fields: dict[str, Any]) -> str:
    return "".join(
        f"{name}: {json.dumps(value, ensure_ascii=False)}\n"
        for name, value in fields.items()
        if value is not None
    )


def one_of_each() -> Handbook:
    """The smallest handbook with every kind of file."""
    book = Handbook()
    book.exercises["probe-0"] = (copy.deepcopy(BASE["exercise"]), "Text.\n")
    book.views = [copy.deepcopy(BASE["view"])]
    book.pages["about"] = (copy.deepcopy(BASE["page"]), "Text.\n")
    book.warm_ups = [copy.deepcopy(BASE["warm-up"])]
    book.routines = [copy.deepcopy(BASE["routine"])]
    return book


def accepted_size(project: Path, kind: str, path: Path_) -> int | None:
    """The size of hostile text that the field takes, the longest that it does; None when it is
    read by a rule and takes none."""
    for size in range(3):
        book = one_of_each()
        for data in book.of(kind):
            put(data, path, lambda: Hostile().text(size, 0))  # noqa: B023  (called at once)
        if not has_errors(check(book.write(project))):
            return size
    return None


@dataclass
class Poisoned:
    """The built site, and the texts that stand in each field."""

    site: Path
    book: Handbook
    texts: dict[tuple[str, Path_], list[str]]


@pytest.fixture(scope="module")
def sizes(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, Path_], int]:
    """The fields that take hostile text, and of which size."""
    assert not has_errors(check(one_of_each().write(tmp_path_factory.mktemp("base"))))
    found = {}
    for number, (kind, path) in enumerate(FIELDS):
        size = accepted_size(tmp_path_factory.mktemp(f"field-{number}"), kind, path)
        if size is not None:
            found[kind, path] = size
    assert len(found) > 15
    return found


@pytest.fixture(scope="module")
def poisoned(
    tmp_path_factory: pytest.TempPathFactory, sizes: dict[tuple[str, Path_], int]
) -> Poisoned:
    """A handbook in which every field is hostile, built."""
    return build(tmp_path_factory.mktemp("poisoned"), *poison(sizes))


def build(project: Path, book: Handbook, texts: dict[tuple[str, Path_], list[str]]) -> Poisoned:
    book.write(project)
    assert main(["--project", str(project), "build"]) == 0
    return Poisoned(project / "site", book, texts)


def poison(
    sizes: dict[tuple[str, Path_], int], make: Callable[[int, int], str] | None = None
) -> tuple[Handbook, dict[tuple[str, Path_], list[str]]]:
    """A handbook with hostile text in these fields, each of the size it takes."""
    make = make or Hostile().text
    book = Handbook()
    turns = (len(SHORT) + 1) // 2  # titles hold two short texts each
    for turn in range(turns):
        body = 'Text.\n\n## A "word" &lt;svg onload=ran(1)&gt;\n\nText.\n'
        front = copy.deepcopy(BASE["exercise"])
        if turn < len(NOTATION):
            n, text = 90 + turn, make(0, turn)
            word = WORD.format(n=n)
            body += NOTATION[turn].format(n=n, word=word, text=text)
        if turn == len(NOTATION):
            front["score"] = "scores/probe.musicxml"
            book.score = SCORE.format(text=xml(make(0, turn)))
        if turn <= len(NOTATION):
            front |= {"tempo": 84, "keys": "C4 up to D4"}
        book.exercises[f"probe-{turn}"] = (front, body)
        book.views.append({**copy.deepcopy(BASE["view"]), "slug": f"low-{turn}"})
        book.warm_ups.append({**copy.deepcopy(BASE["warm-up"]), "date": f"2026-09-{turn + 10}"})
        book.routines.append(copy.deepcopy(BASE["routine"]))
    for _, (front, _body) in list(book.exercises.items())[:2]:
        front["related"] = ["probe-5"]
    book.pages["about"] = (copy.deepcopy(BASE["page"]), "Text.\n")
    book.pages['"><img src=x onerror=ran(2)>'] = ({}, "Text.\n")
    book.pages["heading"] = ({}, f'# {SHORT[8].format(n=3)} and "more"\n\nText.\n')
    book.settings |= {name: make(0, 0) for name in ("site_name", "site_description", "site_author")}
    book.settings["copyright"] = "&copy; <a href='javascript:ran(4)' onfocus=ran(4)>Us</a>"
    texts: dict[tuple[str, Path_], list[str]] = {}
    for (kind, path), size in sizes.items():
        for turn, data in enumerate(book.of(kind)):
            if kind == "page" and not data:
                continue
            if kind == "exercise" and path in OF_OTHERS and turn == turns - 1:
                continue  # the chorus's own, which shows its licence
            for_field = texts.setdefault((kind, path), [])

            def text(size: int = size, turn: int = turn, into: list[str] = for_field) -> str:
                into.append(make(size, turn))
                return into[-1]

            put(data, path, text)
    return book, texts


def xml(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


#: What a page is asked to do so that whatever waits for a reader's hand or eye runs as well.
PROVOKE = """async () => {
  for (const one of document.querySelectorAll('template')) {
    const room = document.createElement('div');
    document.body.append(room);
    room.append(one.content.cloneNode(true));
  }
  for (const one of document.querySelectorAll('details')) one.open = true;
  for (const one of document.querySelectorAll('*')) {
    for (const kind of ['mouseover', 'mouseenter', 'focus'])
      one.dispatchEvent(new MouseEvent(kind, {bubbles: true}));
  }
  await new Promise(done => setTimeout(done, 50));
  return {
    ran: window.hostileRan,
    handlers: [...document.querySelectorAll('*')].flatMap(one => [...one.attributes]
      .filter(({name}) => name.startsWith('on')).map(({name, value}) => `${name}=${value}`)),
    pictures: document.querySelectorAll('img').length,
  };
}"""


@pytest.fixture(scope="module")
def address(poisoned: Poisoned) -> Iterator[str]:
    with served(poisoned.site) as address:
        yield address


@contextmanager
def served(site: Path) -> Iterator[str]:
    handler = functools.partial(_Quiet, directory=str(site))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """Tests need no access log."""


@pytest.fixture
def watched(chromium: Browser) -> Iterator[tuple[Page, list[str]]]:
    """A page that notes in the list whatever runs or goes wrong in it."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, service_workers="block")
    context.add_init_script("window.hostileRan = []; window.ran = n => window.hostileRan.push(n);")
    page, happened = context.new_page(), []
    page.on("dialog", lambda dialog: (happened.append(dialog.message), dialog.dismiss()))
    page.on("pageerror", lambda error: happened.append(str(error)))
    yield page, happened
    context.close()


def addresses(poisoned: Poisoned) -> list[str]:
    return sorted(
        "404.html" if file.name == "404.html" else file.parent.relative_to(poisoned.site).as_posix()
        for file in poisoned.site.rglob("*.html")
    )


def test_the_models_of_all_files_are_looked_through() -> None:
    for module in pkgutil.walk_packages(chorus_handbook.__path__, "chorus_handbook."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)

    def parts(model: type[BaseModel]) -> set[type[BaseModel]]:
        found = {model}
        for info in model.model_fields.values():
            for part in _models_in(info.annotation):
                found |= parts(part)
        return found

    seen = set().union(*(parts(model) for model in MODELS.values()))
    seen |= {base for model in MODELS.values() for base in model.__mro__}
    ours = {heir for heir in _heirs(Model) if heir.__module__.startswith("chorus_handbook.")}
    assert ours - SAVED <= seen, "add the new kind of file to MODELS and BASE"


def _models_in(kind: Any) -> Iterator[type[BaseModel]]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
    for argument in get_args(kind):
        yield from _models_in(argument)


def _heirs(model: type[BaseModel]) -> set[type[BaseModel]]:
    return set().union(*({heir} | _heirs(heir) for heir in model.__subclasses__()))


def test_nothing_runs_on_any_page(
    poisoned: Poisoned, address: str, watched: tuple[Page, list[str]]
) -> None:
    assert len(addresses(poisoned)) > 20
    visit_all(poisoned, address, *watched)


def visit_all(poisoned: Poisoned, address: str, page: Page, happened: list[str]) -> None:
    """Look at every page, and fail where something ran."""
    for path in addresses(poisoned):
        page.goto(address + path.replace('"', "%22").replace(" ", "%20"))
        found = page.evaluate(PROVOKE)
        assert found == {"ran": [], "handlers": [], "pictures": 0} and happened == [], path


def test_the_themes_search_is_switched_off_though_it_is_asked_for(poisoned: Poisoned) -> None:
    assert "search" in SETTINGS["plugins"]
    assert [file.name for file in (poisoned.site / "search").iterdir()] == ["index.html"]
    assert not (poisoned.site / "assets" / "javascripts" / "lunr").exists()


def test_search_shows_titles_as_they_were_written(
    poisoned: Poisoned, address: str, watched: tuple[Page, list[str]]
) -> None:
    page, happened = watched
    page.goto(address)
    titles = [
        title
        for where in (("exercise", ("title",)), ("view", ("title",)), ("page", ("title",)))
        for title in poisoned.texts[where]
    ] + poisoned.texts["vocabulary", ("goals", "*", "label")]
    page.locator("header a.hb-search").click()
    field = page.locator(".hb-search-dialog input")
    for title in titles:
        field.fill(title[:4])
        expect(page.locator(".hb-found-title", has_text=title[:4]).first).to_have_text(title)
    for words in ("onload", "&lt;", "<svg", 'x="', "alert"):  # these show all the other texts
        field.fill(words)
        page.wait_for_timeout(100)
    assert page.evaluate("window.hostileRan") == [] and happened == []


def parsed(file: Path) -> Any:
    return html5lib.parse(file.read_text(encoding="utf-8"), namespaceHTMLElements=False)


def test_a_page_says_its_title_and_summary_as_they_were_written(poisoned: Poisoned) -> None:
    fronts = {f"exercises/{name}": front for name, (front, _) in poisoned.book.exercises.items()}
    described = {name: (front["title"], front["summary"]) for name, front in fronts.items()}
    for view in poisoned.book.views:
        described[f"views/{view['slug']}"] = (view["title"], view["intro"])
    (goal,) = poisoned.book.vocabulary["goals"].values()
    described["goals/tone"] = (goal["label"], goal["about"])
    described["about"] = (poisoned.book.pages["about"][0]["title"],) * 2
    site_name = poisoned.book.settings["site_name"]
    for name, (title, description) in described.items():
        page = parsed(poisoned.site / name / "index.html")
        plain = fronts[name].get("plain") if name in fronts else None
        full = f"{title} · {plain}" if plain else title
        assert page.findtext("head/title") == f"{full} - {site_name}"
        (meta,) = page.findall("head/meta[@name='description']")
        assert meta.get("content") == description
        assert page.findtext(".//article//h1") == title
        assert page.find(".//a[@class='md-header__button md-logo']").get("aria-label") == site_name
    page = parsed(poisoned.site / "404.html")
    assert page.findtext("head/title") == site_name
    (meta,) = page.findall("head/meta[@name='description']")
    assert meta.get("content") == poisoned.book.settings["site_description"]


def test_every_text_arrives_whole_or_not_at_all(poisoned: Poisoned) -> None:
    hold_every_text(poisoned)


def hold_every_text(poisoned: Poisoned) -> None:
    """The texts of every field stand in the parsed pages and data, sign by sign."""
    shown: set[str] = set()
    for file in poisoned.site.rglob("*.html"):
        page = parsed(file)
        for element in page.iter():
            shown |= {text.strip() for text in (element.text, element.tail) if text}
            shown |= set(element.attrib.values())
            assert not [name for name in element.attrib if str(name).startswith("on")], file
            for name in ("href", "src", "action"):
                address = element.get(name) or ""
                assert not address.lower().startswith("javascript:ran"), file
            if element.tag == "script" and element.get("type") != "application/json":
                assert "ran(" not in (element.text or ""), file
    everything = "\n".join(shown)
    for file in poisoned.site.rglob("*.json"):
        everything += "\n".join(strings_in(json.loads(file.read_text(encoding="utf-8"))))
    for where, texts in poisoned.texts.items():
        arrived = [text in everything for text in texts]
        assert all(arrived) if where not in NOT_SHOWN else not any(arrived), where


def strings_in(data: Any) -> Iterator[str]:
    """Every string of JSON data, once decoded."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for name, value in data.items():
            yield name
            yield from strings_in(value)
    elif isinstance(data, list):
        for value in data:
            yield from strings_in(value)


def test_data_inside_pages_is_json(poisoned: Poisoned) -> None:
    found = 0
    for file in poisoned.site.rglob("*.html"):
        for script in parsed(file).iter("script"):
            if script.get("type") == "application/json" and script.get("id") != "__config":
                data = json.loads(script.text)
                if "items" in data:  # the plan on the page of a warm-up
                    assert data["title"] in poisoned.texts["warm-up", ("title",)]
                    continue
                labels = {voice["label"] for voice in data["voices"].values()}
                assert labels <= set(poisoned.texts["chorus", ("voices", "*", "label")])
                found += 1
    assert found >= len(NOTATION)


#: What is dangerous somewhere, to be put together in any order.
PIECES = st.sampled_from(
    [
        *("<", ">", "&", '"', "'", "`", "/", "\\", "=", ";", "#", "{{", "}}", "{%", "%}", "]]>"),
        *(
            "<!--",
            "-->",
            "--!>",
            "<![CDATA[",
            "<?",
            "</",
            "/>",
            "&lt;",
            "&#x3c;",
            "&quot;",
            "&amp;",
        ),
        *("script", "<script>", "</script>", "<svg/onload=", "<img src=x onerror=", "ran(7)"),
        *("</title>", "</textarea>", "</style>", "</template>", "</noscript>", "<plaintext>"),
        *(
            " onfocus=ran(7) autofocus ",
            " style=",
            "javascript:ran(7)",
            "data:text/html,",
            "\\u003c",
        ),
        *("[a](b)", "**", "_", "~~", "![", "{: onclick=ran(7)}", "[^1]", "*[a]: b", "$", "a", "é"),
        *("\U0001f3b5", "\ue000head\ue000", "x", " "),
    ]
)


@settings(
    max_examples=int(os.environ.get("FUZZ", "1")),
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # a build is slow; what failed is shown
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(data=st.data())
def test_any_text_is_text(
    sizes: dict[tuple[str, Path_], int], watched: tuple[Page, list[str]], data: st.DataObject
) -> None:
    """One handbook of drawn texts, parsed; with FUZZ=100 in the environment, a hundred, which are
    opened in the browser as well."""
    shown = {where: size for where, size in sizes.items() if where not in NOT_SHOWN}
    used: set[str] = set()

    def drawn(size: int, _turn: int) -> str:
        pieces = data.draw(st.lists(PIECES, min_size=1, max_size=(30, 8, 3)[size]))
        text = " ".join(f"u{len(used)} {''.join(pieces)}"[: (280, 78, 38)[size]].split())
        used.add(text)
        return text

    with tempfile.TemporaryDirectory() as folder:
        poisoned = build(Path(folder), *poison(shown, drawn))
        hold_every_text(poisoned)
        if "FUZZ" in os.environ:
            with served(poisoned.site) as address:
                visit_all(poisoned, address, *watched)
