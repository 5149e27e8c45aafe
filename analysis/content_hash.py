"""One number over everything a report rests on: if it is the same, nothing has changed."""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from analysis.jobs import StoredPull
from analysis.limits import Limits


def content_hash(pulls: Iterable[StoredPull], map_text: str, limits: Limits, version: str) -> str:
    """SHA-256, in hex, over the pulls (samples, findings, what people said of them), the channel
    map, the limits and the program's version. The order of the pulls does not matter.
    """
    content = {
        "pulls": [_content(pull) for pull in sorted(pulls, key=lambda pull: pull.id)],
        "map": map_text,
        "limits": {name: asdict(limit) for name, limit in limits.by_name.items()},
        "version": version,
    }
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()


def _content(pull: StoredPull) -> dict[str, Any]:
    return {
        "id": pull.id,
        "stage_id": pull.stage_id,
        "samples": pull.file_sha256,
        "verdict": pull.verdict,
        "findings": [finding.to_json() for finding in pull.findings],
        "power": pull.power,
        "excluded": pull.excluded,
        "annotation": pull.annotation,
    }
