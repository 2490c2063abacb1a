"""The server of `mkdocs serve` and `handbook serve`, made to answer whatever goes wrong.

After a failed build MkDocs's server keeps every request waiting. Here a build never fails: pages
are answered with what there is and, on top of it, why the newest change cannot be seen.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterable
from typing import Any, cast

from markupsafe import Markup

from chorus_handbook.failures import EndedError
from chorus_handbook.mkdocs_plugin.complaints import complaints, reason
from chorus_handbook.mkdocs_plugin.watcher import Seen, Watcher

log = logging.getLogger("mkdocs.plugins.chorus-handbook")

_Start = Callable[..., Any]
_CONTENT, _BODY = re.compile(r"<article\b[^>]*>"), re.compile(r"<body\b[^>]*>")


def never_fail(server: Any, seen: Seen) -> None:
    """Have the server tell its address once it listens, answer every request, survive every build,
    and build again whenever a file differs from what was `seen` before its first build. `server`
    is MkDocs's LiveReloadServer, before it has begun."""
    server.observer = Watcher(server, seen)
    Careful(server)


class Careful:
    """What went wrong in the newest build of a server, if anything, and how requests are answered
    then."""

    def __init__(self, server: Any) -> None:
        self._server = server
        self._build = server.builder
        self._answer = server.serve_request
        self._listen = server.server_activate
        self._failure = ""
        server.builder = self.build
        server.server_activate = self.listen
        server.set_app(self.answer)

    def listen(self) -> None:
        self._listen()
        log.info(f"Read the handbook at {self._server.url} (stop with Ctrl-C).")

    def build(self) -> None:
        said: list[str] = []
        try:
            with complaints() as said:
                self._build()
        except (KeyboardInterrupt, EndedError):
            raise
        except BaseException as failure:  # a plugin may even try to end the program
            self._failure = "\n".join(said) or reason(failure)
            if not said:  # or else it was in the terminal already
                log.error(self._failure)
        else:
            if self._failure:
                log.info("The site can be built again.")
            self._failure = ""

    def answer(self, request: dict[str, Any], start: _Start) -> Iterable[bytes]:
        """A WSGI application (PEP 3333) around the server's own."""
        path = request["PATH_INFO"]
        page = path.endswith((".html", "/")) or "." not in path.rpartition("/")[2]
        if not page or path.startswith("/livereload/"):
            return cast(Iterable[bytes], self._answer(request, start))
        told: list[tuple[str, list[tuple[str, str]]]] = []
        found = self._answer(request, lambda status, headers: told.append((status, headers)))
        body = b"".join(found)
        if hasattr(found, "close"):
            found.close()
        ((status, headers),) = told
        if status.startswith("3"):
            start(status, headers)
            return [body]
        if not status.startswith("200"):  # it, too, is to be loaded anew after the next change
            body = self._server._inject_js_into_html(body, self._server._visible_epoch)
        body = put_on_top(body.decode("utf-8", "replace"), self._box()).encode()
        kind = ("Content-Type", "text/html; charset=utf-8")
        start(status, [kind, ("Content-Length", str(len(body)))])
        return [body]

    def _box(self) -> Markup:
        if not self._failure:
            return Markup()
        return Markup(
            '<details class="hb-problems" open><summary>The site cannot be built, and this page '
            "may be older than your last change.</summary><p>{}</p></details>"
        ).format(self._failure)


def put_on_top(page: str, box: Markup) -> str:
    """A whole page of HTML with a box above its content."""
    top = _CONTENT.search(page) or _BODY.search(page)
    at = top.end() if top else 0
    return f"{page[:at]}{box}{page[at:]}"
