"""`shop:` of the station file: name, text and logo of the workshop at the top of its reports."""

import base64
from pathlib import Path
from typing import Annotated, Final

from pydantic import StringConstraints

from analysis.publish.report.letterhead import Letterhead
from decode.yaml_file import StrictModel

LARGEST_LOGO_BYTES: Final = 200_000  # it travels in every report; at print size this is plenty
# By what a file begins with: a name says little.
KINDS: Final = {b"\x89PNG": "image/png", b"\xff\xd8\xff": "image/jpeg", b"<svg": "image/svg+xml"}

Line = Annotated[str, StringConstraints(max_length=200)]


class LetterheadSettings(StrictModel):
    """logo: a PNG, JPEG or SVG file, relative to the station file."""

    name: Line = ""
    text: Line = ""
    logo: Path | None = None

    def letterhead(self, folder: Path) -> Letterhead:
        """As the report takes it; ValueError where the logo in `folder` cannot be used."""
        logo = "" if self.logo is None else data_uri(folder / self.logo)
        return Letterhead(self.name, self.text, logo)


def data_uri(path: Path) -> str:
    """The picture as a data URI; ValueError says what is wrong with it."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise ValueError(f"{path} cannot be opened: {error.strerror or error}") from error
    if len(content) > LARGEST_LOGO_BYTES:
        size, most = len(content) // 1000, LARGEST_LOGO_BYTES // 1000
        raise ValueError(f"{path} has {size} kB; a logo may have {most} kB")
    kinds = [kind for start, kind in KINDS.items() if content.lstrip().startswith(start)]
    if not kinds:
        raise ValueError(f"{path} is no PNG, JPEG or SVG picture (an SVG must begin with <svg)")
    return f"data:{kinds[0]};base64,{base64.b64encode(content).decode()}"
