"""The stored pulls that were read last, so that looking at them again reads no file."""

import threading
from collections import OrderedDict
from pathlib import Path
from typing import Final

from analysis.archive.pull_files import read_pull
from analysis.model.pull import Pull

MOST_BYTES: Final = 64 * 2**20  # of samples: a day's pulls, and little beside what a browser takes

_Key = tuple[Path, str, int, int]


class PullCache:
    """Threads may share it. A file that is not as it was when it was read is read, and so judged,
    again: its size and its time of change are part of the key, beside the hash that it must have.
    """

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most_bytes = most_bytes
        self._bytes = 0
        self._pulls: OrderedDict[_Key, Pull] = OrderedDict()  # read longest ago first
        self._lock = threading.Lock()

    def read(self, path: Path, sha256: str) -> Pull:
        """As read_pull."""
        try:
            status = path.stat()
        except OSError:
            return read_pull(path, sha256)  # which says what is wrong
        key = (path, sha256, status.st_size, status.st_mtime_ns)
        with self._lock:
            if key in self._pulls:
                self._pulls.move_to_end(key)
                return self._pulls[key]
        return self._kept(key, read_pull(path, sha256))

    def _kept(self, key: _Key, pull: Pull) -> Pull:
        with self._lock:
            if key not in self._pulls:  # another thread may have read it too
                self._pulls[key] = pull
                self._bytes += _size_bytes(pull)
            while self._bytes > self._most_bytes:
                _, oldest = self._pulls.popitem(last=False)
                self._bytes -= _size_bytes(oldest)
        return pull


def _size_bytes(pull: Pull) -> int:
    return sum(s.time_s.nbytes + s.value.nbytes for s in pull.samples.values())
