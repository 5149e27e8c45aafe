"""The raw recording of a session, safe against a crash at any moment.

Records are written before anybody decodes them. One thread compresses and writes, a second syncs:
what is written survives the end of this process, what is synced survives the loss of power. A sync
that takes long on a slow card must hold up neither the event loop nor the next write.
"""

import asyncio
import logging
import os
import threading
import time
from contextlib import closing
from pathlib import Path
from types import TracebackType
from typing import Final, Self

import pyarrow as pa

from capture.recording.format import BlockWriter
from decode.errors import RecordingError
from decode.records import RecordBatch, SessionInfo

TICK_S: Final = 0.04
# A block on disk carries some bytes of its own, and costs whoever reads it some time of its own, so
# records are gathered up to this age. A crash may cost 250 ms; the rest is for the tick, and for a
# busy machine that wakes us late. By age and not by ticks: a late tick is then paid for once.
OLDEST_PENDING_S: Final = 0.12
WORTH_A_BLOCK: Final = 1_000  # records; beyond it the cost of a block no longer counts
SYNC_INTERVAL_S: Final = 0.1  # what a loss of power may cost, beside the sync itself

logger = logging.getLogger(__name__)


class Recorder:
    """Writes one session to `path`; `put` never blocks and never drops.

    failure: why nothing is written any more (a full disk, a card pulled out), or None. The
    records that came after it are counted in `lost`.
    """

    def __init__(self, path: Path, session: SessionInfo) -> None:
        self.path = path
        self.failure: RecordingError | None = None
        self.written = 0
        self.lost = 0
        self._session = session
        self._sources = {info.name for info in session.sources}
        self._pending: list[RecordBatch] = []
        self._pending_since_s = 0.0
        self._pending_lock = threading.Lock()
        self._closing = threading.Event()
        self._all_written = threading.Event()
        self._writing = threading.Thread(target=self._write_until_closed, name="recorder")
        self._syncing = threading.Thread(target=self._sync_until_written, name="recorder-sync")

    def put(self, batch: RecordBatch) -> None:
        """Take one batch of a source of the session."""
        if batch.source not in self._sources:
            raise ValueError(f"{batch.source} is not a source of this session")
        with self._pending_lock:
            if self.failure is not None:
                self.lost += len(batch)
                return
            if not self._pending:
                self._pending_since_s = time.monotonic()
            self._pending.append(batch)

    @property
    def behind(self) -> int:
        """How many records wait to be written."""
        with self._pending_lock:
            return sum(map(len, self._pending))

    def open(self) -> None:
        """Make the file and start to write. Raises RecordingError."""
        self._open_file()
        self._writing.start()
        self._syncing.start()

    async def close(self) -> None:
        """Write what is left and close; why it could not be written stands in `failure`."""
        self._closing.set()
        await asyncio.shield(asyncio.to_thread(self._close))

    async def __aenter__(self) -> Self:
        self.open()
        return self

    async def __aexit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close; raises the failure unless something else is under way."""
        await self.close()
        if self.failure is not None and error is None:
            raise self.failure

    def _open_file(self) -> None:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            file = self.path.open("xb")  # a recording is never overwritten
            self._descriptor = os.dup(file.fileno())  # of its own: the last sync comes after close
            self._writer = BlockWriter(file, self._session)
        except OSError as error:
            raise RecordingError(f"{self.path} cannot be written: {error}") from error

    def _close(self) -> None:
        self._writing.join()
        self._all_written.set()
        self._syncing.join()
        os.close(self._descriptor)

    def _write_until_closed(self) -> None:
        try:
            with closing(self._writer):
                self._write_blocks()
        except (OSError, pa.ArrowException) as error:
            self._fail(error)

    def _write_blocks(self) -> None:
        last = False
        while not last:
            last = self._closing.wait(TICK_S)
            batches = self._take(everything=last)
            if batches:
                self._write(batches)

    def _write(self, batches: list[RecordBatch]) -> None:
        try:
            self._writer.write(batches)
        except (OSError, pa.ArrowException):
            with self._pending_lock:
                self._pending[:0] = batches  # lost with those behind them
            raise
        self.written += sum(map(len, batches))

    def _sync_until_written(self) -> None:
        """Sync again and again; the last time once everything is written."""
        try:
            while not self._all_written.wait(SYNC_INTERVAL_S):
                os.fsync(self._descriptor)
            os.fsync(self._descriptor)
        except OSError as error:
            self._fail(error)

    def _take(self, everything: bool) -> list[RecordBatch]:
        with self._pending_lock:
            young = time.monotonic() - self._pending_since_s < OLDEST_PENDING_S
            if young and not everything and sum(map(len, self._pending)) < WORTH_A_BLOCK:
                return []
            taken, self._pending = self._pending, []
            return taken

    def _fail(self, error: Exception) -> None:
        with self._pending_lock:
            self.lost += sum(map(len, self._pending))
            self._pending = []
            if self.failure is not None:
                return
            self.failure = RecordingError(f"{self.path}: recording stopped: {error}")
        logger.error("%s", self.failure)
