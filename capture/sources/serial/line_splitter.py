"""Cuts a byte stream into lines, whatever damage it carries."""


class LineSplitter:
    """Lines end with CR, LF or both; empty ones are dropped.

    longest: a line beyond it is noise (a wrong baud rate has no line ends) and is dropped up to
    the next line end. whole_first: the stream starts with a line and not somewhere inside one.
    """

    def __init__(self, longest: int, whole_first: bool) -> None:
        self._longest = longest
        self._rest = b""
        self._skipping = not whole_first
        self._overlong = 0

    def feed(self, data: bytes) -> list[bytes]:
        """The lines that `data` completes."""
        *lines, rest = (self._rest + data).replace(b"\r", b"\n").split(b"\n")
        if self._skipping and lines:
            del lines[0]
            self._skipping = False
        self._rest = self._guard(b"" if self._skipping else rest)
        kept = [line for line in lines if 0 < len(line) <= self._longest]
        self._overlong += sum(len(line) > self._longest for line in lines)
        return kept

    def taken_overlong(self) -> int:
        """How many lines were dropped since this was last asked."""
        taken, self._overlong = self._overlong, 0
        return taken

    def _guard(self, rest: bytes) -> bytes:
        if len(rest) <= self._longest:
            return rest
        self._overlong += 1
        self._skipping = True
        return b""
