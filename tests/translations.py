"""The catalogue's files, made from the sources: the template of all messages for translators, and
from a translation of it what the program reads. Babel does the work; the program needs none of it.
"""

from __future__ import annotations

import gettext
import io
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from babel import Locale, UnknownLocaleError
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

import chorus_handbook
from chorus_handbook import catalogue
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.warmups.findings import RULES

PACKAGE = Path(chorus_handbook.__file__).parent
TEMPLATE = PACKAGE / "locale" / "messages.pot"
_METHODS = [
    ("pages/templates/**.html", "jinja2"),
    ("browser/**.js", "javascript"),
    ("**.py", "python"),
]
_KEYWORDS: Any = {
    "_": None,
    "N_": None,
    "gettext": None,
    "ngettext": (1, 2),
    "pgettext": ((1, "c"), 2),
}
_COMMENT = "Translators:"
_PLACE = re.compile(r"\{\w+\}")
#: Which version of Babel wrote a file is no fact about it.
_GENERATOR = re.compile(rb'^"Generated-By: .*\n', re.MULTILINE)
_HEADER = """\
# The words of Chorus Handbook. A test writes this file; see DEVELOPERS.md, "A language".
# The places in braces are filled in by the program. They have to stand in a translation too.
"""
#: A message's first words are in a script.
_SCRIPT = "browser/"
#: So many counts show every plural form that a whole number can have.
_COUNTS = range(1_000)


def extracted() -> Catalog:
    """Every message in the sources, in the order of the files."""
    catalogue = Catalog(
        project="Chorus Handbook",
        header_comment=_HEADER.strip(),
        creation_date=datetime(2000, 1, 1, tzinfo=UTC),  # the same sources, the same file
        charset="utf-8",
    )
    found = extract_from_dir(
        PACKAGE,
        _METHODS,
        {"**.html": {"trim_blocks": "true", "lstrip_blocks": "true", "silent": "false"}},
        keywords=_KEYWORDS,
        comment_tags=[_COMMENT],
        strip_comment_tags=True,
    )
    for name, line, text, comments, context in sorted(found, key=lambda one: one[:2]):
        catalogue.add(text, None, [(name, line)], auto_comments=comments, context=context)
    shared = [FACTS["pitch"]["alterations"], *FACTS["ladder"]["words"].values()]
    shared += [*FACTS["scales"].values(), FACTS["swaps"]["words"]]
    for meanings in shared:
        for word in meanings.values():
            catalogue.add(word, None, [("browser/shared_facts.js", 1)])
    for span in FACTS["spans"]:
        catalogue.add(span, None, [("browser/shared_facts.js", 1)])
    for word in RULES["kinds"].values():
        catalogue.add(word, None, [("browser/warm_up_rules.js", 1)])
    for rule in RULES["findings"].values():
        for text in (rule.get(f"page_{part}", rule[part]) for part in ("message", "hint")):
            catalogue.add(text, None, [("browser/warm_up_rules.js", 1)])
    for message in catalogue:
        message.flags -= {"python-format"}  # a per cent sign is one
        if message.id and any(_PLACE.search(text) for text in texts(message.id)):
            message.flags |= {"python-brace-format"}
    return catalogue


def template() -> bytes:
    """messages.pot. It names files, but no lines, so that it changes with the messages alone."""
    return written(extracted())


def written(catalogue: Catalog) -> bytes:
    """A catalogue as a file for translators."""
    file = io.BytesIO()
    write_po(file, catalogue, width=100, include_lineno=False, sort_by_file=True)
    return _GENERATOR.sub(b"", file.getvalue())


def texts(message: str | tuple[str, ...] | list[str]) -> tuple[str, ...]:
    """A message's one text, or its singular and plural."""
    return (message,) if isinstance(message, str) else tuple(message)


def compile_language(folder: Path) -> dict[str, bytes]:
    """What the program reads of the language in a folder, by file name: `messages.mo`, and
    `scripts.json` with the messages that stand in scripts."""
    with (folder / "messages.po").open("rb") as file:
        translated = read_po(file, locale=locale_of(folder.name))
    compiled = io.BytesIO()
    write_mo(compiled, translated)
    scripts = {
        f"{message.context}\u0004{first}" if message.context else first: _forms(message, translated)
        for message in translated
        if message.id and message.string and not message.fuzzy and in_scripts(message)
        for first in texts(message.id)[:1]
    }
    table = json.dumps(scripts, ensure_ascii=False, indent=1, sort_keys=True)
    return {"messages.mo": compiled.getvalue(), "scripts.json": table.encode() + b"\n"}


def locale_of(tag: str) -> Locale:
    """What CLDR knows of a language; of its main language where it has nothing of a variant."""
    try:
        return Locale.parse(tag, sep="-")
    except UnknownLocaleError:
        return Locale.parse(tag.partition("-")[0])


def in_scripts(message: Message) -> bool:
    """Whether a script shows this message."""
    return any(name.startswith(_SCRIPT) for name, _ in message.locations)


def _forms(message: Message, catalogue: Catalog) -> str | dict[str, str]:
    """A translation, or its forms by category of CLDR, which the browser's `Intl.PluralRules`
    tells; gettext numbers them by the rule that the catalogue states."""
    if isinstance(message.string, str):
        return message.string
    assert catalogue.locale and message.string
    number, category = gettext.c2py(catalogue.plural_expr), catalogue.locale.plural_form
    return {category(n): message.string[number(n)] for n in reversed(_COUNTS)}


@contextmanager
def in_language(tag: str) -> Iterator[None]:
    """Use another language of the catalogue while the block runs."""
    before = catalogue.language()
    catalogue.use(tag)
    try:
        yield
    finally:
        catalogue.use(before)
