"""The layouts of the store's tables, and the numbered steps from each to the next.

The layout of a store stands in its table `store_version`. STEPS[0] leads from layout 1 to 2, and so
on; a step that has left this repository is never edited, because stores have gone through it.
"""

from typing import Final

from analysis.archive.migrations import (
    layout_2_setup,
    layout_3_readiness,
    layout_4_originals,
    layout_5_peak_shift,
    layout_6_statements,
)
from analysis.archive.migrations.step import Step

STEPS: Final[tuple[Step, ...]] = (
    layout_2_setup.STEP,
    layout_3_readiness.STEP,
    layout_4_originals.STEP,
    layout_5_peak_shift.STEP,
    layout_6_statements.STEP,
)
LAYOUT: Final = 1 + len(STEPS)  # of the tables in tables.py


def steps_after(layout: int) -> list[tuple[int, Step]]:
    """The steps from a layout to today's, each with the layout it leads to."""
    return [(number, step) for number, step in enumerate(STEPS, start=2) if number > layout]
