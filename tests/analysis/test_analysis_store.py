import asyncio
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from older_jobs import with_list_of_an_older_version
from pydantic import TypeAdapter
from sqlalchemy import text

from analysis.archive.content_hash import manifest, manifest_hash
from analysis.archive.jobs import StoredPull, StoreError
from analysis.archive.store import Store
from analysis.judging.pull_report import PullReport
from analysis.model.findings import Cause, Finding, Severity, Where
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import EndReason, Pull, PullBounds, Refused, Section, SectionKind
from analysis.model.setup import Air, Car, Dyno, LossConvention, Setup
from analysis.phrases.say import as_written
from analysis.power.curve import PowerCurve, power_curve
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, Samples

BOUNDS = PullBounds(
    start_s=0.1 + 0.2,  # not a short decimal: JSON must give it back exactly
    end_s=12.75,
    start_rpm=2012.25,
    end_rpm=6498.5,
    complete=True,
    end_reason=EndReason.LIFT,
    intent=Quantity.PEDAL_POSITION,
    full_open=99.6,
    sections=(Section(SectionKind.HOLD, -1.0, 0.3), Section(SectionKind.SWEEP, 0.3, 12.75)),
    notes=(as_written("full pedal was learned from the session"),),
)
KNOCK = Finding(
    check="ignition",
    severity=Severity.STOP,
    statements=(as_written("Cylinder 3 is held back by 6.5 deg."),),
    cause=Cause.SINGLE_CYLINDER_KNOCK,
    confidence=0.9,
    where=Where(8.1, 9.4, 4800.0, 5400.0, cylinder=3),
    value=6.5,
    limit=4.0,
    unit="deg",
    limit_origin=COMMON_PRACTICE,
    settled_by=as_written("swapping the coils of cylinders 2 and 3"),
)
SEEN = Finding(
    check="boost", severity=Severity.HEALTHY, statements=(as_written("Boost follows its target."),)
)


def power() -> PowerCurve:
    """A true curve whose engine figures are unknown (NaN) beyond the coast-down table."""
    time_s = np.arange(-1.0, 13.0, 0.02)
    sent = {
        Quantity.ENGINE_SPEED: 2000.0 + 375.0 * time_s,
        Quantity.WHEEL_POWER: 30.0 + 10.0 * time_s + 1 / 3,
        Quantity.ROLLER_SPEED: 50.0 + 9.0 * time_s,
    }
    pull = Pull(
        number=1,
        bounds=BOUNDS,
        channels={q.value: Channel(q.value, HOUSE_UNIT[q], q) for q in sent},
        samples={q.value: Samples(time_s, value) for q, value in sent.items()},
    )
    dyno = Dyno(loss=LossConvention.COAST_DOWN, coast_down=((20.0, 1.0), (120.0, 9.0)))
    curve = power_curve(pull, Setup(dyno=dyno))
    assert curve is not None
    assert curve.engine_power_kw is not None
    assert np.isnan(curve.engine_power_kw).any()
    assert np.isfinite(curve.engine_power_kw).any()
    return curve


def report(number: int = 1, count: int = 300) -> PullReport:
    random = np.random.default_rng(number)
    time_s = np.sort(random.uniform(-3.0, 13.0, count))
    retard = random.normal(size=count)
    retard[::7] = np.nan
    retard[1:3] = (-0.0, np.inf)
    return PullReport(
        pull=Pull(
            number=number,
            bounds=BOUNDS,
            channels={
                "retard_3": Channel(
                    "retard_3", "deg", Quantity.KNOCK_RETARD, cylinder=3, source="engine"
                ),
                "rpm": Channel("rpm", "rpm", Quantity.ENGINE_SPEED, source="engine"),
                "silent": Channel("silent", "V"),
                "pedal": Channel("pedal", "%", Quantity.PEDAL_POSITION, full_scale=88.0),
            },
            samples={
                "retard_3": Samples(time_s, retard),
                "rpm": Samples(time_s + 1e-9, random.uniform(800, 7000, count)),
                "silent": Samples(np.empty(0), np.empty(0)),
                "pedal": Samples(time_s[:5], np.full(5, 99.6)),
            },
        ),
        findings=(KNOCK, SEEN),
        verdict=Severity.STOP,
        power=power(),
    )


