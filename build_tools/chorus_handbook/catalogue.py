"""Translates the site's own words into the language of the handbook.

Every text for readers is a message: a whole English sentence, with named placeholders such as
{title}. `gettext` looks it up in the catalogue of the language in use; then the placeholders are
filled in. English is the language of the source and has no catalogue. Each other language has a
folder in `locale/`:

```
locale/messages.pot            every message, for translators
locale/<language>/messages.po  their translations
                  messages.mo  the same, compiled for `gettext`
                  scripts.json the messages that the browser's scripts show
```

A test writes `messages.pot`, `messages.mo` and `scripts.json`, and fails when they are out of date.
"""

from __future__ import annotations

import gettext as library
import json
from collections.abc import Iterable
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from markupsafe import Markup, escape

FOLDER = Path(__file__).parent / "locale"
ENGLISH = "en"
#: The text before the table of messages in `browser/words.js`.
_TABLE = b"const CATALOGUE = "


class _State:
    """The language in use, one for the whole process."""

    language = ENGLISH


def languages() -> list[str]:
    """English and the languages that have a catalogue, as BCP 47 tags."""
    return sorted({ENGLISH, *(file.parent.name for file in FOLDER.glob("*/messages.mo"))})


def use(language: str) -> None:
    """Use this language from now on. Raises ValueError when it has no catalogue."""
    if language not in languages():
        raise ValueError(language)
    _State.language = language


def language() -> str:
    """The language in use."""
    return _State.language


def version() -> str:
    """A text that changes with the language and its translations. It is part of the cache keys of
    results that contain words."""
    if language() == ENGLISH:
        return ENGLISH
    return f"{language()} {sha256((FOLDER / language() / 'messages.mo').read_bytes()).hexdigest()}"


def script_words(module: bytes) -> bytes:
    """The content of the script `browser/words.js` (`module`), with its table of messages filled in
    for the language in use."""
    if language() == ENGLISH:
        return module
    messages = json.loads((FOLDER / language() / "scripts.json").read_text(encoding="utf-8"))
    table = json.dumps(
        {"language": language(), "messages": messages}, ensure_ascii=False, separators=(",", ":")
    )
    begin = module.index(_TABLE) + len(_TABLE)
    return module[:begin] + table.encode() + module[module.index(b";\n", begin) :]


def N_(message: str) -> str:  # noqa: N802  (the usual name)
    """Mark a message that is translated later, where it is shown. Returns it unchanged."""
    return message


def _(message: str, **values: object) -> str:
    """A message in the language in use, with its placeholders filled in.

    If any value is `Markup`, so is the result, and everything else in it is escaped. Otherwise the
    result is a plain `str`, which is escaped where it is shown.
    """
    return _filled(_translations(FOLDER, language()).gettext(message), values)


def pgettext(context: str, message: str, **values: object) -> str:
    """Like `_`, for an English text with several meanings; `context` says which is meant."""
    return _filled(_translations(FOLDER, language()).pgettext(context, message), values)


def ngettext(one: str, many: str, n: int, /, **values: object) -> str:
    """A message in the singular or plural form for the count `n`, which also fills {n}."""
    return _filled(_translations(FOLDER, language()).ngettext(one, many, n), {"n": n, **values})


def decimal(value: float) -> str:
    """A number written with the decimal sign of the language: "92.5"."""
    # Translators: the sign between whole numbers and tenths.
    return f"{value:g}".replace(".", pgettext("decimal sign", "."))


def joined(items: Iterable[str]) -> str:
    """The items of a list in one text: "a, b, c"."""
    first, *others = list(items) or [""]
    for item in others:
        # Translators: how the items of a list follow each other.
        first = pgettext("list", "{items}, {next}", items=first, next=item)
    return first


def listed(items: Iterable[str]) -> str:
    """The items of a list in a sentence: "a", "a and b", "a, b and c"."""
    *others, last = list(items) or [""]
    if not others:
        return last
    # Translators: the end of a list, also of one with two items.
    return pgettext("list", "{items} and {last}", items=joined(others), last=last)


def inside(label: str) -> str:
    """A label, such as a voice's, as it is written within a sentence: in English "alto" for
    "Alto"."""
    # Translators: "lower" where names of voices begin with a small letter within a sentence, as in
    # English; any other word leaves them as they are.
    return label.lower() if pgettext("labels within a sentence", "lower") == "lower" else label


def _filled(message: str, values: dict[str, object]) -> str:
    if any(isinstance(value, Markup) for value in values.values()):
        return escape(message).format(**values)
    return message.format(**values) if values else message


@lru_cache(maxsize=4)
def _translations(folder: Path, tag: str) -> library.NullTranslations:
    if tag == ENGLISH:
        return library.NullTranslations()
    with (folder / tag / "messages.mo").open("rb") as file:
        return library.GNUTranslations(file)
