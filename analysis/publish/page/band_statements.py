"""What is said beneath the bands of stages: what they are of, and what was left out."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from analysis.archive.jobs import StoredPull
from analysis.publish.page.stage_bands import StageBand
from analysis.stages.left_out import LeftOut

LEFT_OUT: Final = {
    LeftOut.EXCLUDED: "does not count",
    LeftOut.INCOMPLETE: "is incomplete",
    LeftOut.OTHER_GEAR: "is in another gear",
}


def band_statements(
    pulls: Sequence[StoredPull],
    reasons: Sequence[LeftOut | None],
    bands: Mapping[str, Sequence[StageBand]],
) -> list[str]:
    """Whole sentences, the same for every chart. reasons: why each pull is left out, or None."""
    about = next(filter(None, bands.values()), ())
    return [*_what_they_are(about), *_what_is_missing(pulls, reasons)]


def _what_they_are(bands: Sequence[StageBand]) -> Iterator[str]:
    if not bands:
        yield "No stage has two of its pulls here: a single pull is its own mean."
        return
    yield "Thick: the mean of a stage's pulls. Thin: each pull."
    if all(band.half_width is None for band in bands):
        yield (
            "There is no band: how sure a mean curve is can be said from three pulls of a stage "
            "on, or from two each of two stages."
        )
        return
    pulls = sum(band.pulls for band in bands)
    yield (
        "Tinted: where the true mean lies, with 95 % confidence for the whole curve at once. The "
        f"run-to-run spread is that of the {pulls} pulls here, pooled over engine speed and stages."
    )


def _what_is_missing(
    pulls: Sequence[StoredPull], reasons: Sequence[LeftOut | None]
) -> Iterator[str]:
    for pull, why in zip(pulls, reasons, strict=True):
        if why is not None:
            yield f"Pull {pull.number} {LEFT_OUT[why]} and is left out of the mean."
