"""The user's limits file: YAML, one line a limit, over every default."""

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Literal

from pydantic import AfterValidator, FiniteFloat

from analysis.alerting import session_alerts as alerts
from analysis.checks import DEFAULT_LIMITS
from analysis.model.limits import Limit, Limits
from analysis.readiness import readiness
from decode.yaml_file import StrictModel, load_yaml

ALL_LIMITS: tuple[Limit, ...] = (*DEFAULT_LIMITS, *alerts.LIMITS, *readiness.LIMITS)


_BY_NAME = {limit.name: limit for limit in ALL_LIMITS}


def _known(name: str) -> str:
    if name not in _BY_NAME:
        raise ValueError(f"no limit is called {name!r}; `pullwatch limits` lists every one")
    return name


class LimitsFile(StrictModel):
    """What a limits file may say."""

    pullwatch_limits: Literal[1]
    limits: Mapping[Annotated[str, AfterValidator(_known)], FiniteFloat] = {}


def default_limits() -> Limits:
    """Every limit at its default."""
    return Limits.of(ALL_LIMITS, {}, "")


def load_limits(path: Path) -> Limits:
    """The defaults with the file's values over them.

    Raises InputFileError with every problem of the file.
    """
    file = load_yaml(path, LimitsFile)
    return Limits.of(ALL_LIMITS, file.limits, f"limits file {path.name}")