def same_bits(left: Pull, right: Pull) -> bool:
    return list(left.samples) == list(right.samples) and all(
        left.samples[name].time_s.tobytes() == right.samples[name].time_s.tobytes()
        and left.samples[name].value.tobytes() == right.samples[name].value.tobytes()
        for name in left.samples
    )


def same_power(left: PowerCurve, right: PowerCurve) -> bool:
    """Every field the same, arrays bit for bit."""
    pairs = [(getattr(left, f.name), getattr(right, f.name)) for f in fields(PowerCurve)]
    return all(
        a.tobytes() == b.tobytes() if isinstance(a, np.ndarray) else a == b for a, b in pairs
    )


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "store") as opened:
        yield opened


@pytest.fixture
def stage_id(store: Store) -> int:
    job = store.open_job("Job 1", car="hatchback", fuel="98", agreed="a larger charge cooler")
    return store.open_stage(job.id, "baseline").id


def test_a_report_comes_back_as_it_was_saved(store: Store, stage_id: int) -> None:
    saved = report()
    loaded = store.load_report(store.save_pull(stage_id, "session-1", saved))
    assert same_bits(saved.pull, loaded.pull)
    assert loaded.pull.bounds == saved.pull.bounds
    assert loaded.pull.channels == saved.pull.channels
    assert loaded.pull.number == saved.pull.number
    assert (loaded.findings, loaded.verdict) == (saved.findings, saved.verdict)
    assert saved.power
    assert loaded.power
    assert same_power(saved.power, loaded.power)
    assert all(s.value.dtype == np.float64 for s in loaded.pull.samples.values())


def test_a_pull_without_dyno_data_has_no_power(store: Store, stage_id: int) -> None:
    pull_id = store.save_pull(stage_id, "session-1", replace(report(), power=None))
    assert store.pull(pull_id).power is None
    assert store.load_report(pull_id).power is None


def test_the_setup_of_a_pull_comes_back(store: Store, stage_id: int) -> None:
    setup = Setup(
        Car(cylinders=4, displacement_l=1.4, boosted=True),
        Dyno(loss=LossConvention.COAST_DOWN, coast_down=((20.0, 0.1 + 0.2), (120.0, 9.0))),
        Air(98.4, 24.0, 45.0),
    )
    kept = store.pull(store.save_pull(stage_id, "session-1", report(), setup)).setup
    assert kept == setup
    assert store.pull(store.save_pull(stage_id, "session-1", report(2))).setup is None


def test_what_was_stored_outlives_the_program(tmp_path: Path) -> None:
    with Store(tmp_path) as first:
        job = first.open_job("Job 1", car="hatchback")
        stage = first.open_stage(job.id, "baseline", changed="nothing yet")
        pull_id = first.save_pull(stage.id, "session-1", report())
    with Store(tmp_path) as again:
        assert again.jobs() == [job]
        assert again.stages(job.id) == [stage]
        assert same_bits(again.load_report(pull_id).pull, report().pull)


def test_stages_stand_in_order_and_the_newest_is_current(store: Store) -> None:
    assert store.current_stage() is None
    job, other = store.open_job("Job 1"), store.open_job("Job 2")
    first = store.open_stage(job.id, "baseline")
    store.open_stage(other.id, "another car")
    second = store.open_stage(job.id, "changed", changed="larger charge cooler")
    assert [(s.position, s.name, s.changed) for s in store.stages(job.id)] == [
        (1, "baseline", ""),
        (2, "changed", "larger charge cooler"),
    ]
    assert store.current_stage() == second
    store.set_current_stage(first.id)
    assert store.current_stage() == first


def test_pulls_are_found_by_job_and_stage(store: Store, stage_id: int) -> None:
    other = store.open_stage(store.open_job("Job 2").id, "baseline")
    mine = store.save_pull(stage_id, "session-1", report(1))
    theirs = store.save_pull(other.id, "session-2", report(1))
    assert [p.id for p in store.pulls()] == [mine, theirs]
    assert [p.id for p in store.pulls(job_id=other.job_id)] == [theirs]
    assert [p.id for p in store.pulls(stage_id=stage_id)] == [mine]
    stored = store.pull(mine)
    assert (stored.bounds, stored.findings, stored.verdict) == (
        BOUNDS,
        (KNOCK, SEEN),
        Severity.STOP,
    )
    assert stored.created.tzinfo is not None


