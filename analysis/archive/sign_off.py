"""Sign-off: somebody stands for a job as it is, and a later look says whether it still is.

A signature holds the content hash; what that was made of is kept beside it in the store's folder,
in a file named by the hash, so that nobody can change the one without the other.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path
from typing import Final

from analysis.archive.content_hash import DIGEST, manifest, manifest_hash
from analysis.archive.jobs import Job, Signature, StoreError
from analysis.archive.store import Store
from analysis.model.limits import Limits

FOLDER: Final = "signatures"


@dataclass(frozen=True, slots=True)
class Basis:
    """What the judgements of a store's pulls rest on beside the pulls themselves."""

    map_text: str
    limits: Limits
    version: str = field(default_factory=lambda: version("pullwatch"))


@dataclass(frozen=True, slots=True)
class Verification:
    """One signature against the job as it is now. changes: in words, empty where nothing has."""

    signature: Signature
    changes: tuple[str, ...]

    @property
    def unchanged(self) -> bool:
        """What was signed is what is there."""
        return not self.changes


def sign(store: Store, job_id: int, name: str, remarks: str, basis: Basis) -> Job:
    """Sign the job as it is now, for good.

    Raises StoreError without a name, for a job without a pull, or where the samples on disk are
    not those that were judged.
    """
    if not name.strip():
        raise StoreError("a job is signed only with a name")
    if not store.pulls(job_id=job_id):
        raise StoreError(f"job {job_id} has no pull, so there is nothing to sign")
    broken = list(_broken_files(store, job_id))
    if broken:
        raise StoreError(f"not signed: {'; '.join(broken)}")
    parts = evidence(store, job_id, basis)
    content_sha256 = manifest_hash(parts)
    path = _kept(store, content_sha256)
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps(parts, indent=1, sort_keys=True), encoding="utf-8")
    return store.sign_job(job_id, name.strip(), remarks.strip(), content_sha256)


def verify(store: Store, job_id: int, basis: Basis) -> tuple[Verification, ...]:
    """Every signature of the job, oldest first, against the job as it is now.

    Raises StoreError where there is no such job.
    """
    signatures = store.job(job_id).signatures
    if not signatures:
        return ()
    now = evidence(store, job_id, basis)
    broken = tuple(_broken_files(store, job_id))
    return tuple(
        Verification(signature, (*_changes(store, signature, now), *broken))
        for signature in signatures
    )


def evidence(store: Store, job_id: int, basis: Basis) -> dict[str, str]:
    """Every part the job rests on, by name; its `manifest_hash` is what is signed."""
    return manifest(store.evidence(job_id), basis.map_text, basis.limits, basis.version)


def _changes(store: Store, signature: Signature, now: Mapping[str, str]) -> tuple[str, ...]:
    if manifest_hash(now) == signature.content_sha256:
        return ()
    signed = _signed_parts(store, signature.content_sha256)
    if signed is None:
        return ("something is different, and the record of what was signed is gone or altered",)
    return tuple(_differences(signed, now))


def _signed_parts(store: Store, content_sha256: str) -> dict[str, str] | None:
    """What the hash was made of; None where the file is gone or no longer gives the hash."""
    try:
        parts: dict[str, str] = json.loads(_kept(store, content_sha256).read_text("utf-8"))
    except (OSError, ValueError):
        return None
    return parts if manifest_hash(parts) == content_sha256 else None


def _differences(signed: Mapping[str, str], now: Mapping[str, str]) -> Iterator[str]:
    for name in [*signed, *(name for name in now if name not in signed)]:
        if name not in now:
            yield f"{name} is gone"
        elif name not in signed:
            yield f"{name} is new"
        elif signed[name] != now[name]:
            yield _difference(name, signed[name], now[name])


def _difference(name: str, before: str, after: str) -> str:
    if before.startswith(DIGEST):
        return f"{name} changed"
    return f"{name}: was {before or 'empty'}, is {after or 'empty'}"


def _broken_files(store: Store, job_id: int) -> Iterator[str]:
    """Samples on disk that are not what the store wrote."""
    for pull in store.pulls(job_id=job_id):
        path = store.folder / pull.file
        if not path.is_file():
            yield f"pull {pull.id}: the file {pull.file} is gone"
        elif _sha256(path) != pull.file_sha256:
            yield f"pull {pull.id}: the file {pull.file} was changed"


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _kept(store: Store, content_sha256: str) -> Path:
    return store.folder / FOLDER / f"{content_sha256}.json"
