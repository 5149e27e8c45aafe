"""The form of an overlay, as the page's API gives it and the script draws it.

Its arrays are numpy's own until they become JSON: nobody looks at each of their numbers before.
"""

from pydantic import BaseModel, ConfigDict

from analysis.model.plain_arrays import PlainArray
from analysis.publish.page.curves import Axis
from analysis.publish.report.palette import LineStyle
from decode.quantities import Quantity

Place = tuple[float, float]  # from, to on the axis


class Form(BaseModel):
    """Part of it."""

    model_config = ConfigDict(frozen=True, extra="forbid", ser_json_inf_nan="null")


class LinePoints(Form):
    """A line of a pull in the shown unit; y is null where it is not known."""

    pull: int
    name: str
    x: PlainArray
    y: PlainArray


class DrawnLine(LinePoints):
    """A line in the style of its pull. faint: it only stands beside the measured one."""

    faint: bool
    colour: str
    dash: str


class CloserLine(LinePoints):
    """A line inside a part of the axis, of a chart of the overlay."""

    chart: str


class DrawnChart(Form):
    """One chart with its lines. decimals: of a value in its unit."""

    key: str
    title: str
    unit: str
    decimals: int
    lines: tuple[DrawnLine, ...]


class DrawnBand(Form):
    """A stage's mean with its band, in a chart. half_width: null where it is not known."""

    chart: str
    stage_id: int
    colour: str
    x: PlainArray
    mean: PlainArray
    half_width: PlainArray | None


class PickableQuantity(Form):
    """What can be shown."""

    quantity: Quantity
    label: str


class Overlay(Form):
    """Charts of pulls over each other.

    styles: by pull. charts_of_checks: where to look for what a check says. places: of each pull's
    findings on the axis, in their order, null for the whole pull. stages: names. power_statements:
    how the shown power came about. thinned: some line has more samples than are shown.
    """

    axis: Axis
    charts: tuple[DrawnChart, ...]
    styles: dict[int, LineStyle]
    quantities: tuple[PickableQuantity, ...]
    charts_of_checks: dict[str, Quantity]
    places: dict[int, tuple[Place | None, ...]]
    stages: dict[int, str]
    power_statements: tuple[str, ...]
    thinned: bool
    bands: tuple[DrawnBand, ...]
    band_statements: tuple[str, ...]
