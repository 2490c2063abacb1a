"""The site's own words, in the language of the handbook.

Every text for readers is a message: a whole English sentence with {named} places. It is looked up
by `gettext` in the catalogue of the language in use and then filled in. English is the language of
the source and has no catalogue; each other language has a folder in `locale/`:

```
locale/messages.pot            every message, for translators
locale/<language>/messages.po  their work
                  messages.mo  the same for `gettext`
                  scripts.json the messages that the browser's scripts show
```

A test writes `messages.pot`, `messages.mo` and `scripts.json`, and fails where they fall behind.
"""

from __future__ import annotations

import gettext as library
import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from markupsafe import Markup, escape

FOLDER = Path(__file__).parent / "locale"
ENGLISH = "en"
_TABLE = b"const CATALOGUE = "


class _State:
    """One process speaks one language."""

    language = ENGLISH


def languages() -> list[str]:
    """The languages of which there is a catalogue, as BCP 47 tags, and English."""
    return sorted({ENGLISH, *(file.parent.name for file in FOLDER.glob("*/messages.mo"))})


def use(language: str) -> None:
    """Speak this language from now on. Raises ValueError where it has no catalogue."""
    if language not in languages():
        raise ValueError(language)
    _State.language = language


def language() -> str:
    """The language in use."""
    return _State.language


@contextmanager
def speaking(other: str) -> Iterator[None]:
    """Speak another language while the block runs."""
    before = language()
    use(other)
    try:
        yield
    finally:
        use(before)


def version() -> str:
    """Changes with the language and with its translations: part of the key of every stored result
    that has words in it."""
    if language() == ENGLISH:
        return ENGLISH
    return f"{language()} {sha256((FOLDER / language() / 'messages.mo').read_bytes()).hexdigest()}"


def script_words(module: bytes) -> bytes:
    """`browser/words.js` in the language in use: its table of messages is exchanged."""
    if language() == ENGLISH:
        return module
    messages = json.loads((FOLDER / language() / "scripts.json").read_text(encoding="utf-8"))
    table = json.dumps(
        {"language": language(), "messages": messages}, ensure_ascii=False, separators=(",", ":")
    )
    begin = module.index(_TABLE) + len(_TABLE)
    return module[:begin] + table.encode() + module[module.index(b";\n", begin) :]


def N_(message: str) -> str:  # noqa: N802  (the usual name)
    """A message that is looked up where it is shown."""
    return message


def _(message: str, **values: object) -> str:
    """A message in the language in use, with its places filled in.

    Text stays text: where a value is `Markup`, so is the result, and everything else in it, the
    translation too, is escaped. Otherwise it is a `str`, to be escaped where it is shown.
    """
    return _filled(_translations(language()).gettext(message), values)


def pgettext(context: str, message: str, **values: object) -> str:
    """The same, where one English text has several meanings."""
    return _filled(_translations(language()).pgettext(context, message), values)


def ngettext(one: str, many: str, n: int, /, **values: object) -> str:
    """The form of a message for a count, which fills the place {n} unless a value does."""
    return _filled(_translations(language()).ngettext(one, many, n), {"n": n, **values})


def decimal(value: float) -> str:
    """A number with the decimal sign of the language: "92.5"."""
    # Translators: the sign between whole numbers and tenths.
    return f"{value:g}".replace(".", pgettext("decimal sign", "."))


def joined(items: Iterable[str]) -> str:
    """Items one after the other: "a, b, c"."""
    first, *others = list(items) or [""]
    for item in others:
        # Translators: how the items of a list follow each other.
        first = pgettext("list", "{items}, {next}", items=first, next=item)
    return first


def listed(items: Iterable[str]) -> str:
    """An enumeration: "a", "a and b", "a, b and c"."""
    *others, last = list(items) or [""]
    if not others:
        return last
    # Translators: the end of a list, also of one with two items.
    return pgettext("list", "{items} and {last}", items=joined(others), last=last)


def inside(label: str) -> str:
    """A label, such as a voice's, as it is written within a sentence."""
    # Translators: "lower" where names of voices begin with a small letter within a sentence, as in
    # English; any other word leaves them as they are.
    return label.lower() if pgettext("labels within a sentence", "lower") == "lower" else label


def _filled(message: str, values: dict[str, object]) -> str:
    if any(isinstance(value, Markup) for value in values.values()):
        return escape(message).format(**values)
    return message.format(**values) if values else message


@lru_cache(maxsize=4)
def _translations(tag: str) -> library.NullTranslations:
    if tag == ENGLISH:
        return library.NullTranslations()
    with (FOLDER / tag / "messages.mo").open("rb") as file:
        return library.GNUTranslations(file)
