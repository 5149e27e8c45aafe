"""One number over everything a report rests on: if it is the same, nothing has changed.

Beside the number stands what it was made of, part by part, so that a later look can say what is
different now and not only that something is.
"""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from analysis.archive.evidence import PullEvidence
from analysis.model.limits import Limits

DIGEST: Final = "sha256:"  # a part that is not told in full begins with this


def manifest(
    pulls: Iterable[PullEvidence], map_text: str, limits: Limits, version: str
) -> dict[str, str]:
    """Every part by its name: the pulls (samples, findings, torque, what people said of them), the
    channel map, each limit, the program's version. Long parts are told as DIGEST and their SHA-256.
    The order of the pulls does not matter.
    """
    parts = {"channel map": DIGEST + _digest(map_text), "program version": version}
    for limit in limits.by_name.values():
        parts[f"limit {limit.name}"] = f"{limit.value!r} {limit.unit} ({limit.origin})"
    for pull in pulls:
        parts |= {f"pull {pull.id}: {name}": text for name, text in _parts(pull)}
    return parts


def manifest_hash(parts: Mapping[str, str]) -> str:
    """The content hash: SHA-256 over the parts, in hex."""
    return _digest(json.dumps(parts, sort_keys=True))


def _parts(pull: PullEvidence) -> Iterator[tuple[str, str]]:
    yield "stage", str(pull.stage_id)
    yield "samples", DIGEST + pull.file_sha256
    yield "verdict", pull.verdict
    yield "findings", _digest_json(pull.findings)
    yield "torque and power", _digest_json(pull.power)
    yield "bounds", _digest_json(pull.bounds)
    yield "excluded", pull.excluded or "no"
    yield "annotation", pull.annotation


def _digest_json(content: Any) -> str:
    return DIGEST + _digest(json.dumps(content, sort_keys=True))


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
