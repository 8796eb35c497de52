"""The locked lists of packages: each pinned, each with hashes, together what pyproject.toml asks for."""

from __future__ import annotations

import re

ENTRY = re.compile(
    r"^(?P<name>[A-Za-z0-9._-]+)==(?P<version>[^\s;\\]+)[^\\\n]*(?P<hashes>(?:\\\n\s+--hash=sha256:[0-9a-f]{64} ?)*)",
    re.M,
)


def pins(text: str) -> dict[str, str]:
    """Package -> pinned version."""
    return {plain(match["name"]): match["version"] for match in ENTRY.finditer(text)}


def plain(requirement: str) -> str:
    """Name of a requirement in its one normal spelling."""
    return re.sub(r"[-_.]+", "-", re.split(r"[\s<>=!~;\[]", requirement)[0]).lower()


def loose(name: str, text: str) -> list[str]:
    """Lines that are not pinned, and pins without a hash."""
    complaints = [f"{name}: {match['name']} has no hash" for match in ENTRY.finditer(text) if not match["hashes"]]
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip() and not line.lstrip().startswith(("#", "--hash=")) and not ENTRY.match(line):
            complaints.append(f"{name}:{number}: {line.strip()!r} is not pinned with ==")
    return complaints


def unlocked(name: str, text: str, asked: list[str]) -> list[str]:
    """What pyproject.toml asks for and the lock does not list."""
    locked = pins(text)
    return [f"{name}: lacks {plain(asking)}" for asking in asked if plain(asking) not in locked]


def disagreements(run: str, dev: str) -> list[str]:
    """Pins of the job that the tests would run with another version, or without."""
    tested = pins(dev)
    return [
        f"{name}: {version} to run, {tested.get(name)} to test"
        for name, version in pins(run).items()
        if tested.get(name) != version
    ]
