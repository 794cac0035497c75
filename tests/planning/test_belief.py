"""The boundary to the inference: shapes, weights, and what a test tells."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from probewright.errors import EngineError
from probewright.planning.belief import Belief, OutcomeTable
from probewright.planning.information import entropy, information_gain


def test_weights_scale_marginals_to_the_share_of_faults(make: SimpleNamespace) -> None:
    # Two faults at once: the marginals add up to 1.8, faults together have .9.
    belief = make.belief({"a": 0.9, "b": 0.9}, none=0.06, unknown=0.04)
    np.testing.assert_allclose(belief.weights(), [0.06, 0.45, 0.45, 0.04])


def test_bystanders_drop_out(make: SimpleNamespace) -> None:
    # b is as likely as before anybody called, c even less: only a explains anything.
    belief = make.belief({"a": 0.8, "b": 0.05, "c": 0.01}, none=0.1, unknown=0.1)
    np.testing.assert_allclose(belief.weights(np.array([0.02, 0.05, 0.03])), [0.1, 0.8, 0.0, 0.0, 0.1])


def test_what_explains_is_solved_from_presence_and_prior(make: SimpleNamespace) -> None:
    # Present: explains .5, or (the other half of the time) a bystander with its prior .2.
    belief = make.belief({"a": 0.5 + 0.5 * 0.2, "b": 0.5 + 0.5 * 0.1})
    np.testing.assert_allclose(belief.weights(np.array([0.2, 0.1])), [0.0, 0.5, 0.5, 0.0])


def test_an_empty_belief_is_refused(make: SimpleNamespace) -> None:
    with pytest.raises(EngineError, match="nothing to plan on"):
        make.belief({"a": 0.0}).weights()
    with pytest.raises(EngineError, match="nothing to plan on"):
        make.belief({"a": float("nan")}).weights()


def test_shapes_must_fit() -> None:
    with pytest.raises(EngineError, match="2 faults"):
        Belief(("a", "b"), np.array([1.0]), 0.0, 0.0)
    with pytest.raises(EngineError, match="'glow'"):
        Belief(("a",), np.array([1.0]), 0.0, 0.0, {"glow": OutcomeTable(("x", "y"), np.ones((2, 2)))})


def test_entropy_of_even_chances_and_of_certainty() -> None:
    np.testing.assert_allclose(entropy(np.array([[0.25] * 4, [1.0, 0, 0, 0]])), [np.log(4), 0.0], atol=1e-12)


def test_a_perfect_test_tells_everything_and_a_blind_one_nothing() -> None:
    belief = np.array([0.5, 0.3, 0.2])
    joint = np.vstack([np.diag(belief), 0.4 * belief, 0.6 * belief])
    gain = information_gain(joint, np.array([0, 3]), belief)
    np.testing.assert_allclose(gain, [entropy(belief), 0.0], atol=1e-12)


def test_without_tests_there_is_nothing_to_tell() -> None:
    assert information_gain(np.zeros((0, 2)), np.zeros(0, dtype=int), np.array([0.5, 0.5])).shape == (0,)


def measured(make: SimpleNamespace, tell: Any = None) -> Belief:
    table = OutcomeTable(("under 1 A", "1 to 2 A", "over 2 A"), np.full((3, 3), 1 / 3), (1.0, 2.0), "A")
    seen = OutcomeTable(("white", "dim", "none"), np.full((3, 3), 1 / 3))
    return Belief(("a",), np.array([0.5]), 0.3, 0.2, {"amps": table, "glow": seen}, tell)


def test_outcomes_are_told_as_they_are_named_or_put_together(make: SimpleNamespace) -> None:
    belief = measured(make)
    assert belief.told("amps") == ("under 1 A", "1 to 2 A", "over 2 A")
    assert belief.told("glow", [0, 1, 0]) == ("white or none", "dim")
    assert belief.told("amps", [0, 1, 1]) == ("under 1 A", "1 to 2 A or over 2 A")


def test_measured_outcomes_are_told_by_the_cuts_that_are_left(make: SimpleNamespace) -> None:
    def tell(test: str, edges: tuple[float, ...]) -> tuple[str, ...]:
        return (f"{test} from {edges}",)

    belief = measured(make, tell)
    assert belief.told("amps") == ("amps from (1.0, 2.0)",)
    assert belief.told("amps", [0, 0, 1]) == ("amps from (2.0,)",)
    assert belief.told("amps", [0, 0, 0]) == ("amps from ()",)
    assert belief.told("glow") == ("white", "dim", "none")


def test_cuts_must_fit_the_outcomes() -> None:
    with pytest.raises(EngineError, match="2 outcomes between 3 cuts"):
        Belief(("a",), np.array([1.0]), 0.0, 0.0, {
            "amps": OutcomeTable(("low", "high"), np.ones((3, 2)) / 2, (1.0, 2.0, 3.0), "A"),
        })  # fmt: skip
