"""A request line against 100,000 items, as ratios in one run.

Processor time, so that other work on the machine is left out.
Run by hand: python tests/benchmarks/requests_speed.py [ITEMS].
"""

from __future__ import annotations

import gc
import random
import sys
import time
from pathlib import Path

from rapidfuzz import fuzz, process

REPO = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(REPO / "tests" / "requests"))

import made_up  # noqa: E402

from partsbin.requests import CatalogueItem, Index, answer_text  # noqa: E402

LIMIT_MS = 15.0
LIMIT_RATIO = 10.0


def crowd(count: int) -> list[CatalogueItem]:
    """A catalogue of many near-duplicates: every family under many machines and numbers."""
    rng = random.Random(3)
    base = [
        one.item for style in made_up.STYLES[:2] for one in made_up.catalogue(style) if one.item.superseded_by is None
    ]
    items = []
    for place in range(count):
        like = base[place % len(base)]
        number = f"{rng.choice('ABCDEFGH')}{rng.choice('KMNPR')}-{rng.randint(100, 999)}-{place:06d}"
        round_ = place // len(base)
        machine = (f"Series {round_ % 400 + 100}",) if like.fits else ()
        items.append(
            CatalogueItem(
                place + 1,
                number,
                f"{like.description} {round_ % 97 + 300}",
                fits=machine,
                supplier_numbers=(f"S{place * 7:08d}",),
                gtins=(f"{place + 10**11}",),
            )
        )
    return items


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    items = crowd(count)
    start = time.process_time()
    index = Index(items)
    print(f"build of {count:,} items: {time.process_time() - start:.2f} s")
    gc.collect()
    gc.freeze()  # as the program does: an index that stays is not gone through again and again
    start = time.process_time()
    for item in items[:500]:
        index.update(item)
    print(f"one catalogue edit: {(time.process_time() - start) / 500 * 1000:.3f} ms")
    asked = [one.text for style in made_up.STYLES[:2] for one in made_up.requests(style, made_up.catalogue(style), 20)]
    random.Random(1).shuffle(asked)
    took = []
    for text in asked:
        start = time.process_time()
        answer_text(index, text)
        took.append(time.process_time() - start)
    took.sort()
    middle, p95 = took[len(took) // 2] * 1000, took[int(len(took) * 0.95)] * 1000
    descriptions = [item.description for item in items]
    start = time.process_time()
    for text in asked[:10]:
        process.extract(text, descriptions, scorer=fuzz.token_sort_ratio, limit=5)
    plain = (time.process_time() - start) / 10 * 1000
    mean = sum(took) / len(took) * 1000
    print(f"line: median {middle:.1f} ms, p95 {p95:.1f} ms (limit {LIMIT_MS:g}), worst {took[-1] * 1000:.0f} ms")
    print(f"plain fuzzy scoring {plain:.1f} ms a line: {plain / mean:.1f} times slower (limit {LIMIT_RATIO:g})")


if __name__ == "__main__":
    main()
