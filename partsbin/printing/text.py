"""Text on paper: which font has which letter, how wide it is, where it is cut, and what stands for a letter nobody has.

Latin text is set in Helvetica, one of the fourteen faces every PDF reader and printer owns. Letters it lacks come from
DejaVu Sans where the system has it (else Vera, which ships with reportlab). What neither can set (emoji, Arabic,
Chinese) is replaced by its name in square brackets, so that it is seen and can be reported: never an empty box.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import reportlab
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

CAP_HEIGHT = 0.718  # of the font size, for Helvetica and Helvetica-Bold: their published metrics
LEADING = 1.15  # from one baseline to the next, of the font size
DESCENT = 0.21  # of the font size, the same metrics
ELLIPSIS = "…"
_DEJAVU = Path("/usr/share/fonts/truetype/dejavu")
_VERA = Path(reportlab.__file__).parent / "fonts"
_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})  # these need joining and reordering, which reportlab alone does not do


@dataclass(frozen=True)
class Printable:
    """Text that the fonts here can set, and the letters that had to be replaced to get there."""

    text: str
    replaced: tuple[str, ...] = ()


def printable(text: str) -> Printable:
    """Return ``text`` as it will print: spaces for control characters, names in brackets for letters no font has."""
    if text.isascii() and text.isprintable():
        return Printable(text)
    return _printable(text)


@lru_cache(maxsize=4096)
def _printable(text: str) -> Printable:
    pieces: list[str] = []
    replaced: list[str] = []
    for letter in unicodedata.normalize("NFC", text):
        category = unicodedata.category(letter)
        if category == "Cf" or "\ufe00" <= letter <= "\ufe0f":
            continue  # joiners and variation selectors: invisible by design
        if category in {"Cc", "Zl", "Zp", "Zs"}:
            pieces.append(" ")
        elif _font(letter, bold=False):
            pieces.append(letter)
        else:
            replaced.append(letter)
            _append_name(pieces, letter)
    return Printable(" ".join("".join(pieces).split()), tuple(replaced))


def _append_name(pieces: list[str], letter: str) -> None:
    """Append what stands for a letter nobody has; a run of one script is named once."""
    name = unicodedata.name(letter, "")
    if not name:
        pieces.append(f"[U+{ord(letter):04X}]")
        return
    if unicodedata.category(letter)[0] in "LMN":
        script = name.split()[0].replace("-", " ").split()[0]
        mark = f"[{script if script == 'CJK' else script.capitalize()} text]"
        while len(pieces) > 1 and pieces[-1] == " " and pieces[-2] == mark:
            pieces.pop()
        if pieces[-1:] != [mark]:
            pieces.append(mark)
        return
    pieces.append(f"[{name.lower()}]")


@cache
def _fallback(bold: bool) -> str:
    """Register and return the face for letters Helvetica lacks."""
    for name, file in (
        ("DejaVu", _DEJAVU / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")),
        ("Vera", _VERA / ("VeraBd.ttf" if bold else "Vera.ttf")),
    ):
        full = name + ("-Bold" if bold else "")
        try:
            pdfmetrics.registerFont(TTFont(full, str(file)))
        except (TTFError, OSError):
            continue
        return full
    return ""


@lru_cache(maxsize=4096)
def _font(letter: str, *, bold: bool) -> str:
    """The face that sets ``letter``, or nothing."""
    if unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT:
        return ""
    try:
        letter.encode("cp1252")
    except UnicodeEncodeError:
        name = _fallback(bold)
        return name if name and ord(letter) in pdfmetrics.getFont(name).face.charToGlyph else ""
    return "Helvetica-Bold" if bold else "Helvetica"


@lru_cache(maxsize=2048)
def runs(text: str, bold: bool = False) -> tuple[tuple[str, str], ...]:
    """``((font name, piece), ...)`` for ``text`` after ``printable``; ready for ``Canvas.setFont``."""
    plain = "Helvetica-Bold" if bold else "Helvetica"
    safe = printable(text).text
    if safe.isascii():
        return ((plain, safe),)
    pieces: list[tuple[str, str]] = []
    for letter in safe:
        font = _font(letter, bold=bold) or plain
        if pieces and (pieces[-1][0] == font or letter == " "):
            pieces[-1] = (pieces[-1][0], pieces[-1][1] + letter)
        else:
            pieces.append((font, letter))
    return tuple(pieces)


@lru_cache(maxsize=2048)
def _width_at_one(text: str, bold: bool) -> float:
    return sum(float(pdfmetrics.stringWidth(piece, font, 1000)) for font, piece in runs(text, bold)) / 1000


def width(text: str, size: float, bold: bool = False) -> float:
    """Width of ``text`` at ``size``, in the units of ``size``."""
    return _width_at_one(text, bold) * size


def size_to_fit(text: str, room: float, height: float, bold: bool = False) -> float:
    """Largest font size at which ``text`` is no wider than ``room`` and its capitals no taller than ``height``."""
    return min(height / CAP_HEIGHT, room / max(_width_at_one(text, bold), 1e-6))


def shorten(text: str, room: float, size: float, bold: bool = False) -> str:
    """Return ``text`` cut to ``room`` with a visible ellipsis; unchanged when it fits."""
    safe = printable(text).text
    if width(safe, size, bold) <= room:
        return safe
    short, long = 0, len(safe)
    while short < long:
        middle = (short + long + 1) // 2
        if width(safe[:middle].rstrip() + ELLIPSIS, size, bold) <= room:
            short = middle
        else:
            long = middle - 1
    return safe[:short].rstrip() + ELLIPSIS


def clipped(text: str, most: int = 40) -> str:
    """``text`` for a message, cut to ``most`` characters."""
    return text if len(text) <= most else text[: most - 1] + ELLIPSIS


def wrap(text: str, room: float, size: float, bold: bool = False, lines: int = 2) -> list[str]:
    """Break ``text`` at spaces into at most ``lines`` lines of ``room``; the last is shortened if text is left."""
    words = printable(text).text.split()
    done: list[str] = []
    while words and len(done) < lines - 1:
        count = 1
        while count < len(words) and width(" ".join(words[: count + 1]), size, bold) <= room:
            count += 1
        done.append(shorten(" ".join(words[:count]), room, size, bold))
        words = words[count:]
    if words:
        done.append(shorten(" ".join(words), room, size, bold))
    return done


def size_that_holds(text: str, room: float, height: float, most: float, least: float, bold: bool = False) -> float:
    """Largest font size from ``most`` down at which all of ``text`` fits ``room`` by ``height``; else ``least``."""
    size = most
    while size > least and not holds(text, room, height, size, bold):
        size *= 0.94
    return max(size, least)


def lines_in(height: float, size: float) -> int:
    """How many lines at ``size`` a ``height`` holds; a tenth of a line may be missing."""
    return int(height / (size * LEADING) + 0.1)


def holds(text: str, room: float, height: float, size: float, bold: bool = False) -> bool:
    """Whether all of ``text`` fits ``room`` by ``height`` at ``size``."""
    lines = lines_in(height, size)
    return lines > 0 and " ".join(wrap(text, room, size, bold, lines)).split() == printable(text).text.split()


def draw(canvas: Any, x: float, y: float, text: str, size: float, bold: bool = False, align: str = "left") -> None:  # noqa: ANN401 - reportlab publishes no types
    """Write ``text`` with its baseline at ``y``; ``x`` is its left end, ``"centre"`` or ``"right"`` end."""
    if align != "left":
        x -= width(text, size, bold) * (0.5 if align == "centre" else 1)
    for font, piece in runs(text, bold):
        canvas.setFont(font, size)
        canvas.drawString(x, y, piece)
        x += float(pdfmetrics.stringWidth(piece, font, size))
