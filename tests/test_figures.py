"""Numbers that say where they come from, and distributions made of them."""

from __future__ import annotations

import copy
import math
import pickle
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.figures import (
    BASES,
    Figure,
    Spread,
    common_practice,
    derived,
    exactly,
    from_memory,
    invented,
    log_normal,
    log_uniform,
    normal,
    published,
    shop,
    tolerance,
    uniform,
    weakest,
)  # fmt: skip

FEW = settings(max_examples=80, deadline=None, derandomize=True, database=None)
shares = st.floats(1e-6, 1 - 1e-6)
positive = st.floats(1e-3, 1e6)


class TestFigure:
    def test_is_a_float(self):
        figure = published(1000.0, "IEC 60751")
        assert isinstance(figure, float)
        assert figure == 1000.0
        assert hash(figure) == hash(1000.0)
        assert (figure.basis, figure.source) == ("published", "IEC 60751")

    def test_arithmetic_gives_plain_floats(self):
        # A result has no basis until somebody says what it is.
        for result in (published(2.0, "x") + 1, invented(2.0) * invented(3.0), -invented(2.0), abs(invented(-2.0))):
            assert type(result) is float

    @pytest.mark.parametrize(
        ("make", "basis"),
        [(common_practice, "common_practice"), (from_memory, "from_memory"), (shop, "shop"), (invented, "invented")],
    )
    def test_bases_without_a_source(self, make, basis):
        assert (make(1.5).basis, make(1.5).source, float(make(1.5))) == (basis, "", 1.5)

    def test_a_derived_figure_says_how(self):
        assert derived(3.0, "sum of two").source == "sum of two"

    @pytest.mark.parametrize("source", ["", "  "])
    @pytest.mark.parametrize("make", [published, derived])
    def test_a_source_is_required(self, make, source):
        with pytest.raises(ValueError, match="names its source"):
            make(1.0, source)

    @pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
    def test_finite(self, value):
        with pytest.raises(ValueError, match="must be finite"):
            invented(value)

    def test_basis_must_be_known(self):
        with pytest.raises(ValueError, match="unknown basis 'hearsay'"):
            Figure(1.0, "hearsay")

    def test_copies_keep_the_basis(self):
        figure = published(1.25, "somewhere")
        for twin in (pickle.loads(pickle.dumps(figure)), copy.copy(figure), copy.deepcopy(figure)):
            assert (twin, twin.basis, twin.source) == (1.25, "published", "somewhere")
            assert type(twin) is Figure

    def test_a_layer_is_kept_and_says_nothing_of_the_number(self):
        pack = published(1.25, "somewhere")
        layered = pack.in_layer("north_street")
        assert (layered, layered.basis, layered.source) == (1.25, "published", "somewhere")
        assert layered.layer == "north_street"
        assert (pack.layer, layered == pack, hash(layered) == hash(pack)) == ("", True, True)
        spread = uniform(layered, shop(2.0))
        twins = (pickle.loads(pickle.dumps(layered)), copy.deepcopy(layered), replace(spread, second=layered).first)
        assert {twin.layer for twin in twins} == {"north_street"}


class TestWeakest:
    def test_order(self):
        assert BASES == (
            "tech_sheet", "shop", "published", "derived", "common_practice", "from_memory", "invented",
        )  # fmt: skip

    def test_of_several(self):
        assert weakest(["published", "from_memory", "common_practice"]) == "from_memory"
        assert weakest(iter(BASES)) == "invented"
        assert weakest(["tech_sheet"]) == "tech_sheet"

    def test_of_none(self):
        assert weakest([]) == "derived"


def quantiles(spread: Spread, *p: float) -> list[float]:
    return spread.quantile(np.array(p)).tolist()


