"""The catalogue of the site's words: its files are those of the sources, a translation is used on
both sides, and text stays text."""

from __future__ import annotations

import ast
import json
import os
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from babel.messages.catalog import Catalog
from markupsafe import Markup

import translations
from chorus_handbook import catalogue
from chorus_handbook.catalogue import _, joined, listed, ngettext, pgettext
from chorus_handbook.pages.html import render

RECORD = os.environ.get("HANDBOOK_RECORD") == "1"


def must_be(file: Path, made: bytes) -> None:
    """The file is what is made now; HANDBOOK_RECORD=1 writes it instead."""
    if RECORD:
        file.write_bytes(made)
    again = "HANDBOOK_RECORD=1 .venv/bin/pytest tests/test_catalogue.py writes it anew"
    assert file.read_bytes() == made, f"{file.name} has fallen behind: {again}"


def test_the_template_has_the_messages_of_the_sources() -> None:
    must_be(translations.TEMPLATE, translations.template())


def test_what_the_program_reads_is_the_translation() -> None:
    for file in sorted(catalogue.FOLDER.glob("*/messages.po")):
        valid(file)
        for name, made in translations.compile_language(file.parent).items():
            must_be(file.parent / name, made)


def valid(file: Path) -> None:
    """GNU gettext's own check: plural forms, and places that are lost or unknown."""
    done = subprocess.run(
        ["msgfmt", "--check-format", "--check-domain", "--output-file=/dev/null", file],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_the_template_is_in_order_for_gettext() -> None:
    valid(translations.TEMPLATE)


#: Two texts, a count, a context, a number and a list, in Polish, which has three forms for counts.
POLISH: dict[tuple[str, str], str | list[str]] = {
    ("", "{n} minute"): ["{n} minuta", "{n} minuty", "{n} minut"],
    ("", "{n} beat a minute"): ["{n} raz", "{n} razy", "{n} razów"],
    ("", "Play"): "Graj <b>",
    ("", "out after {key}"): "Zacznij <b>w {key}</b>.",
    ("", "Let go"): "Puść",
    ("decimal sign", "."): ",",
    ("list", "{items} and {last}"): "{items} i {last}",
    ("labels within a sentence", "lower"): "as written",
}


CALLS = {"_", "N_", "ngettext", "pgettext"}


def test_no_message_is_overlooked() -> None:
    """Babel does not look into f-strings: there a message would never be translated."""
    known = {
        text
        for message in translations.extracted()
        if message.id
        for text in (message.context, *translations.texts(message.id))
    }
    overlooked = [
        (file.name, argument.value)
        for file in translations.PACKAGE.rglob("*.py")
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        if node.func.id in CALLS
        for argument in node.args
        if isinstance(argument, ast.Constant) and isinstance(argument.value, str)
        if argument.value not in known
    ]
    assert overlooked == []


@pytest.fixture
def polish(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A language with few words, in use."""
    translated = Catalog(locale="pl")
    for message in translations.extracted():
        first = translations.texts(message.id)[0] if message.id else ""
        string = POLISH.get((message.context or "", first))
        if string:
            translated.add(message.id, string, message.locations, context=message.context)
    folder = tmp_path / "locale" / "pl"
    folder.mkdir(parents=True)
    (folder / "messages.po").write_bytes(translations.written(translated))
    for name, made in translations.compile_language(folder).items():
        (folder / name).write_bytes(made)
    monkeypatch.setattr(catalogue, "FOLDER", folder.parent)
    with translations.in_language("pl"):
        yield


@pytest.mark.usefixtures("polish")
def test_a_translation_is_used() -> None:
    assert [ngettext("{n} minute", "{n} minutes", n) for n in (1, 3, 5)] == [
        "1 minuta",
        "3 minuty",
        "5 minut",
    ]
    assert catalogue.decimal(92.5) == "92,5"
    assert listed(["a", "b", "c"]) == "a, b i c"
    assert catalogue.inside("Alt") == "Alt"
    assert _("Every voice can sing all keys.") == "Every voice can sing all keys."  # not translated
    assert catalogue.languages() == ["en", "pl"]
    assert catalogue.version().startswith("pl ")


@pytest.mark.usefixtures("polish")
def test_a_translation_is_text() -> None:
    """Markup comes in by places only, and by their type: not from a translation, nor from a text
    that is filled in."""
    assert _("out after {key}", key="<i>") == "Zacznij <b>w <i></b>."  # escaped where it is shown
    marked = _("out after {key}", key=Markup("<i>D</i>"))
    assert marked == Markup("Zacznij &lt;b&gt;w <i>D</i>&lt;/b&gt;.") and isinstance(marked, Markup)
    assert joined(["<i>", Markup("<b>")]) == Markup("&lt;i&gt;, <b>")
    player = {
        "notes": "",
        "instrument": "",
        "tempo": "60",
        "named": "{tonic}",
        "keys": "",
        "voices": [],
        "passes": "raz",
    }
    kinds = dict.fromkeys(("sung", "several_keys", "several_voices"), False)
    page = render("player.html", **player, **kinds)
    assert ">Graj &lt;b&gt;</button>" in page


def test_one_english_text_may_have_two_meanings() -> None:
    assert pgettext("a voice", "not chosen") == "not chosen"


def in_browser(calls: str, evaluate: Callable[..., Any], tmp_path: Path) -> Any:
    """What the published module of this language makes of some calls."""
    source = translations.PACKAGE / "browser" / "words.js"
    module = tmp_path / "words.js"
    module.write_bytes(catalogue.script_words(source.read_bytes()))
    return evaluate(str(module), f"(words, data) => {calls}", list(range(200)))


@pytest.mark.usefixtures("polish")
def test_the_browser_has_the_same_words(evaluate: Callable[..., Any], tmp_path: Path) -> None:
    """Forms of counts by two rules: gettext's (the catalogue's header) and the browser's own
    (CLDR)."""
    many = "data.map((n) => words.ngettext('{n} beat a minute', '{n} beats a minute', n))"
    wanted = [ngettext("{n} beat a minute", "{n} beats a minute", n) for n in range(200)]
    assert in_browser(many, evaluate, tmp_path) == wanted
    single = "[words.gettext('Let go'), words.decimal(2.5), words.inside('Alt')]"
    assert in_browser(single, evaluate, tmp_path) == ["Puść", "2,5", "Alt"]
    assert in_browser("words.gettext('Pause')", evaluate, tmp_path) == "Pause"  # not translated


def test_english_needs_no_table(evaluate: Callable[..., Any], tmp_path: Path) -> None:
    source = (translations.PACKAGE / "browser" / "words.js").read_bytes()
    assert catalogue.script_words(source) == source
    calls = "[words.ngettext('{n} key', '{n} keys', 1), words.gettext('In {key} {x}', {key: 'C'})]"
    assert in_browser(calls, evaluate, tmp_path) == ["1 key", "In C {x}"]


def test_scripts_have_only_their_own_messages() -> None:
    table = json.dumps([m.id for m in translations.extracted() if translations.in_scripts(m)])
    assert "Playing in {key}." in table and "near the top" in table
    assert "Every voice can sing all keys." not in table


def test_a_language_that_is_not_there(handbook: Callable[..., Any], project: Path) -> None:
    chorus = project / "handbook" / "chorus.yml"
    chorus.write_text(chorus.read_text("utf-8") + "language: tlh\n", encoding="utf-8")
    code, out, _err = handbook("--project", project, "check")
    assert code == 1
    assert "chorus.yml:10:11: error[field-value]" in out
    assert 'not translated into "tlh"' in out and 'Write one of these: "en".' in out
