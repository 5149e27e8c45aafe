"""Where the uncertainty of a figure of power comes from, in words."""

from collections.abc import Sequence

from analysis.phrases.say import amount, in_line, rpm, say, word
from analysis.phrases.statement import Joint, Statement
from analysis.phrases.units import Units
from analysis.power.figures import Figure, Measure, PowerFigures, UncertainCurve
from analysis.power.tolerances import Origin
from analysis.publish.wording.display import figure_text


def budget_statements(figures: Sequence[Figure]) -> list[Statement]:
    """One sentence a figure; none of a figure whose measurement nobody described."""
    return [_budget(figure) for figure in figures if figure.uncertainty is not None]


def _budget(figure: Figure) -> Statement:
    assert figure.uncertainty is not None
    assert figure.half_width is not None
    by_origin: dict[Origin, list[Statement]] = {}
    for part in figure.uncertainty.budget:
        standard = amount(part.standard_percent, "%", 2)
        said = say("uncertainty-part", influence=word(part.influence), standard=standard)
        by_origin.setdefault(part.origin, []).append(said)
    parts = [
        say("uncertainty-parts", origin=word(origin), parts=in_line(said))
        for origin, said in by_origin.items()
    ]
    return say(
        "uncertainty-budget",
        measure=word(figure.measure),
        value=amount(figure.value, figure.unit, 1),
        speed=rpm(figure.engine_speed_rpm),
        half_width=amount(figure.half_width, figure.unit, 1, difference=True),
        expanded=amount(figure.uncertainty.expanded_percent, "%", 1),
        standard=amount(figure.uncertainty.standard_percent, "%", 2),
        factor=amount(figure.uncertainty.coverage_factor, "1", 2),
        parts=in_line(parts, Joint.SEMICOLON),
    )


def curve_statement(curve: UncertainCurve) -> Statement:
    """How far off a curve may be from its lowest to its highest uncertainty."""
    percent = 100 * curve.half_width_kw / curve.wheel_power_kw
    return say(
        "uncertainty-of-curve",
        least=amount(float(percent.min()), "%", 1),
        most=amount(float(percent.max()), "%", 1),
    )


def wheel_power_text(figures: PowerFigures | None, units: Units) -> str:
    """Peak wheel power with its uncertainty, or a dash; questioned where no engine makes it."""
    if figures is None:
        return "–"
    return figure_text(figures.of(Measure.WHEEL_POWER), units, figures.doubt is not None)
