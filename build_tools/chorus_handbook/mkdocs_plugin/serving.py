"""The server of `mkdocs serve` and `handbook serve`, which answers at once whatever is being built
and whatever goes wrong.

MkDocs's own builds into the folder that it serves: requests wait for the end of a build, and after
one that failed, for ever. Here each build has a folder of its own, which is served from the moment
it is whole. If a build fails, pages are answered from the site before, and on top of them stands
why the newest change cannot be seen.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, cast

from markupsafe import Markup
from mkdocs.livereload import LiveReloadServer

from chorus_handbook.catalogue import _
from chorus_handbook.failures import EndedError
from chorus_handbook.mkdocs_plugin.complaints import complaints, reason
from chorus_handbook.mkdocs_plugin.problem_banner import put_on_top
from chorus_handbook.mkdocs_plugin.site_folders import SiteFolders
from chorus_handbook.mkdocs_plugin.watcher import Seen, Watcher

log = logging.getLogger("mkdocs.plugins.chorus-handbook")

_Start = Callable[..., Any]
_Headers = list[tuple[str, str]]
#: Seconds without a change after which a build begins: an editor may write several files.
_SETTLED = 0.05


class HandbookServer(LiveReloadServer):
    """Serves the newest site that `make` could build into the folder it is given; at first that in
    the folder `first`, which is moved. It takes the place of a server that has not begun, and
    builds whenever a file that is watched there differs from what was `seen` before."""

    def __init__(
        self, make: Callable[[Path], None], first: Path, replaced: LiveReloadServer, seen: Seen
    ) -> None:
        self._make = make
        self._folders = SiteFolders()
        self._failure = ""
        site = self._folders.adopt(first)
        host, port = replaced.server_address[:2]
        super().__init__(self._build, str(host), port, str(site), replaced.mount_path)
        self.build_delay = _SETTLED
        self.observer: Any = Watcher(self, seen)
        self.error_handler = self._error_page
        self.set_app(self.answer)
        for path in replaced._watched_paths:
            self.watch(path)
        replaced.server_close()

    def server_activate(self) -> None:
        super().server_activate()
        log.info(f"Read the handbook at {self.url} (stop with Ctrl-C).")

    def shutdown(self, wait: bool = False) -> None:
        super().shutdown(wait)
        self._folders.remove()

    def _build(self) -> None:
        """Called by MkDocs's loop, which tells browsers to load anew as soon as this returns."""
        with self._epoch_cond:  # else requests would wait for the end of the build
            epoch, self._wanted_epoch = self._wanted_epoch, self._visible_epoch
            self._epoch_cond.notify_all()
        before = after = Path(self.root)
        failure, said = "", list[str]()
        try:
            site = self._folders.fresh()
            with complaints() as said:
                self._make(site)
            after = site
        except (KeyboardInterrupt, EndedError):
            raise
        except BaseException as caught:  # a plugin may even try to end the program
            failure = "\n".join(said) or reason(caught)
            if not said:  # or else it was in the terminal already
                log.error(failure)
        else:
            if self._failure:
                log.info("The site can be built again.")
        with self._epoch_cond:
            self.root, self._failure = str(after), failure
            self._wanted_epoch = epoch
        self._folders.keep_only(before, after)

    def _error_page(self, code: int) -> bytes | None:
        page = Path(self.root, f"{code}.html")
        return page.read_bytes() if page.is_file() else None

    def answer(self, request: dict[str, Any], start: _Start) -> Iterable[bytes]:
        """A WSGI application (PEP 3333) around MkDocs's own."""
        path = request["PATH_INFO"]
        page = path.endswith((".html", "/")) or "." not in path.rpartition("/")[2]
        if not page or path.startswith("/livereload/"):
            return self.serve_request(request, start)
        epoch = None
        while epoch != self._visible_epoch:  # a page of the old site would say it is the new one's
            epoch = self._visible_epoch
            status, headers, body = self._page(request)
        if status.startswith("3"):
            start(status, headers)
            return [body]
        if not status.startswith("200"):  # it, too, is to be loaded anew after the next change
            body = cast(Any, self)._inject_js_into_html(body, epoch)
        body = put_on_top(body.decode("utf-8", "replace"), self._box()).encode()
        kind = ("Content-Type", "text/html; charset=utf-8")
        start(status, [kind, ("Content-Length", str(len(body)))])
        return [body]

    def _page(self, request: dict[str, Any]) -> tuple[str, _Headers, bytes]:
        """What MkDocs's own application answers: status, headers and body."""
        told: list[tuple[str, _Headers]] = []
        found = self.serve_request(request, lambda status, headers: told.append((status, headers)))
        body = b"".join(found)
        if hasattr(found, "close"):
            found.close()
        ((status, headers),) = told
        return status, headers, body

    def _box(self) -> Markup:
        if not self._failure:
            return Markup()
        return Markup(
            '<details class="hb-problems" open><summary>{}</summary><p>{}</p></details>'
        ).format(
            _("The site cannot be built, and this page may be older than your last change."),
            self._failure,
        )
