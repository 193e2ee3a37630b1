"""Sums that nobody waits for any more end between two parts of them."""

from __future__ import annotations

import numpy as np
import pytest

from partsbin.errors import Refused
from partsbin.planning import order_up_to, van_kit
from partsbin.wanted import while_wanted


def test_levels_and_kits_end_where_they_are_left() -> None:
    with while_wanted(lambda: True):
        with pytest.raises(Refused, match="Stopped"):
            order_up_to(np.ones((3, 20)), 2, 1, 0.95)
        with pytest.raises(Refused, match="Stopped"):
            van_kit([{0: 1}, {1: 2}], [1.0, 2.0], 3.0)
    assert len(order_up_to(np.ones((3, 20)), 2, 1, 0.95)) == 3
