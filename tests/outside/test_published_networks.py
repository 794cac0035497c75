"""The posterior on published networks, and against a general-purpose library on the same tables.

Probewright weighs *sets* of faults, and its findings are independent given the set.  A published network fits when its
causes are the faults, and every finding that is used depends on nothing else that another used finding depends on.
That is so for each network below; the note beside it says why.  Its probabilities are typed in from the source named;
nodes between a cause and a finding (an alarm between a fire and a report) are summed out here, by hand.

pyAgrum then gets the *whole* published network, with those nodes, and must agree within 1e-9 for every combination of
findings, so that the summing-out is checked as well.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import pyagrum as gum
import pytest
from numpy.typing import NDArray

from probewright.inference.posterior import posterior

Array = NDArray[np.float64]
Present = frozenset[str]


def engine_posterior(prior: Array, likelihoods: list[Array]) -> Array:
    """What the service's own code makes of a prior and the likelihoods of independent findings, each (n_sets,)."""
    with np.errstate(divide="ignore"):
        log_prior, log_likelihoods = np.log(prior), np.log(np.reshape(likelihoods, (len(likelihoods), len(prior))))
    return posterior(log_prior, log_likelihoods).probabilities


@dataclass(frozen=True)
class Network:
    """A network in Probewright's form.

    ``prior`` gives the probability of a set of causes, ``findings`` that each finding is there, given the set.
    """

    causes: tuple[str, ...]
    prior: Callable[[Present], float]
    findings: Mapping[str, Callable[[Present], float]]

    @property
    def sets(self) -> list[Present]:
        sizes = range(len(self.causes) + 1)
        return [frozenset(s) for n in sizes for s in itertools.combinations(self.causes, n)]

    def posterior(self, evidence: Mapping[str, bool]) -> dict[Present, float]:
        """Over the sets of causes, given which findings are there (True) and which are not (False)."""
        prior = np.array([self.prior(s) for s in self.sets])
        shown = [np.array([self.findings[name](s) for s in self.sets]) for name in evidence]
        likelihoods = [p if there else 1 - p for p, there in zip(shown, evidence.values(), strict=True)]
        return dict(zip(self.sets, engine_posterior(prior, likelihoods).tolist(), strict=True))

    def marginals(self, evidence: Mapping[str, bool]) -> dict[str, float]:
        """The probability that each cause is present."""
        posterior = self.posterior(evidence)
        return {c: sum(p for s, p in posterior.items() if c in s) for c in self.causes}


def independent(chances: Mapping[str, float]) -> Callable[[Present], float]:
    """The prior of a set of causes that come independently of each other."""
    return lambda present: float(np.prod([p if c in present else 1 - p for c, p in chances.items()]))


def either_way(chance: float, if_so: float, if_not: float) -> float:
    """A finding behind a hidden event of that chance."""
    return chance * if_so + (1 - chance) * if_not


# D. Poole, A. Mackworth, "Artificial Intelligence: Foundations of Computational Agents", belief network example on
# tampering and fire.  Smoke depends on the fire alone; the report on tampering and fire through alarm and leaving.
FIRE_ALARM = {(True, True): 0.5, (True, False): 0.85, (False, True): 0.99, (False, False): 0.0001}
fire_network = Network(
    causes=("tampering", "fire"),
    prior=independent({"tampering": 0.02, "fire": 0.01}),
    findings={
        "smoke": lambda s: 0.9 if "fire" in s else 0.01,
        "report": lambda s: either_way(
            either_way(FIRE_ALARM["tampering" in s, "fire" in s], 0.88, 0.001), 0.75, 0.01
        ),
    },
)

# E. Charniak, "Bayesian Networks without Tears", AI Magazine 12(4), 1991.  The light depends on whether the family is
# out; the bark on that and on the dog's health, through the dog being out.
DOG_OUT = {(True, True): 0.99, (True, False): 0.90, (False, True): 0.97, (False, False): 0.3}
family_network = Network(
    causes=("family_out", "bowel_problem"),
    prior=independent({"family_out": 0.15, "bowel_problem": 0.01}),
    findings={
        "light_on": lambda s: 0.6 if "family_out" in s else 0.05,
        "hear_bark": lambda s: either_way(DOG_OUT["family_out" in s, "bowel_problem" in s], 0.7, 0.01),
    },
)

# S. Lauritzen, D. Spiegelhalter, "Local computations with probabilities on graphical structures", J. R. Stat. Soc. B
# 50, 1988: the chest clinic.  X-ray and dyspnoea are independent once the three diseases are known.  Smoking and the
# visit to Asia come before the diseases: they are part of the prior, summed out or known.