def test_chosen_pulls_come_in_the_order_they_are_asked_for(store: Store, stage_id: int) -> None:
    saved = [store.save_pull(stage_id, "session-1", report(number)) for number in (1, 2, 3)]
    wanted = [saved[2], saved[0]]
    whole = TypeAdapter(list[StoredPull]).dump_json
    assert whole(store.chosen(wanted)) == whole([store.pull(pull_id) for pull_id in wanted])
    with pytest.raises(StoreError, match="there is no pull 99"):
        store.chosen([saved[0], 99])


def test_moving_excluding_and_annotating_stay_on_record(store: Store, stage_id: int) -> None:
    pull_id = store.save_pull(stage_id, "session-1", report())
    later = store.open_stage(store.stage(stage_id).job_id, "changed")
    store.exclude_pull(pull_id, "wheelspin")
    assert store.pull(pull_id).excluded == "wheelspin"
    store.include_pull(pull_id)
    store.move_pull(pull_id, later.id)
    store.annotate_pull(pull_id, "fan was off")
    stored = store.pull(pull_id)
    assert (stored.stage_id, stored.excluded, stored.annotation) == (later.id, None, "fan was off")
    assert [change.what for change in store.history(pull_id)] == [
        "excluded: wheelspin",
        "included again",
        f"moved from stage {stage_id} to stage {later.id}",
        "annotated: fan was off",
    ]


def test_a_pull_is_not_excluded_without_a_reason(store: Store, stage_id: int) -> None:
    pull_id = store.save_pull(stage_id, "session-1", report())
    with pytest.raises(StoreError, match="reason"):
        store.exclude_pull(pull_id, "  ")
    assert store.pull(pull_id).excluded is None


def test_the_same_pull_is_stored_once(store: Store, stage_id: int) -> None:
    store.save_pull(stage_id, "session-1", report())
    with pytest.raises(StoreError, match="already"):
        store.save_pull(stage_id, "session-1", report())
    assert len(store.pulls()) == 1
    assert len(list((store.folder / "pulls").iterdir())) == 1


def test_refused_candidates_keep_their_reason(store: Store, stage_id: int) -> None:
    store.save_refused(stage_id, "session-1", Refused(3.0, 4.5, as_written("speed did not rise")))
    (refused,) = store.refused(store.stage(stage_id).job_id)
    assert (refused.start_s, refused.end_s, refused.reason.text) == (
        3.0,
        4.5,
        "speed did not rise",
    )
    assert store.refused(999) == []


@pytest.mark.parametrize(
    "ask",
    [
        lambda store: store.job(7),
        lambda store: store.open_stage(7, "baseline"),
        lambda store: store.set_current_stage(7),
        lambda store: store.save_pull(7, "session-1", report()),
        lambda store: store.save_refused(7, "session-1", Refused(0.0, 1.0, as_written("short"))),
        lambda store: store.pull(7),
        lambda store: store.load_report(7),
        lambda store: store.exclude_pull(7, "wheelspin"),
    ],
)
def test_what_is_not_there_is_said_by_number(store: Store, ask) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(StoreError, match=r"there is no (job|stage|pull) 7"):
        ask(store)


