"""The pages on this machine only: waitress on the loopback address."""

from __future__ import annotations

import errno
import logging
import socket
from collections.abc import Callable
from pathlib import Path

from smallhours.errors import BadInput
from smallhours.records.setup import open_store

LOOPBACK = "127.0.0.1"
DEFAULT_PORT = 8350
_PORTS_TRIED = 20
_THREADS = 6


def free_port(first: int = DEFAULT_PORT) -> socket.socket:
    """A socket that listens on ``first`` or the next free port after it. Raises BadInput if twenty are taken."""
    for port in range(first, min(first + _PORTS_TRIED, 65536)):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows would share the port otherwise
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((LOOPBACK, port))
            listening.listen()
        except OSError as error:
            listening.close()
            if error.errno not in (errno.EADDRINUSE, errno.EACCES):
                raise
            continue
        return listening
    raise BadInput(f"the ports {first} to {first + _PORTS_TRIED - 1} are all taken; name another with --port")


def serve(
    home: Path | None,
    port: int = DEFAULT_PORT,
    on_ready: Callable[[str], None] | None = None,
    plan_command: str = "smallhours plan",
) -> None:
    """Serve the pages of a store until interrupted. ``on_ready`` is told the address once they can be opened.

    ``plan_command``: what to type for a plan, shown where there is none.

    Raises BadInput if the store cannot be used or no port is free.
    """
    open_store(home)
    from django.conf import settings
    from django.core.wsgi import get_wsgi_application
    from waitress.server import create_server

    settings.PLAN_COMMAND = plan_command
    logging.getLogger("waitress").setLevel(logging.ERROR)
    listening = free_port(port)
    server = create_server(get_wsgi_application(), sockets=[listening], threads=_THREADS, ident=None)
    try:
        if on_ready is not None:
            on_ready(f"http://{LOOPBACK}:{listening.getsockname()[1]}/")
        server.run()
    finally:
        server.close()
        listening.close()
