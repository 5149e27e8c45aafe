"""Makes a frozen store of the program that is on PYTHONPATH, and what that program reads of it.

    cd tests; PYTHONPATH=TREE_OF_THE_EARLIER_PROGRAM python -m archive_data.make_store FOLDER

The stores beside this file were made so, each by the last commit of its layout (layout_1_first: by
the last one whose power curves had no `peak_shift`). FOLDER/as_read.json holds every value that the
earlier program read back and what its signature rests on; tests compare today's reading with it.
Modules have moved since: `room` finds them by any of their names, so that one script serves all.
"""

import hashlib
import json
import sys
from dataclasses import asdict, fields
from importlib import import_module
from importlib.util import find_spec
from inspect import signature
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import TypeAdapter

CHANNELS = ("engine_speed", "pedal_position", "boost_pressure", "boost_target", "roller_speed")
MAP_TEXT = "pullwatch_map: 1\n"
VERSION = "0.1.0"
START_S, SWEEP_S = 6.0, 8.0


def room(*names: str) -> Any:
    """The module, by the first of its names that this program knows."""
    for name in names:
        try:
            if find_spec(name) is not None:
                return import_module(name)
        except ModuleNotFoundError:  # a folder in the name that this program does not have
            continue
    raise ModuleNotFoundError(names)


def text(words: str) -> Any:
    """A statement, where this program has them."""
    return (
        room("analysis.phrases.say").as_written(words) if find_spec("analysis.phrases") else words
    )


def make_pull(number: int) -> Any:
    """A sweep on an inertia dyno; the samples are no short decimals, and one of them is missing."""
    model = room("analysis.model.pull", "analysis.pull")
    quantities, samples = room("decode.quantities"), room("decode.samples")
    time_s = np.arange(START_S - 3, START_S + SWEEP_S + 1, 0.1) + 1 / 3000
    progress = np.clip((time_s - START_S) / SWEEP_S, 0, 1)
    rpm = 2000 + 4500 * progress * (1 - 0.1 * progress)
    boost_kpa = 90 / (1 + np.exp(-(rpm - 2600) / 250)) - 8.0 * number * progress
    boost_kpa[5] = np.nan
    values = {
        "engine_speed": rpm,
        "pedal_position": np.where((time_s > START_S) & (time_s < START_S + SWEEP_S), 99.6, 7.1),
        "boost_pressure": boost_kpa,
        "boost_target": np.full(len(time_s), 90.0),
        "roller_speed": rpm / 34.2,
    }
    known = {name: quantities.Quantity(name) for name in CHANNELS}
    return model.Pull(
        number=number,
        bounds=model.PullBounds(
            start_s=START_S,
            end_s=START_S + SWEEP_S,
            start_rpm=2000.0,
            end_rpm=6050.0,
            complete=True,
            end_reason=model.EndReason.LIFT,
            intent=known["pedal_position"],
            full_open=99.6,
            sections=(
                model.Section(model.SectionKind.HOLD, START_S - 1.0, START_S),
                model.Section(model.SectionKind.SWEEP, START_S, START_S + SWEEP_S),
            ),
            notes=(text("full pedal was learned from the session"),),
        ),
        channels={
            name: samples.Channel(name, quantities.HOUSE_UNIT[one], one, source="engine")
            for name, one in known.items()
        },
        samples={name: samples.Samples(time_s, value) for name, value in values.items()},
    )


def make_store(folder: Path) -> None:
    """Two stages of a signed job, with everything a person can do to a pull."""
    setups = room("analysis.model.setup", "analysis.setup")
    model = room("analysis.model.pull", "analysis.pull")
    setup = setups.Setup(
        setups.Car(cylinders=4, displacement_l=1.4, boosted=True, closed_loop_boost=True),
        setups.Dyno(inertia_kg_m2=40.0, roller_radius_m=0.3),
        setups.Air(98.4, 24.0, 45.0),
    )
    with room("analysis.archive.store", "analysis.store").Store(folder) as store:
        job = store.open_job("Job 1", car="hatchback", fuel="98", agreed="a larger charge cooler")
        store.set_conditions(job.id, {"fan": "large", "ambient_degc": 0.1 + 0.2})
        if hasattr(store, "set_checklist"):
            store.set_checklist(job.id, {"straps": True, "extraction": False})
        first = store.open_stage(job.id, "baseline")
        second = store.open_stage(job.id, "changed", changed="larger charge cooler")
        for number, stage in ((1, first), (2, second), (3, second)):
            store.save_pull(stage.id, "session-1", *judged(make_pull(number), setup, store))
        store.move_pull(3, first.id)
        store.exclude_pull(3, "wheelspin")
        store.annotate_pull(2, "fan was off: 40 °C")
        store.save_refused(
            first.id, "session-1", model.Refused(30.0, 31.5, text("speed did not rise"))
        )
        if find_spec("analysis.archive") or find_spec("analysis.sign_off"):
            signing = room("analysis.archive.sign_off", "analysis.sign_off")
            basis = signing.Basis(MAP_TEXT, default_limits(), VERSION)
            signing.sign(store, job.id, "A. Calibrator", "as agreed", basis)
        read = {**as_read(store), "limits": [asdict(limit) for limit in sorted_limits()]}
    (folder / "as_read.json").write_text(as_text(read), encoding="utf-8")


