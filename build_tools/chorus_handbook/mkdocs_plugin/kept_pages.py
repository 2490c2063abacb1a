"""Stores finished pages, so that the next build renders only pages that have changed.

A finished page depends on two things: what it is made from, which is in the key of its plan, and
the *frame* that the theme puts around it (menu, configuration, theme, plugins). When both are as
before, the stored page is used. Other plugins, hooks and templates of the project could add
anything to a page, so with any of them every page is rendered again.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig

from chorus_handbook.cache import Cache
from chorus_handbook.dependencies import program_hash
from chorus_handbook.mkdocs_plugin.theme_search import NAMES
from chorus_handbook.pages import PlannedPage
from chorus_handbook.pages.page import Menu

#: The name of our own plugin.
_OURS = "chorus-handbook"
#: Settings of paths and of the server, which change nothing on a page.
_NOT_SHOWN = frozenset(
    "config_file_path dev_addr docs_dir hooks nav plugins site_dir strict theme watch".split()
)


@dataclass(frozen=True, slots=True)
class FinishedPage:
    """A stored page. `digest` is the SHA-256 of its HTML in hexadecimal, and `load` reads the HTML,
    which is large, from the store."""

    digest: str
    load: Callable[[], bytes]


class KeptPages:
    """The store of finished pages that have the frame of this build. `why_not` names the plugin or
    template because of which no stored page can be used; it is empty when stored pages can be used.
    `instrument` is the hash of the player's tones, which is written in pages."""

    def __init__(self, cache: Cache, config: MkDocsConfig, menu: Menu, instrument: str) -> None:
        self._cache = cache
        self.why_not = _unknown(config)
        self._frame = "" if self.why_not else Cache.key(_frame(config, menu), instrument)

    def load(
        self, plan: PlannedPage, on_top: str, there: Callable[[str], bool] = lambda _: False
    ) -> FinishedPage | None:
        """The page from an earlier build, or None when it has to be made.

        `on_top` is the HTML of problems that `serve` shows above the page. `there` is a function
        that says whether the old site has a page with this digest; if so, the HTML is not read from
        the store.
        """
        key = self._key(plan, on_top)
        stored = None if self.why_not else self._cache.get(key)
        if stored is None:
            return None
        page = FinishedPage(stored.decode(errors="replace"), lambda: self._html(key))
        if there(page.digest) or sha256(page.load()).hexdigest() == page.digest:
            return page
        return None

    def save(self, plan: PlannedPage, on_top: str, html: str) -> None:
        """Store a page for later builds."""
        if self.why_not:
            return
        key, written = self._key(plan, on_top), html.encode(errors="xmlcharrefreplace")
        self._cache.put(Cache.key("html", key), written)
        self._cache.put(key, sha256(written).hexdigest().encode())

    def _key(self, plan: PlannedPage, on_top: str) -> str:
        return Cache.key("page", plan.key, self._frame, on_top)

    def _html(self, key: str) -> bytes:
        """The stored HTML; empty when it is damaged or missing."""
        return self._cache.get(Cache.key("html", key)) or b""


def _unknown(config: MkDocsConfig) -> str:
    """The name of something in the project that may change pages; empty when there is nothing."""
    others = sorted(set(config.plugins) - {_OURS, *NAMES})  # MkDocs lists hooks as plugins too
    if others:
        kind = "hook" if others[0] in config.hooks else "plugin"
        return f"the {kind} {others[0]}"
    if config.theme.custom_dir:
        return f"templates of your own in {Path(config.theme.custom_dir).name}/"
    return ""


def _frame(config: MkDocsConfig, menu: Menu) -> str:
    """A hash of everything that determines what the theme puts around a page."""
    settings = {name: config[name] for name in sorted(config) if name not in _NOT_SHOWN}
    theme = {name: config.theme[name] for name in sorted(config.theme)}
    plugins = {name: dict(plugin.config) for name, plugin in sorted(config.plugins.items())}
    shown = json.dumps([menu, settings, theme, plugins], default=repr, sort_keys=True)
    return sha256(f"{program_hash()}\n{shown}".encode()).hexdigest()