def chest_prior(asia: float, smoke: float) -> Callable[[Present], float]:
    def prior(present: Present) -> float:
        tub = either_way(asia, 0.05, 0.01)
        given = [
            share * independent({"tub": tub, "lung": lung, "bronc": bronc})(present)
            for share, lung, bronc in ((smoke, 0.1, 0.6), (1 - smoke, 0.01, 0.3))
        ]
        return sum(given)

    return prior


DYSPNOEA = {(True, True): 0.9, (True, False): 0.7, (False, True): 0.8, (False, False): 0.1}


def chest_network(asia: float = 0.01, smoke: float = 0.5) -> Network:
    return Network(
        causes=("tub", "lung", "bronc"),
        prior=chest_prior(asia, smoke),
        findings={
            "xray": lambda s: 0.98 if s & {"tub", "lung"} else 0.05,
            "dysp": lambda s: DYSPNOEA[bool(s & {"tub", "lung"}), "bronc" in s],
        },
    )


# S. Russell, P. Norvig, "Artificial Intelligence: A Modern Approach", the burglary network.  The two calls are
# independent given the *alarm*, not given burglary and earthquake: so it fits with the alarm as the cause (its prior
# summed out), and, with burglary and earthquake as causes, for one call or for "both call" as one finding.
BURGLARY, EARTHQUAKE = 0.001, 0.002
ALARM = {(True, True): 0.95, (True, False): 0.94, (False, True): 0.29, (False, False): 0.001}
alarm_chance = either_way(
    BURGLARY,
    either_way(EARTHQUAKE, ALARM[True, True], ALARM[True, False]),
    either_way(EARTHQUAKE, ALARM[False, True], ALARM[False, False]),
)
alarm_network = Network(
    causes=("alarm",),
    prior=independent({"alarm": alarm_chance}),
    findings={
        "john": lambda s: 0.90 if "alarm" in s else 0.05,
        "mary": lambda s: 0.70 if "alarm" in s else 0.01,
    },
)


def rings(s: Present) -> float:
    return ALARM["burglary" in s, "earthquake" in s]


burglary_network = Network(
    causes=("burglary", "earthquake"),
    prior=independent({"burglary": BURGLARY, "earthquake": EARTHQUAKE}),
    findings={
        "alarm": rings,
        "john": lambda s: either_way(rings(s), 0.90, 0.05),
        "mary": lambda s: either_way(rings(s), 0.70, 0.01),
        "both": lambda s: either_way(rings(s), 0.90 * 0.70, 0.05 * 0.01),
    },
)

YES, NO = True, False


@pytest.mark.parametrize(
    ("network", "evidence", "expected"),
    [
        # The sources' own values, printed to three or four digits; those of the fire and chest networks are quoted from
        # memory, and the digits computed below bear them out.
        (fire_network, {"report": YES}, {"tampering": 0.399, "fire": 0.2305}),
        (fire_network, {"smoke": YES}, {"tampering": 0.02, "fire": 0.476}),
        (fire_network, {"report": YES, "smoke": YES}, {"tampering": 0.0284, "fire": 0.964}),
        (fire_network, {"report": YES, "smoke": NO}, {"tampering": 0.501, "fire": 0.0294}),
        (chest_network(asia=1), {"dysp": YES}, {"tub": 0.0878, "lung": 0.0995, "bronc": 0.8114}),
        (burglary_network, {"both": YES}, {"burglary": 0.284}),
    ],
)
def test_what_the_sources_print(network: Network, evidence: dict[str, bool], expected: dict[str, float]) -> None:
    marginals = network.marginals(evidence)
    for cause, value in expected.items():
        digits = len(str(value).partition(".")[2])
        assert marginals[cause] == pytest.approx(value, abs=0.51 * 10**-digits)


