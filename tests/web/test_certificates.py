"""Our own certificates: what they are good for, when they are made anew, who can read the keys."""

from __future__ import annotations

import datetime as dt
import ipaddress
import stat
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.x509 import verification

from smallhours.errors import BadInput
from smallhours.web.certificates import Certificate, given_certificate, own_certificate

NOW = dt.datetime(2026, 1, 15, 3, 0, tzinfo=dt.UTC)
NAMES = ("192.168.1.20", "oven", "oven.local", "localhost", "127.0.0.1", "::1")


def _later(days: float) -> dt.datetime:
    return NOW + dt.timedelta(days=days)


def _chain(made: Certificate) -> list[x509.Certificate]:
    return x509.load_pem_x509_certificates(made.chain.read_bytes())


def _verified(made: Certificate, name: str, at: dt.datetime) -> bool:
    """What another library's rules (RFC 5280, the CA/Browser Forum's profile) say of the chain for a name."""
    subject: verification.Subject
    try:
        subject = x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        subject = x509.DNSName(name)
    store = verification.Store([x509.load_pem_x509_certificate(made.root.encode())])
    verifier = verification.PolicyBuilder().store(store).time(at).build_server_verifier(subject)
    try:
        verifier.verify(_chain(made)[0], [])
    except verification.VerificationError:
        return False
    return True


def test_the_chain_is_good_for_the_names_it_was_made_for(tmp_path: Path) -> None:
    """Published: RFC 5280 path validation, as done by the verifier of the package cryptography: each name passes while
    the certificate lasts, another name, an earlier and a later time do not."""
    made = own_certificate(tmp_path, NAMES, NOW)
    assert all(_verified(made, name, _later(1)) for name in NAMES)
    assert not _verified(made, "oven.lan", _later(1))
    assert not _verified(made, "192.168.1.21", _later(1))
    assert not _verified(made, "oven", _later(-1))
    assert not _verified(made, "oven", _later(398))


def test_how_long_they_last(tmp_path: Path) -> None:
    """Published: CA/Browser Forum, Baseline Requirements, 6.3.2: no more than 398 days for a server's certificate."""
    made = own_certificate(tmp_path, NAMES, NOW)
    server, root = _chain(made)
    assert server.not_valid_after_utc - server.not_valid_before_utc <= dt.timedelta(days=398)
    assert root.not_valid_after_utc - NOW == dt.timedelta(days=3650)
    assert made.fingerprint.count(":") == 31


def test_the_root_cannot_vouch_for_the_internet(tmp_path: Path) -> None:
    """Behaviour: a certificate that the root's key makes for a name of the internet is refused by its constraints."""
    from smallhours.web import certificates

    made = own_certificate(tmp_path, NAMES, NOW)
    root, key = certificates._root(tmp_path / "tls", NAMES, NOW)
    certificates._issue(made.chain, made.key, root, key, ("bank.example", "8.8.8.8", "oven"), NOW)
    assert not _verified(made, "bank.example", _later(1))
    assert not _verified(made, "8.8.8.8", _later(1))
    constraint = root.extensions.get_extension_for_class(x509.NameConstraints)
    assert constraint.critical


def test_keys_are_readable_by_their_owner_alone(tmp_path: Path) -> None:
    """Behaviour: mode 600 in a folder of mode 700."""
    own_certificate(tmp_path, NAMES, NOW)
    folder = tmp_path / "tls"
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {stat.S_IMODE(file.stat().st_mode) for file in folder.iterdir()} == {0o600}
    assert sorted(file.name for file in folder.iterdir()) == ["root.crt", "root.key", "server.crt", "server.key"]


def test_when_they_are_made_anew(tmp_path: Path) -> None:
    """Behaviour: the same files while names are the same; a new server certificate for a new address and 30 days before
    the end; a new root only when the old one would run out first, or for a new name without a dot."""
    first = own_certificate(tmp_path, NAMES, NOW)
    server, root = _chain(first)
    assert _chain(own_certificate(tmp_path, NAMES[:2], _later(300))) == [server, root]
    moved = _chain(own_certificate(tmp_path, (*NAMES, "10.0.0.5"), _later(300)))
    assert moved[0] != server
    assert moved[1] == root
    renewed = _chain(own_certificate(tmp_path, (*NAMES, "10.0.0.5"), _later(300 + 368)))
    assert renewed[0] != moved[0]
    assert renewed[1] == root
    assert _chain(own_certificate(tmp_path, (*NAMES, "mixer"), _later(300)))[1] != root
    assert _chain(own_certificate(tmp_path, NAMES, _later(3650 - 396)))[1] != root


@pytest.mark.parametrize("name", ["bakery.example", "8.8.8.8", "2001:db8::1", "local"])
def test_names_of_the_internet_need_a_certificate_from_elsewhere(tmp_path: Path, name: str) -> None:
    """Bad input: a public name or address is refused with what to do instead; a plain name is fine."""
    if name == "local":
        assert _verified(own_certificate(tmp_path, [name], NOW), name, _later(1))
        return
    with pytest.raises(BadInput, match="--certificate and --key"):
        own_certificate(tmp_path, [name], NOW)


def test_files_from_elsewhere_have_to_fit(tmp_path: Path) -> None:
    """Bad input: a missing file, text, a key of another certificate. A pair that fits is taken."""
    made = own_certificate(tmp_path, NAMES, NOW)
    other = own_certificate(tmp_path / "other", NAMES, NOW) if (tmp_path / "other").mkdir() is None else made
    text = tmp_path / "text.pem"
    text.write_text("flour 100\n")
    assert given_certificate(made.chain, made.key).root == ""
    for chain, key in ((tmp_path / "none", made.key), (text, made.key), (made.chain, text), (made.chain, other.key)):
        with pytest.raises(BadInput, match=r"there is no such file|are no certificate and its key"):
            given_certificate(chain, key)