def judged(pull: Any, setup: Any, store: Any) -> tuple[Any, ...]:
    """What this program's `save_pull` takes of a pull: its layout decides how much."""
    analyse = room(
        "analysis.judging.analyse_pull", "analysis.judging.pull_report", "analysis.analyse"
    ).analyse_pull
    context = room("analysis.checks.check").Context
    taken = signature(store.save_pull).parameters
    parts = [analyse(pull, default_limits(), context(setup))]
    parts += [setup] if "setup" in taken else []
    return (*parts, readiness()) if "readiness" in taken else tuple(parts)


def readiness() -> Any:
    """How it stood when the pull began."""
    found = room("analysis.readiness.readiness", "analysis.readiness")
    warm = found.Item(text("Coolant"), found.State.READY, text("warm"), 88.25, "degC", 75.0)
    silent = found.Item(text("Channels"), found.State.WAIT, text("not heard: oil_temperature"))
    points = (found.Point("straps", done=True), found.Point("extraction"))
    return found.Readiness(
        5.25,
        False,
        (silent.statement if hasattr(silent, "statement") else silent.reason,),
        (warm, silent),
        points,
    )


def default_limits() -> Any:
    """This program's limits."""
    return room("analysis.judging.limits_file", "analysis.limits_file").default_limits()


def sorted_limits() -> list[Any]:
    """The same in one order."""
    return [limit for _, limit in sorted(default_limits().by_name.items())]


def as_read(store: Any) -> dict[str, Any]:
    """Every value of the store as plain data; samples by the SHA-256 of their bytes."""
    pulls = store.pulls()
    return {
        "jobs": [plain(job) for job in store.jobs()],
        "stages": [plain(stage) for job in store.jobs() for stage in store.stages(job.id)],
        "pulls": [stored_pull(pull) for pull in pulls],
        "samples": [digests(store.load_report(pull.id).pull) for pull in pulls],
        "history": [plain(change) for pull in pulls for change in store.history(pull.id)],
        "refused": [plain(refused) for job in store.jobs() for refused in store.refused(job.id)],
    }


def as_text(read: dict[str, Any]) -> str:
    """JSON with one line for each thing read: short, and what differs is seen."""
    parts = [
        f"{json.dumps(name)}: [\n" + ",\n".join(map(json.dumps, found)) + "\n]"
        for name, found in read.items()
    ]
    return "{" + ",\n".join(parts) + "}\n"


def stored_pull(pull: Any) -> dict[str, Any]:
    """One pull, its documents in the form in which the store keeps them."""
    bounds = room("analysis.archive.pull_files", "analysis.pull_files").BOUNDS
    values = {field.name: getattr(pull, field.name) for field in fields(pull)}
    return plain_values(
        {
            **values,
            "bounds": bounds.dump_python(pull.bounds, mode="json"),
            "findings": [finding.to_json() for finding in pull.findings],
            **{name: document(values[name]) for name in ("power", "setup", "readiness")},
        }
    )


def document(value: Any) -> Any:
    """A document of a pull as plain data, which earlier programs gave as it is kept."""
    if value is None or isinstance(value, dict):
        return value
    return TypeAdapter(type(value)).dump_python(value, mode="json")


def digests(pull: Any) -> dict[str, Any]:
    """Number and channels of a pull's file, and its samples bit for bit."""
    return {
        "number": pull.number,
        "channels": {name: plain(channel) for name, channel in pull.channels.items()},
        "samples": {
            name: [
                hashlib.sha256(samples.time_s.tobytes()).hexdigest(),
                hashlib.sha256(samples.value.tobytes()).hexdigest(),
            ]
            for name, samples in pull.samples.items()
        },
    }


def plain(value: Any) -> dict[str, Any]:
    """A frozen value as plain data."""
    return plain_values(asdict(value))


def plain_values(values: dict[str, Any]) -> dict[str, Any]:
    """As JSON gives it back; moments as text."""
    found: dict[str, Any] = json.loads(json.dumps(values, default=str))
    return found


if __name__ == "__main__":
    make_store(Path(sys.argv[1]))
