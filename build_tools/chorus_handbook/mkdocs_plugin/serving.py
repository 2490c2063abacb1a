"""The web server of `handbook serve` (and `mkdocs serve`), which answers even during a build.

MkDocs's own server builds into the folder that it serves, so requests wait for the end of a build,
and after a failed build they wait for ever. Here each build has a new folder, which is served once
it is complete. After a failed build, the previous site is served, and each page says why the newest
change cannot be seen.
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

#: The function to which a WSGI application passes the status and the headers of an answer.
_Start = Callable[..., Any]
_Headers = list[tuple[str, str]]
#: Seconds without a change after which a build begins: an editor may write several files.
_SETTLED = 0.05


class HandbookServer(LiveReloadServer):
    """The server.

    `make` builds the site into a given folder. `first` is the folder of a site that is already
    built; it is moved. `replaced` is MkDocs's server, which has not started yet and whose address
    and watched paths are taken over. `seen` is the state of the files in the first build.
    """

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
        """Called by MkDocs's loop, which makes browsers reload as soon as this returns. (In
        MkDocs's server an *epoch* is the time of a build; requests wait until the wanted one is
        visible.)"""
        with self._epoch_cond:  # otherwise requests would wait for the end of the build
            epoch, self._wanted_epoch = self._wanted_epoch, self._visible_epoch
            self._epoch_cond.notify_all()
        before = after = Path(self.root)
        failure, messages = "", list[str]()
        try:
            site = self._folders.fresh()
            with complaints() as messages:
                self._make(site)
            after = site
        except (KeyboardInterrupt, EndedError):
            raise
        except BaseException as caught:  # a plugin may even try to end the program
            failure = "\n".join(messages) or reason(caught)
            if not messages:  # otherwise it has been logged already
                log.error(failure)
        else:
            if self._failure:
                log.info("The site can be built again.")
        with self._epoch_cond:
            self.root, self._failure = str(after), failure
            self._wanted_epoch = epoch
        self._folders.keep_only(before, after)

    def _error_page(self, code: int) -> bytes | None:
        """The theme's page for this status, such as 404."""
        page = Path(self.root, f"{code}.html")
        return page.read_bytes() if page.is_file() else None

    def answer(self, request: dict[str, Any], start: _Start) -> Iterable[bytes]:
        """A WSGI application (PEP 3333) around MkDocs's own: above each page it shows why the
        newest change cannot be seen, if that is so."""
        path = request["PATH_INFO"]
        page = path.endswith((".html", "/")) or "." not in path.rpartition("/")[2]
        if not page or path.startswith("/livereload/"):
            return self.serve_request(request, start)
        epoch = None
        while epoch != self._visible_epoch:  # repeat if the site was replaced in the meantime
            epoch = self._visible_epoch
            status, headers, body = self._page(request)
        if status.startswith("3"):
            start(status, headers)
            return [body]
        if not status.startswith("200"):  # so that error pages reload after the next change, too
            body = cast(Any, self)._inject_js_into_html(body, epoch)
        body = put_on_top(body.decode("utf-8", "replace"), self._box()).encode()
        kind = ("Content-Type", "text/html; charset=utf-8")
        start(status, [kind, ("Content-Length", str(len(body)))])
        return [body]

    def _page(self, request: dict[str, Any]) -> tuple[str, _Headers, bytes]:
        """The answer of MkDocs's own application: status, headers and body."""
        started: list[tuple[str, _Headers]] = []
        found = self.serve_request(request, lambda status, heads: started.append((status, heads)))
        body = b"".join(found)
        if hasattr(found, "close"):
            found.close()
        ((status, headers),) = started
        return status, headers, body

    def _box(self) -> Markup:
        """The message above pages while the site cannot be built; empty otherwise."""
        if not self._failure:
            return Markup()
        return Markup(
            '<details class="hb-problems" open><summary>{}</summary><p>{}</p></details>'
        ).format(
            _("The site cannot be built, and this page may be older than your last change."),
            self._failure,
        )
