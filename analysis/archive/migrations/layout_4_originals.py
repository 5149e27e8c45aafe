"""What a later step rewrites is kept as it was first stored: signatures rest on that."""

from typing import TYPE_CHECKING

from sqlalchemy import Column, Integer, Text, UniqueConstraint

from analysis.archive.migrations.step import Step

if TYPE_CHECKING:
    from alembic.operations import Operations


def _change_tables(operations: "Operations") -> None:
    operations.create_table(
        "originals",
        Column("id", Integer, primary_key=True),
        Column("table_name", Text, nullable=False),
        Column("row_id", Integer, nullable=False),
        Column("column_name", Text, nullable=False),
        Column("layout", Integer, nullable=False),
        Column("content", Text, nullable=False),
        UniqueConstraint("table_name", "row_id", "column_name"),
    )


STEP = Step(_change_tables)
