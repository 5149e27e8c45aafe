"""A signature freezes the evidence: any change of it is found and named."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import demo_job
import pytest

from analysis.archive.content_hash import manifest, manifest_hash
from analysis.archive.jobs import StoreError
from analysis.archive.sign_off import Basis, sign, verify
from analysis.archive.store import Store
from analysis.checks import DEFAULT_LIMITS
from analysis.checks.check import Context
from analysis.judging.analyse_pull import analyse_pull
from analysis.model.limits import Limits

BASIS = Basis("the map", Limits.of(DEFAULT_LIMITS, {}, ""), "0.1.0")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """One job of one stage with two pulls, signed."""
    with Store(tmp_path / "store") as opened:
        job = opened.open_job("Job 1")
        stage = opened.open_stage(job.id, "baseline")
        for number in (1, 2):
            save(opened, stage.id, number)
        sign(opened, job.id, " A. Calibrator ", "as agreed", BASIS)
        yield opened


def save(store: Store, stage_id: int, number: int) -> int:
    report = analyse_pull(demo_job.pull(number, 0), BASIS.limits, Context(demo_job.SETUP))
    return store.save_pull(stage_id, "session-1", report)


def changes(store: Store, basis: Basis = BASIS) -> tuple[str, ...]:
    return verify(store, 1, basis)[-1].changes


def test_what_was_signed_is_the_content_hash_and_is_unchanged(store: Store) -> None:
    (signature,) = store.job(1).signatures
    parts = manifest(store.evidence(1), BASIS.map_text, BASIS.limits, BASIS.version)
    assert signature.content_sha256 == manifest_hash(parts)
    assert (signature.name, signature.remarks) == ("A. Calibrator", "as agreed")
    (found,) = verify(store, 1, BASIS)
    assert found.unchanged
    assert found.signature == signature


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda s: s.exclude_pull(2, "wheelspin"), "pull 2: excluded: was no, is wheelspin"),
        (lambda s: s.annotate_pull(1, "warm"), "pull 1: annotation: was empty, is warm"),
        (lambda s: s.move_pull(2, s.open_stage(1, "b").id), "pull 2: stage: was 1, is 2"),
        (lambda s: save(s, 1, 3), "pull 3: samples is new"),
    ],
)
def test_what_people_do_to_pulls_is_named(
    store: Store, change: Callable[[Store], object], said: str
) -> None:
    change(store)
    assert said in changes(store)


@pytest.mark.parametrize(
    ("basis", "said"),
    [
        (replace(BASIS, map_text="another"), ("channel map changed",)),
        (replace(BASIS, version="0.2.0"), ("program version: was 0.1.0, is 0.2.0",)),
    ],
)
def test_another_basis_is_named(store: Store, basis: Basis, said: tuple[str, ...]) -> None:
    assert changes(store, basis) == said


def test_another_limit_is_named_with_both_values(store: Store) -> None:
    limits = Limits.of(DEFAULT_LIMITS, {"turbo.filling_high": 1.2}, "limits file my.yaml")
    (said,) = changes(store, replace(BASIS, limits=limits))
    assert said.startswith("limit turbo.filling_high: was 1.07 1 (")
    assert said.endswith("is 1.2 1 (limits file my.yaml)")


def test_samples_changed_or_gone_on_disk_are_found(store: Store) -> None:
    first, second = (store.folder / pull.file for pull in store.pulls())
    first.write_bytes(first.read_bytes()[:-1] + b"x")
    second.unlink()
    assert changes(store) == (
        "pull 1: the file pulls/pull-000001.parquet was changed",
        "pull 2: the file pulls/pull-000002.parquet is gone",
    )
    with pytest.raises(StoreError, match="not signed: pull 1"):
        sign(store, 1, "B", "", BASIS)


def test_the_record_of_what_was_signed_cannot_be_altered_to_fit(store: Store) -> None:
    (kept,) = (store.folder / "signatures").iterdir()
    assert kept.stem == store.job(1).signatures[0].content_sha256
    kept.write_text(kept.read_text("utf-8").replace('"no"', '"wheelspin"'), "utf-8")
    assert changes(store) == ()  # the job itself is as it was signed
    store.exclude_pull(2, "wheelspin")
    assert changes(store) == (
        "something is different, and the record of what was signed is gone or altered",
    )


def test_a_later_signature_stands_beside_the_first(store: Store) -> None:
    store.exclude_pull(2, "wheelspin")
    sign(store, 1, "B. Calibrator", "without pull 2", BASIS)
    assert [v.unchanged for v in verify(store, 1, BASIS)] == [False, True]


def test_nothing_is_signed_without_a_name_or_a_pull(store: Store) -> None:
    with pytest.raises(StoreError, match="with a name"):
        sign(store, 1, "  ", "", BASIS)
    empty = store.open_job("Job 2")
    with pytest.raises(StoreError, match="no pull"):
        sign(store, empty.id, "A", "", BASIS)
