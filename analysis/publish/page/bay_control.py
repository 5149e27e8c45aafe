"""What the page needs of the bay that serves it."""

from typing import Protocol

from analysis.archive.jobs import Stage
from analysis.archive.sign_off import Basis
from analysis.archive.store import Store
from analysis.model.setup import Setup
from analysis.phrases.table import Language
from analysis.publish.live.view import LiveView
from analysis.publish.report.letterhead import Letterhead
from decode.operator_records import OperatorRecord, StageEntered


class BayControl(Protocol):
    """A bay at work, as the page sees it. basis: what a signature stands for beside the pulls.
    letterhead: whose reports these are. language: of reports and findings."""

    @property
    def store(self) -> Store: ...
    @property
    def live(self) -> LiveView: ...
    @property
    def setup(self) -> Setup: ...
    @property
    def basis(self) -> Basis: ...
    @property
    def letterhead(self) -> Letterhead: ...
    @property
    def language(self) -> Language: ...

    def record(self, statement: OperatorRecord) -> None:
        """Take down what the operator states; from any thread."""


def enter_stage(bay: BayControl, stage: Stage) -> None:
    """Let pulls fall into the stage from now on. Reads the store: call it from a worker thread."""
    job = bay.store.job(stage.job_id)
    bay.record(StageEntered(job=job.name, stage=stage.name, stage_id=stage.id))
