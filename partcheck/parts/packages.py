"""Package names that mean the same land pattern, and pin orders compared pin by pin."""

import re

# JEDEC and JEITA outline names beside the trade's; each row is one land pattern.
# Source: JEDEC registered outlines (JEP95) and the makers' package pages that print both names; from memory.
EQUIVALENT: tuple[tuple[str, ...], ...] = (
    ("TO-252", "TO-252AA", "DPAK", "SC-63"),
    ("TO-263", "TO-263AB", "D2PAK", "SC-83"),
    ("SOT-23", "TO-236AB", "TO-236", "SOT-23-3", "SC-59A"),
    ("SOT-323", "SC-70", "SC-70-3"),
    ("SOT-89", "TO-243AA", "SC-62"),
    ("SOT-223", "TO-261AA", "SC-73", "SOT-223-3"),
    ("SO-8", "SOIC-8", "MS-012AA"),
    ("DO-214AC", "SMA"),
    ("DO-214AA", "SMB"),
    ("DO-214AB", "SMC"),
    ("DO-41", "DO-204AL"),
    ("DO-15", "DO-204AC"),
    ("DO-35", "DO-204AH"),
    ("DO-201AD", "DO-27"),
    ("TO-92", "TO-226AA", "SC-43"),
    ("TO-220", "TO-220AB"),
    ("LED-3MM", "T-1", "3 MM"),
    ("LED-5MM", "T-1-3/4", "5 MM"),
    ("LED-0603", "0603"),
    ("LED-0805", "0805"),
)


def _plain(name: str) -> str:
    return re.sub(r"[\s_]+", " ", name.strip().upper())


_CANONICAL = {_plain(name): row[0] for row in EQUIVALENT for name in row}


def canonical(package: str) -> str:
    """The one name under which equal packages compare equal: ``canonical("dpak") == "TO-252"``."""
    return _CANONICAL.get(_plain(package), _plain(package))


def pins(order: str) -> str:
    """A pin order in one spelling: ``pins("g - d-s ") == "G-D-S"``; empty stays empty."""
    return "-".join(filter(None, (p.strip().upper() for p in re.split(r"[-,/ ]+", order))))
