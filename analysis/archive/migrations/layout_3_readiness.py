"""Pulls keep the readiness they began with; of earlier ones nobody knows it."""

from typing import TYPE_CHECKING

from sqlalchemy import Column, Text

from analysis.archive.migrations.step import Step

if TYPE_CHECKING:
    from alembic.operations import Operations


def _change_tables(operations: "Operations") -> None:
    with operations.batch_alter_table("pulls") as pulls:
        pulls.add_column(Column("readiness", Text, nullable=True))


STEP = Step(_change_tables)
