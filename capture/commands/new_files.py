"""Files and folders that commands make: never over what is there, and told where it fails."""

from pathlib import Path

from decode.errors import PullwatchError


def make_folder(folder: Path) -> None:
    """Make the folder, and those above it, unless it is there; PullwatchError if that fails."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise PullwatchError(f"{folder} cannot be made: {error.strerror}") from error


def write_new(path: Path, text: str) -> None:
    """Write a UTF-8 file; PullwatchError where there is one already, or it cannot be written."""
    make_folder(path.parent)
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError as error:
        raise PullwatchError(f"{path} is there already and is left as it is") from error
    except OSError as error:
        raise PullwatchError(f"{path} cannot be written: {error.strerror}") from error
