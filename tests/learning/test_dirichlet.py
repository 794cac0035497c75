from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, dirichlet

from probewright.learning.dirichlet import posterior_mean


def test_counts_are_added_to_what_was_believed():
    # Dir(6, 3, 1) and the counts 2, 7, 1 make Dir(8, 10, 2): 8/20, 10/20, 2/20.
    assert posterior_mean(np.array([0.6, 0.3, 0.1]), np.array([2.0, 7.0, 1.0]), 10.0) == pytest.approx([0.4, 0.5, 0.1])


def test_a_published_poll_is_reckoned_as_the_textbook_does():
    # Gelman, Carlin, Stern, Dunson, Vehtari and Rubin, Bayesian Data Analysis, 3rd edition, section 3.4, "Pre-election
    # polling": 727, 583 and 137 of 1447 answers with a uniform prior give Dirichlet(728, 584, 138), under which the
    # first is ahead of the second with a probability of more than 99.9 %.
    found = posterior_mean(np.full(3, 1 / 3), np.array([727.0, 583.0, 137.0]), 3.0)
    assert found * (1447 + 3) == pytest.approx([728.0, 584.0, 138.0])
    # Of two shares of a Dirichlet distribution, one over the sum of both has a beta distribution.
    assert beta.sf(0.5, *(found[:2] * 1450)) > 0.999


@given(
    st.lists(st.tuples(st.floats(0.01, 1.0), st.integers(0, 500)), min_size=2, max_size=8), st.floats(0.1, 1000.0)
)
def test_a_general_library_gives_the_same_mean(cells, weight):
    believed = np.array([share for share, _ in cells]) / sum(share for share, _ in cells)
    counts = np.array([count for _, count in cells], dtype=float)
    found = posterior_mean(believed, counts, weight)
    assert found == pytest.approx(dirichlet(weight * believed + counts).mean())
    assert found.sum() == pytest.approx(1.0)


@given(st.floats(0.1, 1000.0))
def test_without_counts_nothing_changes(weight):
    believed = np.array([0.7, 0.2, 0.1])
    assert posterior_mean(believed, np.zeros(3), weight) == pytest.approx(believed)


def test_more_of_the_same_counts_come_nearer_to_the_frequencies():
    believed, shares = np.array([0.9, 0.1]), np.array([0.25, 0.75])
    far = [np.abs(posterior_mean(believed, n * shares, 10.0) - shares).max() for n in (4, 40, 400, 4000)]
    assert far == sorted(far, reverse=True)
    assert far[-1] < 0.002


@pytest.mark.parametrize(("believed", "counts", "weight"), [
    ([0.5, 0.5], [1.0, 2.0], 0.0), ([0.5, 0.5], [1.0, -2.0], 1.0), ([0.5, 0.4], [1.0, 2.0], 1.0),
])  # fmt: skip
def test_what_is_no_prior_or_no_count_is_refused(believed, counts, weight):
    with pytest.raises(ValueError, match=r"prior weight|counts are not negative"):
        posterior_mean(np.array(believed), np.array(counts), weight)
