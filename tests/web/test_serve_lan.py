"""The local network: a real server with TLS, asked by one that trusts its root and nothing else."""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import urllib.parse
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from smallhours.actions.people.add_person import AddPerson, add_person
from smallhours.errors import BadInput
from smallhours.web.network import is_private, machine_names
from smallhours.web.serve import Lan, serve

RUN = "import sys\nfrom smallhours.cli.main import run\nrun(sys.argv[1:])\n"


@dataclass(frozen=True)
class Served:
    """A running server: its port, its root, its home."""

    port: int
    root: Path
    home: Path
    process: subprocess.Popen[str]

    def ask(self, method: str, path: str, body: str = "", host: str = "localhost", **headers: str) -> Answer:
        """Ask as a browser does that trusts the root alone."""
        context = ssl.create_default_context(cafile=str(self.root))
        line = http.client.HTTPSConnection(host, self.port, timeout=30, context=context)
        line.request(method, path, body, {k.replace("_", "-"): v for k, v in headers.items()})
        response = line.getresponse()
        answer = Answer(
            response.status, dict(response.getheaders()), response.msg.get_all("Set-Cookie") or [], response.read()
        )
        line.close()
        return answer


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    cookies: list[str]
    body: bytes


@pytest.fixture
def served(home: Path) -> Iterator[Served]:
    """A store in which Ana has an account, served with ``open --lan``."""
    from django.db import connections

    add_person(AddPerson("Ana", "head-baker", "ana likes warm bread"))
    connections.close_all()
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    command = [sys.executable, "-c", RUN, "open", "--lan", "--json", "--port", "20700", "--home", str(home)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env) as process:
        assert process.stdout is not None
        text = ""
        while not text.rstrip().endswith("}"):
            line = process.stdout.readline()
            assert line, process.stderr.read() if process.stderr else ""
            text += line
        said = json.loads(text)
        port = urllib.parse.urlsplit(said["address"]).port
        assert port is not None
        try:
            yield Served(port, Path(said["root_certificate"]), home, process)
        finally:
            process.send_signal(signal.SIGINT)
            process.communicate(timeout=30)


def test_the_network_is_served_with_tls(served: Served) -> None:
    """Behaviour: by the name and by the address of loopback the chain is verified against the root alone; a stranger is
    asked to sign in, cookies travel only with TLS, HSTS is off (a root of our own is not for ever), and the root can
    be fetched. Without trust in the root, and without TLS, nothing is answered."""
    for host in ("localhost", "127.0.0.1"):
        answer = served.ask("GET", "/formulas/", host=host)
        assert (answer.status, answer.headers["Location"]) == (302, "/sign-in/?next=%2Fformulas%2F")
    page = served.ask("GET", "/sign-in/?lang=en")
    assert page.status == 200
    assert page.cookies
    assert all("; Secure" in cookie and "HttpOnly" in cookie and "SameSite=Lax" in cookie for cookie in page.cookies)
    assert "Strict-Transport-Security" not in page.headers
    assert "Server" not in {name.title() for name in page.headers}
    assert served.ask("GET", "/certificate/").body == served.root.read_bytes()
    assert served.ask("GET", "/sign-in/", Host="bakery.example").status == 400
    with pytest.raises(ssl.SSLCertVerificationError):
        http.client.HTTPSConnection("localhost", served.port, timeout=30).request("GET", "/")
    plain = http.client.HTTPConnection("localhost", served.port, timeout=30)
    plain.request("GET", "/")
    with pytest.raises((http.client.HTTPException, ConnectionError)):
        plain.getresponse()


def test_a_silent_stranger_blocks_nobody(served: Served) -> None:
    """Behaviour: forty connections that never say a word, and one that begins a form and stops, keep no one waiting."""
    silent = [socket.create_connection(("127.0.0.1", served.port), timeout=30) for _ in range(40)]
    context = ssl.create_default_context(cafile=str(served.root))
    slow = context.wrap_socket(socket.create_connection(("127.0.0.1", served.port)), server_hostname="localhost")
    slow.sendall(b"POST /sign-in/ HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1000\r\n\r\nname=")
    try:
        assert served.ask("GET", "/sign-in/").status == 200
    finally:
        for line in (*silent, slow):
            line.close()