def test_a_changed_or_missing_file_is_never_taken_for_the_pull(store: Store, stage_id: int) -> None:
    pull_id = store.save_pull(stage_id, "session-1", report())
    file = store.folder / store.pull(pull_id).file
    data = bytearray(file.read_bytes())
    data[len(data) // 2] ^= 1
    file.write_bytes(bytes(data))
    with pytest.raises(StoreError, match="not what was stored"):
        store.load_report(pull_id)
    file.unlink()
    with pytest.raises(StoreError, match="cannot be read"):
        store.load_report(pull_id)


def test_a_document_that_somebody_has_broken_is_an_error_of_the_store(
    store: Store, stage_id: int
) -> None:
    pull_id = store.save_pull(stage_id, "session-1", report())
    with store._engine.begin() as connection:
        connection.execute(text('UPDATE pulls SET power = \'{"loss": "at the wheel"}\''))
    with pytest.raises(StoreError, match="not as it was written") as broken:
        store.pull(pull_id)
    assert "engine_speed_rpm" in str(broken.value)


def test_a_pull_whose_samples_cannot_be_written_is_not_listed(store: Store, stage_id: int) -> None:
    (store.folder / "pulls").rmdir()
    with pytest.raises(StoreError, match="the store failed"):
        store.save_pull(stage_id, "session-1", report())
    assert store.pulls() == []


def test_tables_of_another_layout_are_refused(tmp_path: Path) -> None:
    with Store(tmp_path) as store, store._engine.begin() as connection:
        connection.execute(text("UPDATE store_version SET version = 99"))
    with pytest.raises(StoreError, match="layout 99"):
        Store(tmp_path)


def test_a_store_that_cannot_be_opened_says_so(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="cannot be opened"):
        Store(tmp_path, "no such thing")


def test_conditions_checklist_and_signatures_belong_to_the_job(store: Store) -> None:
    job = store.open_job("Job 1")
    store.set_conditions(job.id, {"fan": "large", "ambient_degc": 21.5})
    with_list_of_an_older_version(store, job.id, {"straps": True, "extraction": False})
    store.sign_job(job.id, "the calibrator", "healthy", "aa")
    signed = store.sign_job(job.id, "the owner", "", "bb")
    assert signed == store.job(job.id)
    assert signed.conditions == {"fan": "large", "ambient_degc": 21.5}
    assert signed.checklist == {"straps": True, "extraction": False}
    assert [(s.name, s.content_sha256) for s in signed.signatures] == [
        ("the calibrator", "aa"),
        ("the owner", "bb"),
    ]


def test_the_content_hash_follows_everything_a_report_rests_on(store: Store, stage_id: int) -> None:
    def limits(value: float) -> Limits:
        return Limits.of([Limit("ignition.retard", value, "deg", COMMON_PRACTICE, "")], {}, "")

    first = store.save_pull(stage_id, "session-1", report(1))
    job_id = store.stage(stage_id).job_id
    one = store.evidence(job_id)
    store.save_pull(stage_id, "session-1", report(2))
    both = store.evidence(job_id)
    store.exclude_pull(first, "wheelspin")
    hashes = [
        manifest_hash(manifest(both, "map", limits(4.0), "0.1.0")),
        manifest_hash(manifest(one, "map", limits(4.0), "0.1.0")),
        manifest_hash(manifest(store.evidence(job_id), "map", limits(4.0), "0.1.0")),
        manifest_hash(manifest(both, "another map", limits(4.0), "0.1.0")),
        manifest_hash(manifest(both, "map", limits(4.5), "0.1.0")),
        manifest_hash(manifest(both, "map", limits(4.0), "0.2.0")),
    ]
    assert len(set(hashes)) == len(hashes)
    assert manifest_hash(manifest(both[::-1], "map", limits(4.0), "0.1.0")) == hashes[0]


async def test_saving_in_threads_while_others_read(store: Store, stage_id: int) -> None:
    """Two threads save ten pulls while two keep reading: nobody fails, nothing is half there."""
    saved = threading.Event()

    def read() -> int:
        rounds = 0
        while not saved.is_set():
            for pull in store.pulls(stage_id=stage_id):
                assert len(pull.findings) == 2
                assert pull.file_sha256
            rounds += 1
        return rounds

    def save(session_id: str) -> None:
        for number in range(1, 6):
            store.save_pull(stage_id, session_id, report(number, count=20))

    with ThreadPoolExecutor(2) as readers:
        reading = [readers.submit(read) for _ in range(2)]
        try:
            await asyncio.gather(*(asyncio.to_thread(save, name) for name in ("one", "two")))
        finally:
            saved.set()
        assert min(each.result() for each in reading) > 1
    assert {(p.session_id, p.number) for p in store.pulls()} == {
        (name, number) for name in ("one", "two") for number in range(1, 6)
    }
    for pull in store.pulls():
        assert same_bits(store.load_report(pull.id).pull, report(pull.number, count=20).pull)
