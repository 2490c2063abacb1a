"""Refuses settings of mkdocs.yml that would break the site: links would lead nowhere, the player
would not play, or pages would be missing.

`REFUSED` is the whole list; every other setting is free. docs/site-settings.md explains it to
users.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig

THEME = "material"


@dataclass(frozen=True, slots=True)
class Refused:
    """A setting that is refused. `found` returns what the user wrote, or "" when the setting is
    fine. `why` completes a sentence that begins with what the user wrote; `remedy` says what to
    do instead."""

    name: str
    found: Callable[[MkDocsConfig], str]
    why: str
    remedy: str


def refusals(config: MkDocsConfig) -> list[str]:
    """One line of text for each refused setting in mkdocs.yml."""
    file = Path(config.config_file_path or "mkdocs.yml").name
    return [
        f"{file}: {row.name}: {found} {row.why}. {row.remedy}."
        for row in REFUSED
        for found in [row.found(config)]
        if found
    ]


def _directory_urls(config: MkDocsConfig) -> str:
    return "" if config.use_directory_urls else "false"


def _theme(config: MkDocsConfig) -> str:
    return "" if config.theme.name == THEME else str(config.theme.name)


def _language(config: MkDocsConfig) -> str:
    if config.theme.name != THEME:
        return ""
    language = str(config.theme.get("language") or "en")
    return "" if theme_speaks(config, language) else language


def theme_speaks(config: MkDocsConfig, language: str) -> bool:
    """Whether the theme has texts of its own in this language."""
    places = [Path(folder, "partials", "languages") for folder in config.theme.dirs]
    return any((place / f"{language}.html").is_file() for place in places)


def _features(name: str) -> Callable[[MkDocsConfig], str]:
    """Finds a feature of the theme, and those whose names begin with it and a dot."""

    def found(config: MkDocsConfig) -> str:
        features = config.theme.get("features") if config.theme.name == THEME else None
        return ", ".join(f for f in features or () if f"{f}.".startswith(f"{name}."))

    return found


def _plugin(name: str) -> Callable[[MkDocsConfig], str]:
    """Finds a plugin of the theme, which MkDocs may list as "material/name"."""
    names = {name, f"{THEME}/{name}"}
    return lambda config: "" if names.isdisjoint(config.plugins) else name


def _any_value(name: str) -> Callable[[MkDocsConfig], str]:
    """Finds a setting that has any value. (Some are set later by this plugin itself.)"""
    return lambda config: "its value" if config.get(name) else ""


def _extensions(config: MkDocsConfig) -> str:
    """Finds Markdown extensions beyond MkDocs's defaults, and options of any extension."""
    own = {*config.markdown_extensions, *config.mdx_configs}
    return ", ".join(sorted(own - {"fenced_code", "tables", "toc"} | {*config.mdx_configs}))


def _docs_dir(config: MkDocsConfig) -> str:
    """Finds a folder other than the `handbook` beside mkdocs.yml, which our commands read."""
    if not config.config_file_path:
        return ""
    handbook = Path(config.config_file_path).parent / "handbook"
    named = Path(config.docs_dir)
    elsewhere = (handbook / "chorus.yml").exists() and named.resolve() != handbook.resolve()
    return named.name if elsewhere else ""


def _repeated(config: MkDocsConfig) -> str:
    """Finds settings that are written twice at the top level. YAML forbids that, but MkDocs's
    reader uses the last and gives no warning, so that a pasted `theme:` undoes the first one."""
    if not config.config_file_path:
        return ""
    text = Path(config.config_file_path).read_text(encoding="utf-8-sig", errors="replace")
    names = Counter(re.findall(r"(?m)^([A-Za-z_]+)[ \t]*:", text))
    return ", ".join(name for name, times in names.items() if times > 1)


def _favicon(config: MkDocsConfig) -> str:
    """Finds an icon that is neither in the handbook nor part of the theme."""
    named = str(config.theme.get("favicon") or "")
    folders = [config.docs_dir, str(Path(config.docs_dir, "static")), *config.theme.dirs]
    return "" if any(Path(folder, named).exists() for folder in folders) else named


REFUSED = (
    Refused(
        "repeated",
        _repeated,
        "is written twice, and MkDocs would read only the last",
        "Write what belongs to it below the first one, and delete the other line",
    ),
    Refused(
        "theme.favicon",
        _favicon,
        "is not there",
        "Write the name of a file that is in handbook/static/",
    ),
    Refused(
        "use_directory_urls",
        _directory_urls,
        "would make every link of the handbook wrong",
        "Delete the line; pages have folders as addresses",
    ),
    Refused(
        "docs_dir",
        _docs_dir,
        'is not the folder of the handbook, which is "handbook"',
        'Write "docs_dir: handbook"',
    ),
    Refused(
        "theme",
        _theme,
        "is a theme that the pages are not made for",
        'Write "name: material"',
    ),
    Refused(
        "theme.language",
        _language,
        "is a language that the theme does not speak",
        'Write a code such as "language: en", "language: de" or "language: pt-BR"',
    ),
    Refused(
        "theme.features",
        _features("navigation.instant"),
        "loads pages in a way in which the player and the choice of key do not work",
        "Delete it from the list",
    ),
    Refused(
        "theme.features",
        _features("content.tooltips"),
        "runs HTML that is written in the title of a link",
        "Delete it from the list",
    ),
    Refused(
        "plugins",
        _plugin("offline"),
        "changes the addresses of pages, and the player does not work from a disk",
        "Delete it from the list",
    ),
    Refused(
        "plugins",
        _plugin("info"),
        "packs a report instead of building a site",
        "Delete it from the list",
    ),
    Refused(
        "plugins",
        _plugin("blog"),
        "writes files into the handbook, and its pages would not be published",
        "Delete it from the list",
    ),
    Refused(
        "plugins",
        _plugin("projects"),
        "builds several sites in one, which a handbook cannot be part of",
        "Delete it from the list",
    ),
    Refused(
        "markdown_extensions",
        _extensions,
        "would have no effect: the handbook renders Markdown itself, with extensions of its own",
        "Delete markdown_extensions",
    ),
    Refused("nav", _any_value("nav"), "would be ignored: the handbook makes the menu", "Delete it"),
    Refused(
        "exclude_docs",
        _any_value("exclude_docs"),
        "could leave out pages that others link to",
        "Delete it; put drafts into a folder outside the handbook",
    ),
    Refused(
        "draft_docs",
        _any_value("draft_docs"),
        "could leave out pages that others link to",
        "Delete it; put drafts into a folder outside the handbook",
    ),
)
