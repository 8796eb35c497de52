"""The pages served: on this machine only, or with TLS in a local network. One server does both."""

from __future__ import annotations

import logging
import socket
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from smallhours.actions.clock import now
from smallhours.errors import BadInput
from smallhours.records.setup import open_store
from smallhours.web.network import DEFAULT_PORT, EVERYWHERE, LOOPBACK, free_port, machine_names

_HSTS_S = 30 * 86400
_LOOPBACK_NAMES = ("localhost", LOOPBACK, "::1")


@dataclass(frozen=True)
class Lan:
    """Serve the local network: under further names, with the store's own certificate or with one from elsewhere."""

    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None


@dataclass(frozen=True)
class Ready:
    """Where the pages can be opened: the address, and with our own certificate where and how to check its root."""

    address: str
    root_file: Path | None = None
    fingerprint: str = ""


@dataclass(frozen=True)
class Commands:
    """What to type at this terminal, for pages that have to say so."""

    plan: str = "smallhours plan"
    restore: str = "smallhours restore FILE"


def serve(
    home: Path | None,
    port: int = DEFAULT_PORT,
    on_ready: Callable[[Ready], None] | None = None,
    commands: Commands = Commands(),
    lan: Lan | None = None,
) -> None:
    """Serve the pages of a store until interrupted. ``on_ready`` is told once they can be opened.

    Raises BadInput if the store cannot be used, no port is free, or the local network is to be served and nobody has
    an account yet or the certificate cannot be used.
    """
    folder = open_store(home)
    from django.conf import settings

    settings.PLAN_COMMAND, settings.RESTORE_COMMAND = commands.plan, commands.restore
    listening, options, ready = _on_loopback(port) if lan is None else _on_lan(folder, port, lan)
    try:
        _run(listening, options, lambda: on_ready(ready) if on_ready else None)
    finally:
        listening.close()


def _on_loopback(port: int) -> tuple[socket.socket, dict[str, Any], Ready]:
    listening = free_port(port)
    return listening, {}, Ready(f"http://{LOOPBACK}:{listening.getsockname()[1]}/")


def _on_lan(home: Path, port: int, lan: Lan) -> tuple[socket.socket, dict[str, Any], Ready]:
    """Listen everywhere, with TLS and cookies that never travel without it."""
    from django.conf import settings

    from smallhours.records import people
    from smallhours.web.certificates import given_certificate, own_certificate

    if not people.any_person():
        raise BadInput(
            "nobody has an account yet, and in a network everybody could open the pages; "
            "make one first: person add NAME --role head-baker"
        )
    if (lan.certificate is None) != (lan.key is None):
        raise BadInput("--certificate and --key belong together: give both or neither")
    names = [*lan.names, *machine_names()]
    if lan.certificate is not None and lan.key is not None:
        certificate = given_certificate(lan.certificate, lan.key)
    else:
        certificate = own_certificate(home, [*names, *_LOOPBACK_NAMES], now())
    listening = free_port(port, EVERYWHERE)
    address = f"https://{(names or [LOOPBACK])[0]}:{listening.getsockname()[1]}/"
    settings.ALLOWED_HOSTS = [*names, "localhost", LOOPBACK, "[::1]"]
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = True
    settings.SECURE_HSTS_SECONDS = 0 if certificate.root else _HSTS_S
    settings.ROOT_CERTIFICATE, settings.LAN_ADDRESS = certificate.root, address
    root_file = certificate.chain.with_name("root.crt") if certificate.root else None
    options = {"ssl_certfile": str(certificate.chain), "ssl_keyfile": str(certificate.key)}
    return listening, options, Ready(address, root_file, certificate.fingerprint)


def _run(listening: socket.socket, options: dict[str, Any], on_ready: Callable[[], None]) -> None:
    import uvicorn
    from django.core.asgi import get_asgi_application

    class Server(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets)
            if self.started:
                on_ready()

    logging.getLogger("uvicorn").setLevel(logging.CRITICAL)
    logging.getLogger("django.request").setLevel(logging.ERROR)  # what was refused is on the page of who asked
    # the files of the pages are small, and are sent whole
    warnings.filterwarnings("ignore", "StreamingHttpResponse must consume synchronous iterators")
    config = uvicorn.Config(
        get_asgi_application(),
        lifespan="off",
        log_config=None,
        access_log=False,  # addresses hold codes and names
        server_header=False,
        proxy_headers=False,  # nobody stands in front of us whose word about who asks would count
        timeout_graceful_shutdown=3,
        **options,
    )
    Server(config).run(sockets=[listening])
