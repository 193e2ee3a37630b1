"""What the pool learns from items of few demands, and what one large item's luck may teach."""

from __future__ import annotations

import numpy as np
import pytest

from partsbin.planning.lookback import allowances
from partsbin.planning.pool import Usual, learn


def test_items_of_few_demands_are_not_taken_for_steadier_than_they_are():
    rng = np.random.default_rng(0)
    sizes = rng.gamma(2, 5, (400, 30)) + 0.001  # squared variation 1/2
    history = np.where(rng.random(sizes.shape) < 0.12, sizes, 0)  # three or four demands an item
    assert Usual.of(history).variation == pytest.approx(0.5, abs=0.03)


def test_one_large_items_luck_does_not_move_what_all_others_may_be_short():
    rng = np.random.default_rng(4)
    small = rng.poisson(rng.gamma(1.0, 1.0, (300, 60))).astype(float)
    large = rng.poisson(rng.gamma(0.5, 800, (1, 60))).astype(float)

    def factor(history):
        lead, review, target = (np.full(len(history), value) for value in (2.0, 1.0, 0.9))
        return allowances(history, learn(history, 3), lead, review, target)[0]

    assert factor(np.vstack([small, large])) == pytest.approx(factor(small), rel=0.2)
