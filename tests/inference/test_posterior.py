"""Bayes' rule in log space against fractions, and what counts as a deciban."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.errors import EngineError
from probewright.figures import invented
from probewright.inference.hypotheses import Hypotheses
from probewright.inference.posterior import decibans, posterior
from probewright.packs.model import Fault
from support.families import SMALL, warmer

FEW = settings(max_examples=60, deadline=None, derandomize=True, database=None)
chances = st.integers(1, 10_000)


@st.composite
def problems(draw):
    n, pieces = draw(st.integers(1, 8)), draw(st.integers(0, 6))
    prior = draw(st.lists(chances, min_size=n, max_size=n))
    rows = draw(st.lists(st.lists(chances, min_size=n, max_size=n), min_size=pieces, max_size=pieces))
    return prior, rows


def fractions(prior, rows):
    """Probabilities after each piece, and of all the evidence."""
    weights = [Fraction(p, sum(prior)) for p in prior]
    stages = [weights]
    for row in rows:
        weights = [w * Fraction(chance, 10_000) for w, chance in zip(weights, row, strict=True)]
        stages.append([w / sum(weights) for w in weights])
    return stages, sum(weights)


def solved(prior, rows):
    likelihoods = np.log(np.array(rows, dtype=float).reshape(len(rows), len(prior)) / 10_000)
    return posterior(np.log(np.array(prior) / sum(prior)), likelihoods)


@FEW
@given(problems())
def test_against_fractions(problem):
    found, (stages, evidence) = solved(*problem), fractions(*problem)
    np.testing.assert_allclose(found.stages, np.array(stages, dtype=float), rtol=1e-9)
    np.testing.assert_allclose(found.probabilities, found.stages[-1], rtol=1e-12)
    assert found.log_evidence == pytest.approx(math.log(evidence.numerator) - math.log(evidence.denominator), abs=1e-9)


@FEW
@given(problems())
def test_surprise_is_what_the_others_would_have_said(problem):
    prior, rows = problem
    found, (_, evidence) = solved(prior, rows), fractions(prior, rows)
    for i, surprise in enumerate(found.surprise):
        _, of_others = fractions(prior, [row for j, row in enumerate(rows) if j != i])
        assert surprise == pytest.approx(float(of_others / evidence), rel=1e-9)


@FEW
@given(problems(), st.randoms(use_true_random=False))
def test_order_of_evidence_does_not_matter_in_the_end(problem, random):
    prior, rows = problem
    turned = list(rows)
    random.shuffle(turned)
    np.testing.assert_allclose(solved(prior, turned).probabilities, solved(prior, rows).probabilities, rtol=1e-9)


def test_no_evidence():
    found = posterior(np.log([0.25, 0.75]), np.zeros((0, 2)))
    np.testing.assert_allclose(found.probabilities, [0.25, 0.75])
    assert found.log_evidence == pytest.approx(0.0, abs=1e-12)


@pytest.mark.filterwarnings("error")
def test_evidence_beyond_what_a_float_can_hold():
    found = posterior(np.log([0.5, 0.5]), np.array([[-5000.0, -5001.0], [-1e6, -1e6]]))
    assert found.probabilities[0] == pytest.approx(1 / (1 + math.exp(-1)), rel=1e-9)
    assert np.isfinite(found.log_evidence)


@pytest.mark.filterwarnings("error")
def test_impossible_under_some_hypotheses():
    found = posterior(np.log([0.2, 0.3, 0.5]), np.array([[0.0, -np.inf, 0.0], [0.0, 0.0, -np.inf]]))
    np.testing.assert_allclose(found.probabilities, [1, 0, 0])
    np.testing.assert_allclose(found.stages[1], [2 / 7, 0, 5 / 7])
    assert np.isfinite(found.surprise).all()


def test_impossible_under_all_names_the_evidence():
    with pytest.raises(EngineError, match="evidence 1 contradicts what came before it"):
        posterior(np.log([0.5, 0.5]), np.array([[0.0, -np.inf], [-np.inf, 0.0], [0.0, 0.0]]))
    with pytest.raises(EngineError, match="prior"):
        posterior(np.array([-np.inf, -np.inf]), np.zeros((1, 2)))


@pytest.mark.parametrize(
    ("before", "after", "gained"),
    # Ten decibans are a factor of ten in the odds (I. J. Good, Probability and the Weighing of Evidence, 1950).
    [(0.5, 10 / 11, 10.0), (0.5, 100 / 101, 20.0), (0.2, 0.2, 0.0), (0.9, 0.5, -9.5424), (1 / 3, 0.5, 3.0103)],
)
def test_decibans(before, after, gained):
    assert decibans(np.array([[before], [after]]))[0, 0] == pytest.approx(gained, abs=1e-4)


@pytest.mark.filterwarnings("error")
def test_decibans_stay_finite():
    assert decibans(np.array([[0.5], [1.0], [0.0]])).tolist() == [[pytest.approx(120.0)], [pytest.approx(-240.0)]]


def test_decibans_add_up():
    stages = np.array([[0.1, 0.4], [0.3, 0.2], [0.05, 0.2], [0.6, 0.9]])
    whole = decibans(stages[[0, -1]])
    np.testing.assert_allclose(decibans(stages).sum(axis=0), whole[0], rtol=1e-12)


class TestPrior:
    """Hypotheses in order, and their priors."""

    def test_order(self):
        sets = Hypotheses.of(warmer(), SMALL).sets()
        sizes = [len(s) for s in sets]
        assert sizes == sorted(sizes)
        assert [s[0] for s in sets if len(s) == 1] == [f.id for f in warmer().faults]
        assert len({frozenset(s) for s in sets}) == len(sets)

    def test_what_cannot_be_there_together(self):
        sets = {frozenset(s) for s in Hypotheses.of(warmer(), SMALL).sets()}
        assert frozenset({"heater_weak", "heater_open"}) not in sets  # one part
        assert frozenset({"fuse_open", "no_supply"}) not in sets  # one excludes the other
        assert frozenset({"heater_weak", "no_supply"}) in sets
        faults = len(warmer().faults)
        assert len(sets) == 1 + faults + faults * (faults - 1) // 2 - 2

    def test_faults_of_another_build(self):
        assert "lamp_dirty" not in Hypotheses.of(warmer(), {**SMALL, "lamp": "no"}).faults

    def test_independent_faults_in_fractions(self):
        rates = {"a": 0.1, "b": 0.2, "c": 0.05}
        family = warmer(faults=tuple(Fault(k, k, invented(v)) for k, v in rates.items()), unknown_rate=invented(0.01))
        hypotheses = Hypotheses.of(family, {})
        odds = {k: Fraction(str(v)) / (1 - Fraction(str(v))) for k, v in {**rates, "unknown": 0.01}.items()}
        weights = [math.prod((odds[f] for f in s), start=Fraction(1)) for s in [*hypotheses.sets(), ("unknown",)]]
        expected = [float(w / sum(weights)) for w in weights]
        np.testing.assert_allclose(np.exp(hypotheses.log_prior), expected, rtol=1e-12)

    def test_a_family_of_one_fault(self):
        hypotheses = Hypotheses.of(warmer(faults=(Fault("only", "Only", invented(0.5)),)), {})
        assert hypotheses.sets() == [(), ("only",)]
        np.testing.assert_allclose(np.exp(hypotheses.log_prior).sum(), 1.0)