@pytest.mark.parametrize(
    ("network", "evidence", "expected"),
    [
        # The same networks to more digits, computed by two general-purpose libraries (pgmpy 1.1.2, pyAgrum 3.3.1).
        (fire_network, {"report": YES}, {"tampering": 0.3991689039, "fire": 0.2305046014}),
        (fire_network, {"report": YES, "smoke": YES}, {"tampering": 0.0284357146, "fire": 0.9642343186}),
        (fire_network, {"report": YES, "smoke": NO}, {"tampering": 0.5007970091, "fire": 0.0293692216}),
        (family_network, {"light_on": YES, "hear_bark": NO}, {"family_out": 0.5005517276}),
        (family_network, {"light_on": YES}, {"family_out": 0.6792452830}),
        (family_network, {"hear_bark": YES}, {"family_out": 0.3346363608}),
        (family_network, {"light_on": YES, "hear_bark": YES}, {"family_out": 0.8578586534}),
        (alarm_network, {"john": YES, "mary": YES}, {"alarm": 0.7606920389}),
        (burglary_network, {"both": YES}, {"burglary": 0.2841718354, "earthquake": 0.1760668384}),
        (burglary_network, {"john": YES}, {"burglary": 0.0162837299}),
        (burglary_network, {"mary": YES}, {"burglary": 0.0561174540}),
        (burglary_network, {"alarm": YES}, {"burglary": 0.3735512283}),
    ],
)
def test_to_ten_digits(network: Network, evidence: dict[str, bool], expected: dict[str, float]) -> None:
    marginals = network.marginals(evidence)
    for cause, value in expected.items():
        assert marginals[cause] == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    ("network", "evidence", "expected"),
    [
        (chest_network(), {}, {"tub": 0.010400, "lung": 0.055000, "bronc": 0.450000}),
        (chest_network(asia=1), {"dysp": YES}, {"tub": 0.087751, "lung": 0.099525, "bronc": 0.811402}),
        (chest_network(asia=1), {"dysp": YES, "xray": YES}, {"tub": 0.391712, "lung": 0.444271, "bronc": 0.628822}),
        (chest_network(asia=1), {"dysp": YES, "xray": NO}, {"tub": 0.002249, "lung": 0.002550, "bronc": 0.862761}),
        (chest_network(asia=1, smoke=0), {"dysp": YES}, {"tub": 0.112835, "lung": 0.022567, "bronc": 0.717942}),
    ],
)
def test_chest_clinic(network: Network, evidence: dict[str, bool], expected: dict[str, float]) -> None:
    # Computed by the same two libraries, which agree within 2e-8 on the network's published file.
    marginals = network.marginals(evidence)
    for cause, value in expected.items():
        assert marginals[cause] == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize(
    ("shares", "rates", "which", "expected"),
    [
        # Four boxes, a defective part drawn: which box?  Textbook companion 2951 of the FOSSEE project, example 9.3.
        ((0.25, 0.25, 0.25, 0.25), (0.05, 0.4, 0.1, 0.1), 1, 0.615385),
        # Who did the incomplete repair?  Textbook companion 3044 of the FOSSEE project, example 3.23.
        ((0.20, 0.60, 0.15, 0.05), (0.05, 0.10, 0.10, 0.05), 0, 0.114286),
    ],
)
def test_one_of_several_causes(
    shares: tuple[float, ...], rates: tuple[float, ...], which: int, expected: float
) -> None:
    # One cause at a time and one finding: the form's smallest member.
    assert engine_posterior(np.array(shares), [np.array(rates)])[which] == pytest.approx(expected, abs=1e-6)


def test_faults_that_logic_rules_out() -> None:
    # The three-multiplier, two-adder circuit of J. de Kleer, B. Williams, "Diagnosing multiple faults", Artificial
    # Intelligence 32, 1987: its observed outputs contradict these two groups of parts being sound together, and the
    # paper's smallest diagnoses are {A1}, {M1}, {A2, M2} and {M2, M3}.  The chance of a fault, 0.01, is ours.
    conflicts = ({"A1", "M1", "M2"}, {"A1", "A2", "M1", "M3"})
    parts = ("A1", "A2", "M1", "M2", "M3")
    network = Network(
        causes=parts,
        prior=independent(dict.fromkeys(parts, 0.01)),
        findings={"outputs": lambda s: float(all(s & conflict for conflict in conflicts))},
    )
    posterior = network.posterior({"outputs": YES})
    possible = [s for s, p in posterior.items() if p > 0]
    smallest = {s for s in possible if not any(other < s for other in possible)}
    assert smallest == {frozenset(s) for s in ({"A1"}, {"M1"}, {"A2", "M2"}, {"M2", "M3"})}
    assert posterior[frozenset({"M1"})] == pytest.approx(0.4780264, abs=1e-6)
    marginals = network.marginals({"outputs": YES})
    assert marginals == pytest.approx({"A1": 0.4976352, "M1": 0.4976352, "A2": 0.0147803, "M3": 0.0147803,
                                       "M2": 0.0196088}, abs=1e-6)  # fmt: skip


