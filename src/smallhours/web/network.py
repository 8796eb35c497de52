"""Where the pages are listened for, and under which names this machine is known."""

from __future__ import annotations

import errno
import ipaddress
import socket
from contextlib import suppress

from smallhours.errors import BadInput

LOOPBACK = "127.0.0.1"
EVERYWHERE = "0.0.0.0"
DEFAULT_PORT = 8350
_PORTS_TRIED = 20
_NOT_ROUTED = "192.0.2.1"
"""An address for documentation (RFC 5737): asking for the way there sends nothing."""


PRIVATE_NETWORKS = tuple(
    ipaddress.ip_network(text)
    for text in ("127.0.0.0/8", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "::1/128",
                 "fc00::/7", "fe80::/10")
)  # fmt: skip
"""RFC 1918, RFC 3927, RFC 4193, RFC 4291: addresses that are nobody's in the internet."""


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


def is_private(text: str) -> bool:
    """Whether a text is an address of a private network (not the loopback).

    >>> [is_private(text) for text in ("192.168.1.20", "127.0.0.1", "192.0.2.2", "oven.local")]
    [True, False, False, False]
    """
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return False
    return not address.is_loopback and any(address in network for network in PRIVATE_NETWORKS)


def machine_names() -> list[str]:
    """The private addresses and names under which this machine is found in its local network, the likeliest first."""
    host = socket.gethostname().partition(".")[0].lower()
    found = []
    # without a network there is only this machine
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asking.connect((_NOT_ROUTED, 9))
        found.append(asking.getsockname()[0])
    with suppress(OSError):
        found += [info[4][0] for info in socket.getaddrinfo(host, None, socket.AF_INET, socket.SOCK_STREAM)]
    addresses = [address for address in dict.fromkeys(map(str, found)) if is_private(address)]
    return [*addresses, *([host, f"{host}.local"] if host and host != "localhost" else [])]
