"""The error tree, split by what the person who sees it can do.

PullwatchError
├── InputFileError      mend the named file: every problem of it, with line and column
│   ├── (subclasses where the caller must tell files apart)
├── RecordingError      a recording cannot be read at all (a torn tail is not an error)
├── SourceError         an adapter, port or file cannot be opened or has gone
├── FormulaError        a derived channel's formula is refused
└── UnitError           a unit is unknown, or measures something else
"""

from dataclasses import dataclass
from pathlib import Path


class PullwatchError(Exception):
    """Base of everything pullwatch raises on purpose; its text is meant for the user."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a file the user wrote."""

    line: int
    column: int
    subject: str
    message: str


class InputFileError(PullwatchError):
    """A file the user wrote is wrong; lists every problem at once."""

    def __init__(self, file: Path | str, problems: list[Problem]) -> None:
        self.file = str(file)
        self.problems = tuple(sorted(problems, key=lambda p: (p.line, p.column, p.subject)))
        super().__init__("\n".join(self.lines()))

    def lines(self) -> list[str]:
        """One `file:line:column: subject: message` per problem, in the order of the file."""
        return [f"{self.file}:{p.line}:{p.column}: {p.subject}: {p.message}" for p in self.problems]


class RecordingError(PullwatchError):
    """A recording cannot be read at all."""


class SourceError(PullwatchError):
    """An adapter, port or file cannot be opened, or has gone away."""


class FormulaError(PullwatchError):
    """The formula of a derived channel is refused; the text says which part and what is allowed."""


class UnitError(PullwatchError):
    """A unit is unknown, or measures something else; the text names the allowed units."""
