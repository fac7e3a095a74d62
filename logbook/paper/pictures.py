"""Pages as pictures, for a screen, or where no viewer for PDF is at hand. Drawn by PDFium, as a browser would."""

from __future__ import annotations

import io
from collections.abc import Iterator

from ..extras import PICTURES, lacking

DPI = 150


def pictures(pdf: bytes, dpi: int = DPI) -> Iterator[bytes]:
    """Each page of a PDF as the bytes of a PNG of so many dots an inch, gray where nothing on it has a colour.

    Raises ProblemsFound where the extra is not there.
    """
    from PIL import ImageChops

    try:
        import pypdfium2
    except ImportError:
        raise lacking("making pictures of pages", PICTURES, otherwise="name a PDF") from None

    document = pypdfium2.PdfDocument(pdf)
    try:
        for page in document:
            image = page.render(scale=dpi / 72).to_pil()
            gray = image.convert("L")
            coloured = ImageChops.difference(image, gray.convert(image.mode)).getbbox()
            out = io.BytesIO()
            (image if coloured else gray).save(out, "PNG", optimize=True, dpi=(dpi, dpi))
            yield out.getvalue()
    finally:
        document.close()
