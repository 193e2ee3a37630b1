"""Planning against reference libraries: scipy always, stockpyl and statsforecast where they are installed."""

from __future__ import annotations

import math

import numpy as np
import pytest

from partsbin.planning import distributions, forecast, quantity

stats = pytest.importorskip("scipy.stats")


@pytest.mark.parametrize("mean", [0.01, 0.9, 14.0, 700.0, 5000.0])
def test_poisson_table_is_scipys(mean):
    top = int(mean + 8 * math.sqrt(mean) + 20)
    assert np.allclose(
        distributions.poisson_table(mean, top)[0], stats.poisson.pmf(np.arange(top + 1), mean), atol=1e-11
    )


@pytest.mark.parametrize(("mean", "variance"), [(0.2, 0.9), (1.8, 4.5), (40.0, 400.0), (3000.0, 90000.0)])
def test_negative_binomial_table_is_scipys(mean, variance):
    top = int(mean + 8 * math.sqrt(variance) + 20)
    want = stats.nbinom.pmf(np.arange(top + 1), mean**2 / (variance - mean), mean / variance)
    assert np.allclose(distributions.negative_binomial_table(mean, variance, top)[0], want, atol=1e-11)


def test_expected_short_is_the_sum_over_scipys_tail():
    m = 6.3
    got = distributions.expected_short(distributions.poisson_table(m, 60), np.array([m]))[0]
    want = [stats.poisson.sf(np.arange(s, 300), m).sum() for s in range(61)]
    assert np.allclose(got, want, atol=1e-10)


def test_croston_and_sba_are_statsforecasts():
    models = pytest.importorskip("statsforecast.models")
    rng = np.random.default_rng(3)
    for _ in range(20):
        x = (rng.poisson(0.4, 60) * rng.integers(1, 6, 60)).astype(float)
        x[5] = 2.0
        for model, ours in (
            (models.CrostonClassic(), forecast.croston(x, 0.1).forecast),
            (models.CrostonSBA(), forecast.sba(x, 0.1)),
        ):
            want = float(model.forecast(y=x, h=1)["mean"][0])
            assert ours[0] == pytest.approx(want, rel=1e-5)


def test_tsb_is_statsforecasts_when_it_starts_like_it():
    models = pytest.importorskip("statsforecast.models")
    rng = np.random.default_rng(4)
    for _ in range(20):
        x = rng.poisson(0.5, 50).astype(float)
        x[3] = 1.0
        want = float(models.TSB(alpha_d=0.2, alpha_p=0.1).forecast(y=x, h=1)["mean"][0])
        assert forecast.tsb(x, 0.2, 0.1, float(x[0] > 0))[0] == pytest.approx(want, rel=1e-5)


def test_quantities_are_stockpyls():
    eoq = pytest.importorskip("stockpyl.eoq")
    want, _ = eoq.economic_order_quantity(fixed_cost=31, holding_cost=0.7, demand_rate=990)
    assert float(quantity.economic_quantity(990, 31, 0.7)) == pytest.approx(want)
    prices = [quantity.PriceBreak(q, c) for q, c in ((0, 12.0), (150, 11.6), (600, 11.1))]
    want, region, cost = eoq.economic_order_quantity_with_all_units_discounts(
        fixed_cost=40,
        holding_cost_rate=0.25,
        demand_rate=1200,
        breakpoints=[0, 150, 600],
        unit_costs=[12.0, 11.6, 11.1],
    )
    got = quantity.quantity_with_breaks(1200, 40, 0.25, prices)
    assert (got.quantity, got.bracket, got.yearly_cost) == pytest.approx((want, region, cost))
