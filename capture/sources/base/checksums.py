"""Checksums of serial frames: CRCs by their name in the CRC catalogue, sums and exclusive or.

The catalogue is G. Cook, "Catalogue of parametrised CRC algorithms"; crccheck carries it.
"""

import difflib
from collections.abc import Callable
from functools import cache, reduce
from itertools import takewhile
from operator import xor
from typing import Any, Final, NamedTuple

from crccheck import crc  # type: ignore[import-untyped]

WHOLE_BYTES: Final = (8, 16, 24, 32)  # widths that a frame carries as bytes
# crccheck takes the name for XMODEM's; in the catalogue it is an alias of this one
CATALOGUE_ALIAS: Final = {"crc16": "crc16arc"}


class Checksum(NamedTuple):
    """size: the bytes of it that a frame carries. of: its value over the bytes covered."""

    size: int
    of: Callable[[bytes], int]


SIMPLE: Final = {
    "SUM-8": Checksum(1, lambda data: sum(data) & 0xFF),
    "SUM-16": Checksum(2, lambda data: sum(data) & 0xFFFF),
    "SUM-8/NEGATED": Checksum(1, lambda data: -sum(data) & 0xFF),  # all bytes then add up to 0
    "SUM-8/INVERTED": Checksum(1, lambda data: ~sum(data) & 0xFF),
    "XOR-8": Checksum(1, lambda data: reduce(xor, data, 0)),
}


def checksum(name: str) -> Checksum:
    """The checksum of that name, upper or lower case; ValueError says which are near."""
    simple = SIMPLE.get(name.upper())
    if simple is not None:
        return simple
    plain = _plain(name)
    algorithm = _catalogue().get(CATALOGUE_ALIAS.get(plain, plain))
    if algorithm is None:
        known = [*SIMPLE, *map(_shown, _catalogue())]
        near = difflib.get_close_matches(name.upper(), known, n=3, cutoff=0.3)
        raise ValueError(
            f'unknown checksum "{name}"; it takes {", ".join(SIMPLE)} or a name of the CRC '
            f"catalogue like CRC-16/MODBUS; near: {', '.join(near) or 'none'}"
        )
    return Checksum(algorithm.width() // 8, algorithm.calc)


@cache
def _catalogue() -> dict[str, Any]:
    algorithms: dict[str, Any] = {
        name: each
        for name, each in vars(crc).items()
        if isinstance(each, type) and issubclass(each, crc.CrcBase)
    }
    return {_plain(n): each for n, each in algorithms.items() if each.width() in WHOLE_BYTES}


def _plain(name: str) -> str:
    return "".join(letter for letter in name.lower() if letter.isalnum())


def _shown(plain: str) -> str:
    """`CRC-16/MODBUS` for `crc16modbus`."""
    width = "".join(takewhile(str.isdigit, plain.removeprefix("crc")))
    rest = plain.removeprefix(f"crc{width}").upper()
    return f"CRC-{width}/{rest}" if width and rest else f"CRC-{width}{rest}"