def tables(network: str, chances: Mapping[str, list[float]]) -> gum.BayesNet:
    """A network of yes-or-no nodes; each table gives P(yes), its parents' first value (no) first, last parent fastest.

    The order of the parents is the order in which ``network`` names them.
    """
    net = gum.fastBN(network)
    for name, yes in chances.items():
        table = net.cpt(name)
        order = network_parents(network, name)
        for values, chance in zip(itertools.product((0, 1), repeat=len(order)), yes, strict=True):
            table[dict(zip(order, values, strict=True))] = [1 - chance, chance]
    return net


def network_parents(network: str, name: str) -> list[str]:
    arcs = [arc.split("->") for arc in network.split(";")]
    return [parent for parent, child in arcs if child == name]


FULL_NETWORKS = {
    "fire": (
        fire_network,
        tables(
            "tampering->alarm;fire->alarm;fire->smoke;alarm->leaving;leaving->report",
            {"tampering": [0.02], "fire": [0.01], "alarm": [0.0001, 0.99, 0.85, 0.5], "smoke": [0.01, 0.9],
             "leaving": [0.001, 0.88], "report": [0.01, 0.75]},
        ),
    ),
    "family": (
        family_network,
        tables(
            "family_out->light_on;family_out->dog_out;bowel_problem->dog_out;dog_out->hear_bark",
            {"family_out": [0.15], "bowel_problem": [0.01], "light_on": [0.05, 0.6],
             "dog_out": [0.3, 0.97, 0.90, 0.99], "hear_bark": [0.01, 0.7]},
        ),
    ),
    "chest": (
        chest_network(),
        tables(
            "asia->tub;smoke->lung;smoke->bronc;tub->either;lung->either;either->xray;either->dysp;bronc->dysp",
            {"asia": [0.01], "smoke": [0.5], "tub": [0.01, 0.05], "lung": [0.01, 0.1], "bronc": [0.3, 0.6],
             "either": [0, 1, 1, 1], "xray": [0.05, 0.98], "dysp": [0.1, 0.8, 0.7, 0.9]},
        ),
    ),
    "alarm": (
        alarm_network,
        tables(
            "burglary->alarm;earthquake->alarm;alarm->john;alarm->mary",
            {"burglary": [BURGLARY], "earthquake": [EARTHQUAKE], "alarm": [0.001, 0.29, 0.94, 0.95],
             "john": [0.05, 0.90], "mary": [0.01, 0.70]},
        ),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FULL_NETWORKS)
def test_whole_networks_in_pyagrum(name: str) -> None:
    ours, full = FULL_NETWORKS[name]
    inference = gum.LazyPropagation(full)
    for seen in itertools.product((None, NO, YES), repeat=len(ours.findings)):
        evidence = {f: there for f, there in zip(ours.findings, seen, strict=True) if there is not None}
        inference.setEvidence({f: int(there) for f, there in evidence.items()})
        inference.makeInference()
        theirs = {cause: float(inference.posterior(cause)[1]) for cause in ours.causes}
        assert ours.marginals(evidence) == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_random_tables_in_pyagrum(seed: int) -> None:
    """One cause of up to 60 values and up to 10 findings, with chances down to 1e-8."""
    random = np.random.default_rng(seed)
    n_sets, n_findings = int(random.integers(2, 61)), int(random.integers(1, 11))
    prior = random.dirichlet(np.full(n_sets, 0.3)) * (1 - n_sets * 1e-8) + 1e-8
    net = gum.BayesNet()
    net.add(gum.LabelizedVariable("cause", "cause", n_sets))
    net.cpt("cause").fillWith(prior.tolist())
    likelihoods, evidence = [], {}
    for i in range(n_findings):
        n_outcomes = int(random.integers(2, 7))
        table = random.dirichlet(np.full(n_outcomes, 0.3), size=n_sets) * (1 - n_outcomes * 1e-8) + 1e-8
        net.add(gum.LabelizedVariable(f"finding_{i}", "", n_outcomes))
        net.addArc("cause", f"finding_{i}")
        for j, row in enumerate(table.tolist()):
            net.cpt(f"finding_{i}")[{"cause": j}] = row
        evidence[f"finding_{i}"] = int(random.integers(n_outcomes))
        likelihoods.append(table[:, evidence[f"finding_{i}"]])
    inference = gum.LazyPropagation(net)
    inference.setEvidence(evidence)
    inference.makeInference()
    theirs = np.array(inference.posterior("cause").tolist())
    np.testing.assert_allclose(engine_posterior(prior, likelihoods), theirs, rtol=0, atol=1e-9)
