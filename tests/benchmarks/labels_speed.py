"""Bin labels against bare reportlab writing the same rectangles, in one run: time ratio, and memory a page.

The stricter baseline is the one judged: one path a label, its rectangles worked out beforehand, no words, no zone
marks, no encoding. The other (``Canvas.rect`` for each rectangle) is what a first attempt would be.

    python tests/benchmarks/labels_speed.py [labels, default 20000]
"""

from __future__ import annotations

import io
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

REPO = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(REPO))

from reportlab.pdfgen.canvas import Canvas  # noqa: E402

from partsbin.printing.label_kinds import BinLabel, code_of  # noqa: E402
from partsbin.printing.labels import write_labels  # noqa: E402
from partsbin.printing.sheets import slot  # noqa: E402
from partsbin.printing.stock import load_stock  # noqa: E402
from partsbin.printing.symbols import arrange, code128, qr  # noqa: E402

LIMIT = 1.5
STOCK = load_stock("letter-30")
POINT = 72 / 25.4 / STOCK.dots_per_mm


def bins(count: int) -> Iterator[BinLabel]:
    for n in range(count):
        yield BinLabel(f"{chr(65 + n // 5000 % 26)}-{n // 500 % 10 + 1:02d}-{n // 10 % 50 + 1:02d}-{n % 10}")


def rectangles(count: int) -> list[list[tuple[float, float, float, float]]]:
    """The rectangles of each label in points on its page, as the labels themselves place them."""
    dots, height = STOCK.grid.dots, STOCK.page[1] * STOCK.dots_per_mm
    inset = dots(STOCK.inset[0])
    wide, high = (int(side * STOCK.dots_per_mm) - 2 * inset for side in STOCK.label)
    every = []
    for index, label in enumerate(bins(count)):
        where, arrangement = slot(STOCK, index), arrange(code_of(label), wide, high, STOCK.grid, dots(6.0))
        assert arrangement is not None
        left, top = dots(where.x_mm) + inset, dots(where.y_mm) + inset
        every.append([
            ((left + x) * POINT, (height - top - y - h) * POINT, w * POINT, h * POINT)
            for placed in arrangement.placed
            for x, y, w, h in placed.rectangles()
        ])  # fmt: skip
    return every


def pages(canvas: Canvas, drawn: list[list[tuple[float, float, float, float]]]) -> Iterator[list[tuple[float, ...]]]:
    canvas.setPageSize((STOCK.page[0] * 72 / 25.4, STOCK.page[1] * 72 / 25.4))
    for number, label in enumerate(drawn):
        if number and number % STOCK.per_page == 0:
            canvas.showPage()
        yield label
    canvas.showPage()
    canvas.save()


def bare_path(drawn: list[list[tuple[float, float, float, float]]]) -> float:
    began = time.process_time()
    canvas = Canvas(io.BytesIO(), invariant=1, pageCompression=1)
    for label in pages(canvas, drawn):
        path = canvas.beginPath()
        for rectangle in label:
            path.rect(*rectangle)
        canvas.drawPath(path, stroke=0, fill=1)
    return time.process_time() - began


def bare_rect(drawn: list[list[tuple[float, float, float, float]]]) -> float:
    began = time.process_time()
    canvas = Canvas(io.BytesIO(), invariant=1, pageCompression=1)
    for label in pages(canvas, drawn):
        for rectangle in label:
            canvas.rect(*rectangle, stroke=0, fill=1)
    return time.process_time() - began


def ours(count: int) -> float:
    qr.cache_clear()
    code128.cache_clear()
    began = time.process_time()
    write_labels(bins(count), STOCK, io.BytesIO())
    return time.process_time() - began


def peak_mb(count: int) -> float:
    """Peak memory of a process of its own that writes ``count`` labels."""
    done = subprocess.run([sys.executable, __file__, "--peak", str(count)], capture_output=True, text=True, check=True)
    return float(done.stdout)


def main() -> None:
    if sys.argv[1:2] == ["--peak"]:
        write_labels(bins(int(sys.argv[2])), STOCK, io.BytesIO())
        status = Path("/proc/self/status").read_text()
        print(next(int(line.split()[1]) / 1024 for line in status.splitlines() if line.startswith("VmHWM")))
        return
    count = int(sys.argv[1]) if sys.argv[1:] else 20_000
    drawn = rectangles(count)
    print(f"{count} bin labels, {sum(map(len, drawn))} rectangles, {STOCK.name}")
    path, rect = bare_path(drawn), bare_rect(drawn)
    del drawn
    mine = ours(count)
    print(f"bare reportlab, one path a label  {path:7.2f} s")
    print(f"bare reportlab, rect by rect      {rect:7.2f} s")
    print(f"labels, encoded and with words    {mine:7.2f} s")
    print(
        f"ratio to one path a label         {mine / path:7.2f}   limit {LIMIT}  "
        f" {'ok' if mine <= LIMIT * path else 'MISSED'}"
    )
    print(f"ratio to rect by rect             {mine / rect:7.2f}")
    few, many = peak_mb(count // 10), peak_mb(count)
    page = (many - few) * 1024 / (0.9 * count / STOCK.per_page)
    print(f"peak memory {few:.0f} MB for {count // 10} labels, {many:.0f} MB for {count}: {page:.1f} kB a page")


if __name__ == "__main__":
    main()
