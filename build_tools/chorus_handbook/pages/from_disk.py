"""Makes a finished site work when it is opened from a disk or a memory stick, without a web server.

For such pages, browsers refuse to load modules and to fetch files. So all modules go into one plain
script (`browser/from_disk.js`), and each data file is written a second time, as a script that
passes the data to the page. Links lead to files instead of folders.
"""

from __future__ import annotations

import base64
import json
import re
from pathlib import Path

from markupsafe import Markup

from chorus_handbook.catalogue import _
from chorus_handbook.pages.browser_files import source_of
from chorus_handbook.pages.page import FOLDER
from chorus_handbook.pages.site_head import ROBOTS, WEB_MANIFEST

_SCRIPT = f"{FOLDER}/from_disk.js"
#: Files that scripts fetch: data, and the pages from which the music stand takes scores.
_FETCHED = (
    *(f"{FOLDER}/*.json", f"{FOLDER}/*.bin", f"{FOLDER}/*/notes.json"),
    "exercises/*/index.html",
)
#: Data for other programs, which no page fetches.
_FOR_OTHERS = {"exercises.json", "exercises.schema.json", "site-files.json"}
#: What only a host has a use for.
_FOR_HOSTS = (WEB_MANIFEST, ROBOTS, "offline-worker.js", "sitemap.xml", "sitemap.xml.gz")
#: Scripts that keep pages on a device, where these pages already are.
_KEEPING = r"(?:offline|keep_button|kept_page)\.\w+\.js"
#: The address of a link (group 2) with what stands around it.
_LINK = re.compile(r'(<(?:a|link|area)\b[^<>]*? href=")([^"]*)(")')
#: The element that loads a module, but not one of `_KEEPING`.
_MODULE = re.compile(rf'<script type="module" src="([^"]*/)?(?!{_KEEPING})([^"/]+\.js)"></script>')
#: Elements that have no use without a web server.
_NOT_NEEDED = re.compile(
    rf'<script type="module" src="[^"]*/{_KEEPING}"></script>'
    r'|<link rel="(?:manifest|canonical|modulepreload)"[^>]*>|<div class="hb-keep" [^>]*></div>'
    r'|<span class="hb-ways-keep">.*?</span>'
)
#: What the page of what is kept says (`pages/kept.py`): how pages are kept. Group 2 is the text.
_ABOUT_KEEPING = re.compile(r'(<p class="hb-kept-about">)([^<]*)(?=</p>)')
#: The name of a module that another one imports, and the quotation mark before it.
_IMPORTED = re.compile(r"""(["'])\./((?:\w+/)?\w+\.[0-9a-f]+\.js)(?=["'])""", re.ASCII)
#: The name of a font in a style.
_FONT = re.compile(r'url\("(\w+\.\w+\.woff2)"\)', re.ASCII)


def open_from_disk(site: Path) -> None:
    """Change the finished site in the folder `site` so that it works without a web server, opened
    as files. Its files are changed in place, so none of them may be a hard link that another site
    has too. Raises OSError."""
    modules = {
        file.relative_to(site / FOLDER).as_posix(): _module(file)
        for file in sorted((*(site / FOLDER).glob("*.js"), *(site / FOLDER).glob("vendored/*.js")))
    }
    called = f"handbookModules({json.dumps(modules, ensure_ascii=False)});\n"
    for pattern in _FETCHED:
        for file in sorted(site.glob(pattern)):
            if file.name in _FOR_OTHERS:
                continue
            file.with_name(f"{file.name}.js").write_text(_as_script(file), encoding="utf-8")
    (site / _SCRIPT).write_text(source_of("from_disk.js").decode() + called, encoding="utf-8")
    for page in sorted(site.rglob("*.html")):
        depth = len(page.relative_to(site).parts) - 1
        html = page.read_text(encoding="utf-8")
        page.write_text(_page(html, "../" * depth), encoding="utf-8")
    for style in sorted((site / FOLDER).glob("*.css")):
        text = style.read_text(encoding="utf-8")
        for name in _FONT.findall(text):
            text = text.replace(name, _inlined(style.with_name(name)))
        style.write_text(text, encoding="utf-8")
    for name in _FOR_HOSTS:
        (site / name).unlink(missing_ok=True)


def _page(html: str, to_top: str) -> str:
    """The HTML of a page changed so that its links lead to files, and its modules come from the
    plain script. `to_top` leads from the page to the top of the site ("../../")."""
    html = _NOT_NEEDED.sub("", html)
    html = _ABOUT_KEEPING.sub(lambda found: found[1] + _already(), html)
    html = _LINK.sub(lambda found: found[1] + _to_file(found[2]) + found[3], html)
    html = _MODULE.sub(r'<script type="module">import "handbook/\2";</script>', html)
    loader = Markup('<script src="{}"></script>').format(to_top + _SCRIPT)
    html = html.replace("</head>", f"{loader}</head>", 1)
    return html.replace("</article>", f"{_note()}</article>", 1)


def _note() -> Markup:
    """The note at the end of each page."""
    text = _(
        "This copy was opened from a disk: it stays as it was when it was written, and it cannot "
        "be installed or kept on a phone as the site of the chorus can."
    )
    return Markup('<p class="hb-note hb-from-disk" data-search-exclude>{}</p>').format(text)


def _already() -> Markup:
    """What the page of what is kept says instead."""
    return Markup.escape(
        _("All of this copy is on the disk already: nothing has to be kept, or needs a signal.")
    )


def _to_file(address: str) -> str:
    """A relative link to a folder, changed to lead to the file index.html in it. Any other link
    stays as it is."""
    path, rest = re.fullmatch(r"([^?#]*)(.*)", address, re.DOTALL).groups()  # type: ignore[union-attr]
    if not path or ":" in path or path.startswith("/"):
        return address
    if path.endswith("/") or path.rpartition("/")[2] in (".", ".."):
        return f"{path.rstrip('/')}/index.html{rest}"
    return address


def _as_script(file: Path) -> str:
    """A script that hands over the content of a file."""
    content = file.read_bytes()
    if file.suffix == ".bin":
        return f'handbookFile("{base64.b64encode(content).decode()}", true);\n'
    return f"handbookFile({json.dumps(content.decode(), ensure_ascii=False)}, false);\n"


def _module(file: Path) -> str:
    """The source of a module, which imports others by their names in the import map."""
    source = _IMPORTED.sub(r"\1handbook/\2", file.read_text(encoding="utf-8"))
    return source.replace("import.meta.url", "window.handbookScripts")


def _inlined(font: Path) -> str:
    """A font within the style, because browsers treat each file on a disk as a site of its own."""
    return f"data:font/woff2;base64,{base64.b64encode(font.read_bytes()).decode()}"
