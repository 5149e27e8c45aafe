"""What is said beneath the bands of stages: what they are of, and what was left out."""

from collections.abc import Iterator, Mapping, Sequence

from analysis.archive.jobs import StoredPull
from analysis.publish.page.stage_bands import StageBand


def left_out(pull: StoredPull) -> str | None:
    """Why a pull is no part of its stage's mean, as in a comparison; None where it is."""
    if pull.excluded is not None:
        return "does not count"
    return None if pull.bounds.complete else "is incomplete"


def band_statements(
    pulls: Sequence[StoredPull], bands: Mapping[str, Sequence[StageBand]]
) -> list[str]:
    """Whole sentences, the same for every chart."""
    return [*_what_they_are(next(filter(None, bands.values()), ())), *_what_is_missing(pulls)]


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


def _what_is_missing(pulls: Sequence[StoredPull]) -> Iterator[str]:
    for pull in pulls:
        why = left_out(pull)
        if why is not None:
            yield f"Pull {pull.number} {why} and is left out of the mean."
