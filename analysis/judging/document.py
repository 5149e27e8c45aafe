"""The one document of `pullwatch analyse --json`; its JSON Schema lies beside this file."""

import json
from collections.abc import Sequence
from importlib.resources import files
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from analysis.judging.pull_report import PullReport
from analysis.model.findings import Cause, Finding, Severity, Where
from analysis.model.pull import Refused
from analysis.phrases.statement import Statement


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", from_attributes=True)


class WherePart(_Part):
    """The place in the pull."""

    start_s: float
    end_s: float
    start_rpm: float | None
    end_rpm: float | None
    cylinder: int | None


class FindingPart(_Part):
    """One statement about the pull."""

    check: str
    severity: Severity
    cause: Cause | None
    confidence: float = Field(ge=0, le=1)
    text: str
    statements: list[Statement]
    where: WherePart | None
    value: float | None
    limit: float | None
    unit: str
    limit_origin: str
    settled_by: Statement | None


class PullPart(_Part):
    """One pull, in seconds since the session started."""

    start_s: float
    end_s: float
    start_rpm: float
    end_rpm: float
    complete: bool
    end_reason: str
    verdict: Severity
    findings: list[FindingPart]


class RefusedPart(_Part):
    """A candidate that is no pull."""

    start_s: float
    end_s: float
    reason: Statement


class AnalysisDocument(_Part):
    """What one recording or table holds."""

    pulls: list[PullPart]
    refused: list[RefusedPart]


def _finding_part(finding: Finding) -> FindingPart:
    where: Where | None = finding.where
    return FindingPart(
        **{
            **finding.to_json(),
            "text": finding.text,
            "where": None if where is None else WherePart.model_validate(where),
        }
    )


def analysis_document(
    reports: Sequence[PullReport], refused: Sequence[Refused]
) -> AnalysisDocument:
    """Build the document from what the pipeline gave."""
    return AnalysisDocument(
        pulls=[
            PullPart(
                start_s=report.pull.bounds.start_s,
                end_s=report.pull.bounds.end_s,
                start_rpm=report.pull.bounds.start_rpm,
                end_rpm=report.pull.bounds.end_rpm,
                complete=report.pull.bounds.complete,
                end_reason=report.pull.bounds.end_reason,
                verdict=report.verdict,
                findings=[_finding_part(finding) for finding in report.findings],
            )
            for report in reports
        ],
        refused=[RefusedPart.model_validate(candidate) for candidate in refused],
    )


def generated_schema() -> dict[str, Any]:
    """The JSON Schema as the models give it today; a test holds it against the committed one."""
    return AnalysisDocument.model_json_schema()


def published_schema() -> dict[str, Any]:
    """The JSON Schema that lies in the package."""
    text = files("analysis.judging").joinpath("analysis_document.schema.json").read_text("utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema
