"""Reads what was put on paper with programs of others: text, pictures and codes of PDF, text of HTML."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html.parser import HTMLParser
from io import BytesIO

import numpy
import pypdfium2
import zxingcpp
from PIL import Image
from pypdf import PdfReader
from scipy import ndimage

POINT_MM = 25.4 / 72
DPI = 200


def squeezed(text: str) -> str:
    """Without white space, which a page breaks and spreads as it likes."""
    return re.sub(r"\s+", "", text)


def pages(data: bytes) -> list[str]:
    """The text of each page, squeezed, as pypdf reads it."""
    return [squeezed(page.extract_text()) for page in PdfReader(BytesIO(data)).pages]


def page_sizes(data: bytes) -> list[tuple[float, float]]:
    """Width and height of each page in millimetres."""
    boxes = [page.mediabox for page in PdfReader(BytesIO(data)).pages]
    return [(float(box.width) * POINT_MM, float(box.height) * POINT_MM) for box in boxes]


def bitmap(data: bytes, page: int, dpi: int = DPI) -> Image.Image:
    """One page as a printer would see it."""
    document = pypdfium2.PdfDocument(data)
    try:
        return document[page].render(scale=dpi / 72).to_pil().convert("L")
    finally:
        document.close()


@dataclass(frozen=True)
class Read:
    """A code on a page: what it says, and its middle in millimetres from the upper left corner."""

    text: str
    x: float
    y: float


def codes(data: bytes, page: int) -> list[Read]:
    """Every QR code of a page."""
    found = zxingcpp.read_barcodes(numpy.asarray(bitmap(data, page)), formats=zxingcpp.BarcodeFormat.QRCode)
    read = []
    for one in found:
        corners = one.position
        points = (corners.top_left, corners.top_right, corners.bottom_left, corners.bottom_right)
        x, y = (sum(getattr(point, axis) for point in points) / 4 / DPI * 25.4 for axis in "xy")
        read.append(Read(one.text, x, y))
    return read


@dataclass(frozen=True)
class Frame:
    """What lies within a border on a page, in millimetres from the upper left corner."""

    left: float
    top: float
    width: float
    height: float

    def holds(self, x: float, y: float) -> bool:
        """Whether a point lies in it."""
        return self.left < x < self.left + self.width and self.top < y < self.top + self.height


def frames(data: bytes, page: int, least_mm: float = 10) -> list[Frame]:
    """White areas that a border encloses on all sides, row by row: what would be left were it cut out."""
    white, _ = ndimage.label(numpy.asarray(bitmap(data, page)) > 200)
    mm = 25.4 / DPI
    high, wide = white.shape
    found = []
    for down, across in ndimage.find_objects(white):
        frame = Frame(
            across.start * mm,
            down.start * mm,
            (across.stop - across.start) * mm,
            (down.stop - down.start) * mm,
        )
        inside = across.start > 0 and down.start > 0 and across.stop < wide and down.stop < high
        if inside and min(frame.width, frame.height) >= least_mm:
            found.append(frame)
    return sorted(found, key=lambda frame: (round(frame.top), frame.left))


@dataclass(frozen=True)
class Letter:
    """A printed letter and its sides, in millimetres from the upper left corner of the page."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


def letters(data: bytes, page: int) -> list[Letter]:
    """Every letter of a page where it is drawn, also where a border would hide it."""
    document = pypdfium2.PdfDocument(data)
    try:
        sheet = document[page]
        text, high = sheet.get_textpage(), sheet.get_height()
        found = []
        for at in range(text.count_chars()):
            if (letter := text.get_text_range(at, 1)).strip():
                left, bottom, right, top = text.get_charbox(at)
                sides = (left, high - top, right, high - bottom)
                found.append(Letter(letter, *(side * POINT_MM for side in sides)))
        return found
    finally:
        document.close()


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        """Every element with its attributes."""
        self.tags.append((tag, dict(attributes)))

    def handle_data(self, data: str) -> None:
        """Every piece of text."""
        self.words.append(data)


def html_of(text: str) -> tuple[str, list[tuple[str, dict[str, str | None]]]]:
    """The squeezed text of a page of HTML, and its elements."""
    reader = _Words()
    reader.feed(text)
    reader.close()
    return squeezed("".join(reader.words)), reader.tags
