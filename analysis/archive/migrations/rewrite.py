"""Rewrites the documents of a JSON column row by row, and keeps each as it was first stored."""

import json
from typing import Any, Final

from sqlalchemy import Connection, bindparam, column, insert, select, table, update

from analysis.archive.migrations.step import Rewrite

ORIGINALS: Final = table(
    "originals",
    column("table_name"),
    column("row_id"),
    column("column_name"),
    column("layout"),
    column("content"),
)


def rewrite_documents(connection: Connection, rewrite: Rewrite, layout: int) -> int:
    """Bring every document of the column from `layout` to the next; return how many changed.

    Of a document that an earlier step has rewritten already, the first form stays kept.
    """
    rows = table(rewrite.table, column("id"), column(rewrite.column))
    text = rows.c[rewrite.column]
    one = select(text).where(rows.c.id == bindparam("row_id"))
    replace = update(rows).where(rows.c.id == bindparam("row_id")).values({text: bindparam("new")})
    where = {"table_name": rewrite.table, "column_name": rewrite.column}
    kept = _kept_rows(connection, where)
    changed = 0
    for row_id in connection.scalars(select(rows.c.id).where(text.is_not(None))).all():
        before: str = connection.scalars(one, {"row_id": row_id}).one()
        after = json.dumps(rewrite.change(rewrite.read(before)))
        if after == before:
            continue
        changed += 1
        connection.execute(replace, {"row_id": row_id, "new": after})
        if row_id not in kept:
            original = {**where, "row_id": row_id, "layout": layout, "content": before}
            connection.execute(insert(ORIGINALS), original)
    return changed


def _kept_rows(connection: Connection, where: dict[str, Any]) -> set[int]:
    of_column = select(ORIGINALS.c.row_id).filter_by(**where)
    return set(connection.scalars(of_column))
