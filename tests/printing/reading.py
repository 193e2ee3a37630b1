"""Labels read back from paper: the PDF rasterised to pure black and white, then decoded by zxing-cpp."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from pathlib import Path

import pypdfium2
import zxingcpp
from PIL import Image

from partsbin.printing.label_kinds import Label
from partsbin.printing.labels import write_labels
from partsbin.printing.sheets import Slot
from partsbin.printing.stock import LabelStock

FORMATS = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.Code128, zxingcpp.BarcodeFormat.QRCode])
DPI = (203, 300, 600)
POINTS = 72 / 25.4


def pdf_of(labels: Iterable[Label], stock: LabelStock, **options: object) -> bytes:
    out = io.BytesIO()
    write_labels(labels, stock, out, **options)  # type: ignore[arg-type]
    return out.getvalue()


def pages(pdf: bytes, dpi: int) -> Iterator[Image.Image]:
    """Every page in one bit a dot, as a thermal head burns it."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        for page in document:
            yield page.render(scale=dpi / 72, grayscale=True).to_pil().point(lambda grey: 255 if grey > 127 else 0)
    finally:
        document.close()


def texts(image: Image.Image) -> list[tuple[str, str]]:
    """Every symbol found: (format, text), sorted; a list, so that a symbol read twice shows."""
    found = zxingcpp.read_barcodes(image, formats=FORMATS, text_mode=zxingcpp.TextMode.Plain)
    return sorted((str(one.format).rsplit(".", maxsplit=1)[-1], one.text) for one in found)


def read(pdf: bytes, dpi: int) -> list[tuple[str, str]]:
    return sorted(symbol for page in pages(pdf, dpi) for symbol in texts(page))


def read_label(pdf: bytes, stock: LabelStock, where: Slot, dpi: int) -> list[tuple[str, str]]:
    """What is read on the one label at ``where``, the rest of its page covered."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        page = document[where.page]
        wide, high = page.get_size()
        left, top = where.x_mm * POINTS, where.y_mm * POINTS
        right, low = left + stock.label[0] * POINTS, top + (stock.label[1] * POINTS or high)
        edges = (max(0, left), max(0, high - low), max(0, wide - right), max(0, top))
        image = page.render(scale=dpi / 72, grayscale=True, crop=edges).to_pil()
        return texts(image.point(lambda grey: 255 if grey > 127 else 0))
    finally:
        document.close()


def words_of(pdf: bytes, page: int = 0) -> str:
    """The text a reader could select on a page."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return str(document[page].get_textpage().get_text_range())
    finally:
        document.close()


def saved(pdf: bytes, folder: Path) -> Path:
    file = folder / "labels.pdf"
    file.write_bytes(pdf)
    return file
