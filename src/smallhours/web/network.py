"""Where the pages are listened for, and under which names this machine is known."""

from __future__ import annotations

import errno
import socket
from contextlib import suppress

from smallhours.errors import BadInput

LOOPBACK = "127.0.0.1"
EVERYWHERE = "0.0.0.0"
DEFAULT_PORT = 8350
_PORTS_TRIED = 20
_NOT_ROUTED = "192.0.2.1"
"""An address for documentation (RFC 5737): asking for the way there sends nothing."""


def free_port(first: int = DEFAULT_PORT, address: str = LOOPBACK) -> socket.socket:
    """A socket that listens on ``first`` or the next free port after it. Raises BadInput if twenty are taken."""
    for port in range(first, min(first + _PORTS_TRIED, 65536)):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows would share the port otherwise
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((address, port))
            listening.listen()
        except OSError as error:
            listening.close()
            if error.errno not in (errno.EADDRINUSE, errno.EACCES):
                raise
            continue
        return listening
    raise BadInput(f"the ports {first} to {first + _PORTS_TRIED - 1} are all taken; name another with --port")


def machine_names() -> list[str]:
    """The addresses and names under which this machine is found in its local network, the likeliest first."""
    host = socket.gethostname().partition(".")[0].lower()
    found = []
    # without a network there is only this machine
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asking.connect((_NOT_ROUTED, 9))
        found.append(asking.getsockname()[0])
    with suppress(OSError):
        found += [info[4][0] for info in socket.getaddrinfo(host, None, socket.AF_INET, socket.SOCK_STREAM)]
    addresses = [str(address) for address in dict.fromkeys(found) if not str(address).startswith("127.")]
    return [*addresses, *([host, f"{host}.local"] if host and host != "localhost" else [])]