class TestSpreads:
    def test_uniform(self):
        assert quantiles(uniform(invented(2.0), invented(6.0)), 0.25, 0.5, 0.9) == pytest.approx([3.0, 4.0, 5.6])

    def test_log_uniform(self):
        assert quantiles(log_uniform(invented(1.0), invented(100.0)), 0.25, 0.5, 0.75) == pytest.approx(
            [10**0.5, 10.0, 10**1.5])  # fmt: skip

    def test_normal(self):
        # Quantiles of the standard normal distribution: 1.959964 at 97.5 %, 1.644854 at 95 %.
        found = quantiles(normal(invented(10.0), invented(2.0)), 0.025, 0.5, 0.95)
        assert found == pytest.approx([10 - 2 * 1.959964, 10.0, 10 + 2 * 1.644854], abs=1e-5)

    def test_log_normal(self):
        # 84.13 % lie under the median times the factor.
        found = quantiles(log_normal(invented(50.0), invented(3.0)), NormalDist().cdf(-1), 0.5, NormalDist().cdf(1))
        assert found == pytest.approx([50 / 3, 50.0, 150.0], rel=1e-9)

    def test_exactly(self):
        assert quantiles(exactly(invented(7.0)), 0.01, 0.99) == [7.0, 7.0]

    def test_tolerance(self):
        spread = tolerance(common_practice(200.0), from_memory(0.05))
        assert (spread.kind, float(spread.first), float(spread.second)) == ("uniform", 190.0, pytest.approx(210.0))
        assert spread.basis == "from_memory"
        assert "200 with a tolerance of 0.05" in spread.source

    def test_any_shape(self):
        p = np.array([[0.1, 0.5], [0.7, 0.9]])
        one, two = invented(1.0), invented(2.0)
        for spread in (uniform(one, two), normal(one, two), log_normal(one, two), log_uniform(one, two)):
            found = spread.quantile(p)
            assert found.shape == p.shape
            assert found.ravel().tolist() == pytest.approx(quantiles(spread, *p.ravel().tolist()))

    @FEW
    @given(positive, positive, shares, shares)
    def test_quantiles_rise(self, a, b, p, q):
        low, high = sorted((a, b))
        low_p, high_p = sorted((p, q))
        made = (uniform(invented(low), invented(high)), log_uniform(invented(low), invented(high)),
                normal(invented(a), invented(b)), log_normal(invented(a), invented(1 + b)))  # fmt: skip
        for spread in made:
            lower, upper = quantiles(spread, low_p, high_p)
            assert lower <= upper
            assert math.isfinite(lower)
            assert math.isfinite(upper)

    @FEW
    @given(positive, positive)
    def test_median(self, a, b):
        low, high = sorted((a, b))
        assert uniform(invented(low), invented(high)).median == pytest.approx((low + high) / 2)
        assert log_uniform(invented(low), invented(high)).median == pytest.approx(math.sqrt(low * high))
        assert normal(invented(a), invented(b)).median == pytest.approx(a)
        assert log_normal(invented(a), invented(1 + b)).median == pytest.approx(a)

    def test_basis_and_source_are_of_both(self):
        spread = uniform(published(1.0, "first book"), published(2.0, "second book"))
        assert (spread.basis, spread.source) == ("published", "first book; second book")
        assert uniform(published(1.0, "a book"), published(2.0, "a book")).source == "a book"
        assert uniform(published(1.0, "a book"), from_memory(2.0)).basis == "from_memory"


class TestWrongSpreads:
    @pytest.mark.parametrize(
        ("make", "first", "second", "told"),
        [(uniform, 2.0, 1.0, "lies under the lower bound"), (log_uniform, 2.0, 1.0, "lies under the lower bound"),
         (log_uniform, 0.0, 1.0, "positive numbers"), (log_uniform, -1.0, 1.0, "positive numbers"),
         (log_normal, 0.0, 2.0, "positive numbers"), (log_normal, 1.0, 0.5, "at least 1"),
         (normal, 0.0, -1.0, "not negative")],
    )  # fmt: skip
    def test_refused(self, make, first, second, told):
        with pytest.raises(ValueError, match=told):
            make(invented(first), invented(second))

    def test_bare_numbers_are_refused(self):
        # A number in a pack says where it comes from.
        with pytest.raises(TypeError, match="carry a basis"):
            uniform(1.0, invented(2.0))
        with pytest.raises(TypeError, match="carry a basis"):
            exactly(invented(1.0) + 1)

    def test_frozen(self):
        spread = exactly(invented(1.0))
        with pytest.raises(AttributeError):
            spread.first = invented(2.0)
        assert {spread, exactly(invented(1.0))} == {spread}
