"""`handbook serve`: shows the handbook in a browser while it is being written, and builds it again
after every change. It runs until it is interrupted."""

from __future__ import annotations

import argparse
import re
import socket
import sys

from chorus_handbook.commands.project import Project, WrongUsageError

SUMMARY = "Show the handbook in a browser and rebuild it after every change"


#: Ports below this one are reserved for the system's own servers.
_FIRST_UNRESERVED = 1024


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--address", default="127.0.0.1:8000", metavar="HOST:PORT", help="default 127.0.0.1:8000"
    )
    parser.add_argument("--open", action="store_true", help="open a browser window")


def run(project: Project, options: argparse.Namespace) -> int:
    host, port = _address(options.address)
    config_file = project.config_file
    from chorus_handbook.mkdocs_plugin.run import SiteNotBuiltError, serve_site

    try:
        serve_site(config_file, f"{host}:{port}", open_browser=options.open)
    except SiteNotBuiltError as failure:
        print(f"handbook serve: {failure}", file=sys.stderr)
        return 1
    return 0


def _address(text: str) -> tuple[str, int]:
    """Read an address such as "127.0.0.1:8000"; returns host and port. Raises WrongUsageError, also
    for an address that this computer cannot serve, so that it is refused before any work is
    done."""
    found = re.fullmatch(r"(?:([\w.-]+):)?(\d{1,5})", text)
    if not found or int(found[2]) > 65535:
        raise WrongUsageError(
            f'"{text}" is not an address; write HOST:PORT, such as 127.0.0.1:8000'
        )
    host, port = found[1] or "127.0.0.1", int(found[2])
    try:
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((host, port))
    except socket.gaierror as failure:
        raise WrongUsageError(
            f'no computer called "{host}" was found; leave --address out, or write 127.0.0.1:{port}'
        ) from failure
    except OSError as failure:
        other = port + 1 if _FIRST_UNRESERVED <= port < 65535 else 8000
        raise WrongUsageError(
            f"the site cannot be shown at {host}:{port} ({(failure.strerror or '').lower()}); try "
            f"another number: handbook serve --address {host}:{other}"
        ) from failure
    return host, port
