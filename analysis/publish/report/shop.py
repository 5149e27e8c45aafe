"""Whose report it is."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Shop:
    """From the station file. logo: a data URI, as the report needs no file."""

    name: str = ""
    text: str = ""
    logo: str = ""
