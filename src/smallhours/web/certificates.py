"""Certificates for serving a local network: a root of this store's own, and one for the server, signed by it.

The root is made once and trusted once on every tablet. It can only vouch for private addresses and local names, so that
whoever gets hold of it cannot pass for the bank. The server's certificate is made anew when it runs out or the
machine's addresses change.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from smallhours.errors import BadInput
from smallhours.records.home import TLS_FOLDER
from smallhours.web.network import PRIVATE_NETWORKS

ROOT_DAYS = 3650
SERVER_DAYS = 397
"""Browsers refuse server certificates that are good for longer (CA/Browser Forum, Baseline Requirements, 6.3.2)."""
RENEW_DAYS = 30
LOCAL_ENDINGS = ("local", "lan", "internal", "home.arpa")
"""RFC 6762 (local), RFC 8375 (home.arpa); internal is reserved by ICANN, lan is common practice."""


@dataclass(frozen=True)
class Certificate:
    """Files to serve with; ``root``: the PEM text of our own root, empty for a certificate from elsewhere."""

    chain: Path
    key: Path
    root: str = ""
    fingerprint: str = ""


def own_certificate(home: Path, names: Iterable[str], now: dt.datetime) -> Certificate:
    """A certificate for these names and addresses, from the store's own root; both are made if they are not there.

    Raises BadInput for a name that the root may not vouch for.
    """
    folder = home / TLS_FOLDER
    folder.mkdir(exist_ok=True, mode=0o700)
    wanted = tuple(dict.fromkeys(name.lower() for name in names))
    _local_only(wanted)
    root, root_key = _root(folder, wanted, now)
    chain, key = folder / "server.crt", folder / "server.key"
    if not _still_good(chain, key, root, wanted, now):
        _issue(chain, key, root, root_key, wanted, now)
    digest = root.fingerprint(hashes.SHA256()).hex().upper()
    pairs = ":".join(digest[i : i + 2] for i in range(0, len(digest), 2))
    return Certificate(chain, key, root.public_bytes(serialization.Encoding.PEM).decode("ascii"), pairs)


def given_certificate(chain: Path, key: Path) -> Certificate:
    """Files from elsewhere. Raises BadInput if they cannot be used together."""
    import ssl

    for file in (chain, key):
        if not file.is_file():
            raise BadInput(f"{file}: there is no such file")
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(chain, key, password=lambda: "")
    except (ssl.SSLError, OSError, ValueError) as error:
        what = getattr(error, "reason", None) or error
        raise BadInput(f"{chain} and {key}: are no certificate and its key (both PEM, no passphrase): {what}") from None
    return Certificate(chain, key)


def _local_only(names: Iterable[str]) -> None:
    for name in names:
        try:
            address = ipaddress.ip_address(name)
        except ValueError:
            if "." in name and not name.endswith(tuple(f".{ending}" for ending in LOCAL_ENDINGS)):
                endings = ", ".join(f".{ending}" for ending in LOCAL_ENDINGS)
                raise BadInput(
                    f"{name}: is no local name (they have no dot or end with {endings}); for a name of the internet "
                    "give its own certificate with --certificate and --key"
                ) from None
        else:
            if not any(address in network for network in PRIVATE_NETWORKS):
                raise BadInput(f"{name}: is no private address; give a certificate with --certificate and --key")


def _root(folder: Path, names: Iterable[str], now: dt.datetime) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """The root in the folder; made anew if it runs out, or if a name without a dot is not among those it may vouch
    for."""
    file, key_file = folder / "root.crt", folder / "root.key"
    plain = sorted(name for name in names if not _is_address(name) and "." not in name)
    if file.exists() and key_file.exists():
        root = x509.load_pem_x509_certificate(file.read_bytes())
        key = serialization.load_pem_private_key(key_file.read_bytes(), None)
        allowed = root.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or ()
        known = {one.value for one in allowed if isinstance(one, x509.DNSName)}
        lasts = root.not_valid_after_utc - now > dt.timedelta(days=SERVER_DAYS)
        if lasts and set(plain) <= known and isinstance(key, ec.EllipticCurvePrivateKey):
            return root, key
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"smallhours root {now:%Y-%m-%d}")])
    permitted = [x509.DNSName(one) for one in (*plain, *LOCAL_ENDINGS)] + [x509.IPAddress(n) for n in PRIVATE_NETWORKS]
    root = (
        _builder(name, name, key, now, ROOT_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    _write(key_file, _key_bytes(key))
    _write(file, root.public_bytes(serialization.Encoding.PEM))
    return root, key


def _issue(
    chain: Path,
    key_file: Path,
    root: x509.Certificate,
    root_key: ec.EllipticCurvePrivateKey,
    names: tuple[str, ...],
    now: dt.datetime,
) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "smallhours")])
    made = (
        _builder(subject, root.subject, key, now, SERVER_DAYS)
        .add_extension(x509.SubjectAlternativeName([_general(name) for name in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(root_key.public_key()), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(root_key, hashes.SHA256())
    )
    pem = serialization.Encoding.PEM
    _write(key_file, _key_bytes(key))
    _write(chain, made.public_bytes(pem) + root.public_bytes(pem))


def _still_good(chain: Path, key: Path, root: x509.Certificate, names: tuple[str, ...], now: dt.datetime) -> bool:
    if not (chain.exists() and key.exists()):
        return False
    made = x509.load_pem_x509_certificates(chain.read_bytes())
    if made[-1] != root or made[0].not_valid_after_utc - now < dt.timedelta(days=RENEW_DAYS):
        return False
    there = made[0].extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {_general(name) for name in names} <= set(there)


def _builder(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: dt.datetime, days: int
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - dt.timedelta(hours=1))  # clocks of tablets are not all right
        .not_valid_after(now + dt.timedelta(days=days))
    )


def _usage(signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates, content_commitment=False, key_encipherment=False,
        data_encipherment=False, key_agreement=False, key_cert_sign=signs_certificates, crl_sign=signs_certificates,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip


def _general(name: str) -> x509.GeneralName:
    return x509.IPAddress(ipaddress.ip_address(name)) if _is_address(name) else x509.DNSName(name)


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def _key_bytes(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(file: Path, data: bytes) -> None:
    """Write a file that only its owner can read, in one step."""
    part = file.with_suffix(file.suffix + ".part")
    part.unlink(missing_ok=True)
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(data)
    os.replace(part, file)
