"""The same report as a PDF, by weasyprint: an extra, as it needs the system's Pango library."""

from importlib import import_module

from decode.errors import PullwatchError


class PdfUnavailableError(PullwatchError):
    """Without the extra there is no PDF; the text says what to do instead."""


def report_pdf(html: str) -> bytes:
    """The report's HTML as PDF. Raises PdfUnavailableError where weasyprint or Pango is missing."""
    try:
        weasyprint = import_module("weasyprint")
    except (ImportError, OSError) as error:
        raise PdfUnavailableError(
            f"PDF needs weasyprint and the Pango library ({error}): pip install 'pullwatch[pdf]', "
            "or open the HTML report and print it to PDF"
        ) from error
    pdf: bytes = weasyprint.HTML(string=html).write_pdf()
    return pdf
