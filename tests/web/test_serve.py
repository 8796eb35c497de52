"""The server: on loopback only, on the next free port, ended by a signal."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from smallhours.errors import BadInput
from smallhours.web.network import LOOPBACK, free_port

SCRIPT = (
    "import sys\nfrom pathlib import Path\nfrom smallhours.web.serve import serve\n"
    "serve(Path(sys.argv[1]), int(sys.argv[2]), lambda ready: print(ready.address, flush=True))\n"
)


def test_the_next_free_port_is_taken() -> None:
    """Behaviour: with a port in use the next free one is listened on, on the loopback address."""
    with free_port(20350) as first:
        port = first.getsockname()[1]
        with free_port(port) as second:
            assert second.getsockname()[0] == LOOPBACK
            assert port < second.getsockname()[1] < port + 20


def test_no_port_left_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Bad input: twenty taken ports in a row."""
    import errno

    class Taken(socket.socket):
        def bind(self, address: object) -> None:
            raise OSError(errno.EADDRINUSE, "taken")

    monkeypatch.setattr(socket, "socket", Taken)
    with pytest.raises(BadInput, match="all taken"):
        free_port(20350)


def test_a_served_page_over_the_network_stack(new_store: Path, tmp_path: Path) -> None:
    """Behaviour: a real server in its own process answers on the address it says and ends on an interrupt."""
    env = {"PYTHONPATH": ":".join(sys.path), "PATH": ""}
    command = [sys.executable, "-c", SCRIPT, str(tmp_path / "store"), "20450"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=env) as server:
        try:
            assert server.stdout is not None
            address = server.stdout.readline().strip()
            assert address.startswith("http://127.0.0.1:")
            with urllib.request.urlopen(f"{address}formulas/", timeout=20) as page:
                assert page.status == 200
                assert "smallhours" not in page.headers.get("Server", "")
            with urllib.request.urlopen(f"{address}static/smallhours/base.css", timeout=20) as sheet:
                assert sheet.headers["Content-Type"].startswith("text/css")
            request = urllib.request.Request(address, headers={"Host": "elsewhere.example"})
            with pytest.raises(urllib.error.HTTPError, match="400"):
                urllib.request.urlopen(request, timeout=20)
        finally:
            server.send_signal(signal.SIGINT)
            server.wait(timeout=20)
    assert server.returncode is not None
