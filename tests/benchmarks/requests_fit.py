"""Fit the matcher's weights on the tuning lines; prints them, to be copied into the scoring module by a person.

Run by hand: python tests/benchmarks/requests_fit.py. Three sources: two made-up depots in foreign styles, and the lines
marked "tune" on the demo depot. Each answered line is also used with its right item hidden, so that "none of these" is
learned against near relatives. A weight may move only so far from what trade sense gave it (ridge around the prior).
"""

from __future__ import annotations

import csv
import random
import sys
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

REPO = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(REPO / "tests" / "requests"))

import made_up  # noqa: E402
from demo_items import demo_items  # noqa: E402

from partsbin.requests import Index  # noqa: E402
from partsbin.requests.answers import plausible  # noqa: E402
from partsbin.requests.query import prepare  # noqa: E402
from partsbin.requests.reading import read_message  # noqa: E402
from partsbin.requests.scoring import FEATURES, NONE_WEIGHTS, WEIGHTS, none_features  # noqa: E402

NONE = tuple(NONE_WEIGHTS)
RIDGE = 0.6


def cases(index: Index, asked: list[tuple[str, str]], rng: random.Random) -> list[tuple[np.ndarray, np.ndarray, int]]:
    """Feature rows, features of none, and which row is right (-1: none) for each readable line."""
    found = []
    for text, wanted in asked:
        message = read_message(text, index.words, index)
        if len(message.lines) != 1:
            continue
        query = prepare(index, message.lines[0])
        rows = plausible(index, query)
        if not rows:
            continue
        matrix = np.array([[one.features.get(name, 0.0) for name in FEATURES] for one, _, _ in rows])
        best = max((one for one, _, _ in rows), key=lambda one: one.score)
        none = np.array([none_features(query, best)[name] for name in NONE])
        numbers = [item.part_number for _, item, _ in rows]
        right = numbers.index(wanted) if wanted in numbers else -1
        if wanted and right < 0:
            continue
        found.append((matrix, none, right))
        if right >= 0 and len(rows) > 1 and rng.random() < 0.35 and not matrix[right][FEATURES.index("number")]:
            keep = np.arange(len(rows)) != right
            found.append((matrix[keep], none, -1))
    return found


def loss(theta: np.ndarray, data: list[tuple[np.ndarray, np.ndarray, int]], prior: np.ndarray) -> float:
    split = len(FEATURES)
    total = 0.0
    for matrix, none, right in data:
        scores = np.append(matrix @ theta[:split], none @ theta[split:])
        top = scores.max()
        total -= scores[right] - top - np.log(np.exp(scores - top).sum())
    return total + RIDGE * float(((theta - prior) ** 2).sum())


def gather() -> list[tuple[np.ndarray, np.ndarray, int]]:
    rng = random.Random(5)
    data = []
    for style in made_up.STYLES[:2]:
        made = made_up.catalogue(style)
        asked = [(one.text, one.wanted) for one in made_up.requests(style, made)]
        data += cases(Index([one.item for one in made]), asked, rng)
    with (REPO / "tests/data/requests/lines.csv").open(encoding="utf-8", newline="") as handle:
        tune = [(row["text"], row["part_number"]) for row in csv.DictReader(handle) if row["used_for"] == "tune"]
    data += 2 * cases(Index(demo_items()), tune, rng)
    return data


def main() -> None:
    data = gather()
    prior = np.array([*WEIGHTS.values(), *NONE_WEIGHTS.values()])
    bounds = [(min(0.2 * w, 2.5 * w, w - 1), max(0.2 * w, 2.5 * w, w + 1)) for w in prior]
    fitted = minimize(loss, prior, args=(data, prior), method="L-BFGS-B", bounds=bounds)
    print(f"{len(data)} cases, loss {loss(prior, data, prior):.1f} -> {fitted.fun:.1f}")
    for name, before, after in zip((*FEATURES, *NONE), prior, fitted.x, strict=True):
        print(f'    "{name}": {after:.2f},  # was {before:.2f}')


if __name__ == "__main__":
    main()
