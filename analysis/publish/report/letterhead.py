"""The head of a report: which workshop made it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Letterhead:
    """From the station file. logo: a data URI, as the report needs no file."""

    name: str = ""
    text: str = ""
    logo: str = ""
