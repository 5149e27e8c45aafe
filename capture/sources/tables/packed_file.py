"""Files that may be packed by gzip: logs and tables often are."""

import gzip
import zlib
from pathlib import Path
from typing import BinaryIO, Final, cast

# what reading raises where the file is damaged, cut off, or cannot be read at all
DAMAGED: Final = (OSError, EOFError, zlib.error)


def open_bytes(path: Path) -> BinaryIO:
    """The bytes of a file, unpacked where its name ends in .gz; reading raises DAMAGED."""
    return cast(BinaryIO, gzip.open(path)) if path.suffix.lower() == ".gz" else path.open("rb")
