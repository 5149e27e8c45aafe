"""A bay as the page sees it, without anything behind it: what is stated is kept."""

from dataclasses import dataclass, field

import demo_job

from analysis.archive.sign_off import Basis
from analysis.archive.store import Store
from analysis.model.setup import Setup
from analysis.phrases.table import Language
from analysis.publish.live.view import LiveView
from analysis.publish.report.letterhead import Letterhead
from decode.operator_records import OperatorRecord


@dataclass
class PageBay:
    """recorded: what the page had put down, in order."""

    store: Store
    live: LiveView = field(default_factory=lambda: LiveView(demo_job.CHANNELS, "bay-1"))
    setup: Setup = demo_job.SETUP
    basis: Basis = demo_job.BASIS
    letterhead: Letterhead = field(default_factory=Letterhead)
    language: Language = "en"
    recorded: list[OperatorRecord] = field(default_factory=list)

    def record(self, statement: OperatorRecord) -> None:
        self.recorded.append(statement)
