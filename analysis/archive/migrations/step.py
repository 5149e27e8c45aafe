"""What a step between two layouts is made of.

Steps know the tables by name and not by tables.py: those show today's layout and change, steps do
not. For the same reason a step that rewrites documents uses no class of today's model.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from alembic.operations import Operations

Change = Callable[[Any], Any]


@dataclass(frozen=True, slots=True)
class Rewrite:
    """How a step rewrites the documents of one JSON column; NULL stays NULL.

    change: gives the new form of a document, or the document itself where there is nothing to do; a
    pure function, because a signature is verified by doing it again. read: what makes a document
    of the column's text; `str` where the text was no JSON before.
    """

    table: str
    column: str
    change: Change
    read: Callable[[str], Any] = json.loads


def _no_change(_: "Operations") -> None:
    """The tables stay as they are."""


@dataclass(frozen=True, slots=True)
class Step:
    """change_tables comes first, then the documents are rewritten."""

    change_tables: "Callable[[Operations], None]" = _no_change
    rewrites: tuple[Rewrite, ...] = ()
