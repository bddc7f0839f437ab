"""A page as PDF on A4: the same page that a browser shows, set by a renderer of HTML that comes as a wheel.

PlutoPrint was chosen because the page is written once: typst and reportlab would need a second layout, WeasyPrint and
its kind system libraries. It knows no CSS grid, and a line may be a hair longer than in a browser.
"""

from __future__ import annotations

from io import BytesIO

__all__ = ["PdfUnavailable", "pdf_of"]

_NO_DATE = "2000-01-01T00:00:00"


class PdfUnavailable(Exception):  # noqa: N818 # the fault is named by what is missing, not as a Python error
    """The renderer is not there for this kind of machine; the page itself can be printed from a browser."""


def pdf_of(page: str) -> bytes:
    """The page as PDF. It does not say when it was made: the same page gives the same bytes.

    Raises:
        PdfUnavailable: the renderer cannot be loaded, or there is no font to set text in.
    """
    try:
        import plutoprint  # noqa: PLC0415 # heavy
    except ImportError as error:
        raise PdfUnavailable(f"the PDF renderer cannot be loaded: {error}") from error

    class Nothing(plutoprint.ResourceFetcher):
        """A page stands alone: whatever it names, nothing is fetched for it."""

        def fetch_url(self, url: str) -> plutoprint.ResourceData:  # noqa: ARG002 # the library's signature
            return plutoprint.ResourceData(b"", "text/plain")

    book = plutoprint.Book(plutoprint.PAGE_SIZE_A4)
    book.custom_resource_fetcher = Nothing()
    book.load_html(page)
    for date in (plutoprint.PDF_METADATA_CREATION_DATE, plutoprint.PDF_METADATA_MODIFICATION_DATE):
        book.set_metadata(date, _NO_DATE)
    stream = BytesIO()
    book.write_to_pdf_stream(stream)
    made = stream.getvalue()
    if b"/FontFile" not in made:
        raise PdfUnavailable("this machine has no font to set text in")
    return made