def test_signing_in_over_the_network_and_taking_a_backup(served: Served) -> None:
    """Round trip: the form with its token from the page, the session cookie, the button; what comes is the archive, as
    long as it says, and sound. No secret is in what the server has written to its terminal."""
    import io
    import zipfile

    page = served.ask("GET", "/sign-in/?lang=en")
    token = re.search(rb'name="csrfmiddlewaretoken" value="(\w+)"', page.body)
    assert token is not None
    cookies = "; ".join(cookie.partition(";")[0] for cookie in page.cookies)
    fields = {"csrfmiddlewaretoken": token[1].decode(), "name": "Ana", "password": "ana likes warm bread"}
    post = {"Content_Type": "application/x-www-form-urlencoded", "Origin": f"https://localhost:{served.port}"}
    bad = urllib.parse.urlencode({**fields, "password": "my 0ther s3cret"})
    wrong = served.ask("POST", "/sign-in/", bad, Cookie=cookies, **post)
    assert wrong.status == 422
    answer = served.ask("POST", "/sign-in/", urllib.parse.urlencode(fields), Cookie=cookies, **post)
    assert answer.status == 302, answer.body
    cookies = "; ".join(cookie.partition(";")[0] for cookie in answer.cookies)
    page = served.ask("GET", "/backup/", Cookie=cookies)
    token = re.search(rb'name="csrfmiddlewaretoken" value="(\w+)"', page.body)
    assert token is not None
    body = urllib.parse.urlencode({"csrfmiddlewaretoken": token[1].decode()})
    backup = served.ask("POST", "/backup/", body, Cookie=cookies, **post)
    assert backup.status == 200
    assert int(backup.headers.get("Content-Length") or backup.headers["content-length"]) == len(backup.body)
    assert zipfile.ZipFile(io.BytesIO(backup.body)).testzip() is None
    served.process.send_signal(signal.SIGINT)
    out, err = served.process.communicate(timeout=30)
    for secret in ("warm bread", "0ther", token[1].decode(), answer.cookies[0].partition("=")[2].partition(";")[0]):
        assert secret not in out + err


def test_nobody_is_served_before_there_is_an_account(home: Path) -> None:
    """Bad input: with nobody to sign in the network is not served, and the sentence says what to type; a certificate
    without its key neither."""
    with pytest.raises(BadInput, match="person add NAME --role head-baker"):
        serve(home, 20800, lan=Lan())


def test_a_certificate_needs_its_key(staff: Path) -> None:
    """Bad input: one of the two alone."""
    with pytest.raises(BadInput, match="belong together"):
        serve(staff, 20800, lan=Lan(certificate=staff / "c.pem"))


def test_with_a_certificate_from_elsewhere_browsers_are_told_to_stay_with_tls(staff: Path) -> None:
    """Behaviour: HSTS for 30 days, no root to fetch, the names given are answered to, cookies need TLS."""
    import datetime as dt

    from django.conf import settings
    from django.test import override_settings

    from smallhours.web import serve as module
    from smallhours.web.certificates import own_certificate

    made = own_certificate(staff, ["oven.local"], dt.datetime.now(dt.UTC))
    with override_settings():
        lan = Lan(("bakery.example",), made.chain, made.key)
        listening, options, ready = module._on_lan(staff, 20900, lan)
        listening.close()
        assert ready.address.startswith("https://bakery.example:")
        assert (ready.root_file, settings.ROOT_CERTIFICATE) == (None, "")
        assert settings.SECURE_HSTS_SECONDS == 30 * 24 * 3600
        assert "bakery.example" in settings.ALLOWED_HOSTS
        assert settings.SESSION_COOKIE_SECURE
        assert settings.CSRF_COOKIE_SECURE
        assert options["ssl_certfile"] == str(made.chain)
    assert settings.SECURE_HSTS_SECONDS == 0


@pytest.mark.parametrize(
    ("address", "private"),
    [("10.1.2.3", True), ("172.16.0.1", True), ("172.32.0.1", False), ("192.168.1.20", True), ("169.254.7.7", True),
     ("fd00::1", True), ("127.0.0.1", False), ("192.0.2.2", False), ("8.8.8.8", False), ("oven.local", False)],
)  # fmt: skip
def test_which_addresses_are_of_the_house(address: str, private: bool) -> None:
    """Published: RFC 1918, section 3 (10/8, 172.16/12, 192.168/16), RFC 3927 (169.254/16), RFC 4193 (fc00::/7)."""
    assert is_private(address) is private


def test_the_machines_names_are_of_the_house() -> None:
    """Behaviour: every address this machine names for itself is private, none twice."""
    names = machine_names()
    assert len(set(names)) == len(names)
    assert not [name for name in names if name[0].isdigit() and "." in name and not is_private(name)]
