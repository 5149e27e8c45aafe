"""A pull's power under another correction or loss convention than the station's own."""

from dataclasses import replace

from analysis.judging.pull_report import PullReport
from analysis.model.setup import LossConvention, Setup, Standard
from analysis.power.curve import PowerCurve, power_curve


def power_under(
    report: PullReport,
    setup: Setup | None,
    correction: Standard | None,
    loss: LossConvention | None,
) -> PowerCurve | None:
    """The curve as it was stored, or as the wish has it; what is None stays as it was.

    setup: what held when the pull was judged (StoredPull.setup); without it the stored curve is
    all there is.
    """
    stored = report.power
    if stored is None or setup is None or (correction is None and loss is None):
        return stored
    wish = with_conventions(setup, correction, loss)
    same = (wish.dyno.correction, wish.dyno.loss) == (stored.correction.standard, stored.loss)
    return stored if same else power_curve(report.pull, wish)


def with_conventions(
    setup: Setup, correction: Standard | None, loss: LossConvention | None
) -> Setup:
    """The set-up with the wish over it."""
    dyno = setup.dyno
    changed = replace(dyno, correction=correction or dyno.correction, loss=loss or dyno.loss)
    return replace(setup, dyno=changed)


def possible_losses(setup: Setup) -> list[LossConvention]:
    """The conventions that need nothing the station does not have."""
    return [
        loss
        for loss in LossConvention
        if loss is not LossConvention.COAST_DOWN or setup.dyno.coast_down
    ]
