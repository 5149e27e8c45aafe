"""What the simulated car of the demo prints, a line each: the form that `python -m simulators.demo`
writes, as the demo reads it."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from analysis.model.findings import Cause
from analysis.model.plain_arrays import PlainArray


class Ports(BaseModel):
    """The first line: what to open."""

    engine: str
    dyno: str
    lambda_: Annotated[str, Field(alias="lambda")]


class Driven(BaseModel):
    """progress: the share of the whole demo that has been driven."""

    progress: float
    stage: str


class StageDone(BaseModel):
    """All pulls of a stage are driven; the engine idles until it is told to go on."""

    stage_done: str


class TruePull(BaseModel):
    """What really happened in a pull, on the device's clock; the curves are over
    engine_speed_rpm. The simulator tells more of it, which is kept as it came."""

    model_config = ConfigDict(extra="allow")

    start_s: float
    end_s: float
    faults: frozenset[Cause]
    engine_speed_rpm: PlainArray
    wheel_torque_nm: PlainArray
    wheel_power_kw: PlainArray


class Truth(BaseModel):
    """The pulls of all stages, in order."""

    model_config = ConfigDict(extra="allow")

    pulls: tuple[TruePull, ...]


class TruthTold(BaseModel):
    """The last line."""

    truth: Truth


CarMessage = Ports | Driven | StageDone | TruthTold
_CAR_MESSAGE: TypeAdapter[CarMessage] = TypeAdapter(CarMessage)


def car_message(line: str) -> CarMessage:
    """Raises ValueError for a line that is none of them."""
    return _CAR_MESSAGE.validate_json(line)
