"""A pack whose declared tables are a published network's gives that network's posteriors, through the whole service.

The wet grass of K. Murphy, "A Brief Introduction to Graphical Models and Bayesian Networks" (1998): clouds make rain
likelier and the sprinkler less so; either makes the grass wet, and the two tables agree with the pack's rule for two
faults at once, 1 - 0.1 x 0.1 = 0.99.  Clouds become an option of the pack, and a cause that depends on them a fault for
each value.  Table and results are typed in as remembered from that text, and the network itself, with its own table for
both causes, is asked of pyAgrum besides.
"""

from __future__ import annotations

from dataclasses import replace

import pyagrum as gum
import pytest

from probewright.engine import diagnose
from probewright.packs import (
    DefaultCosts,
    Family,
    Fault,
    Option,
    OptionValue,
    Repair,
    State,
    Supply,
    Table,
    Test,
    Zone,
    exactly,
    hookimpl,
    invented,
    published,
)
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright_schemas.records import Case, Reading

SOURCE = "Murphy, A Brief Introduction to Graphical Models and Bayesian Networks (1998), fig. 1, from memory"
#: P(sprinkler) and P(rain) with and without clouds; P(wet) by one cause alone.
CAUSES = {"sprinkler": {"cloudy": 0.1, "clear": 0.5}, "rain": {"cloudy": 0.8, "clear": 0.2}}
BY_ONE = 0.9
#: As near to never as a pack may say.
NEVER = invented(1e-13)
SETTINGS = replace(Settings(), misread_rate=1e-13)


def chance(value: float):
    return published(value, SOURCE)


def wet_grass() -> Family:
    faults = {(cause, sky): rate for cause, rates in CAUSES.items() for sky, rate in rates.items()}
    wet = {"dry": chance(1 - BY_ONE), "wet": chance(BY_ONE)}
    return Family(
        id="lawn",
        title="Lawn",
        version="1.0.0",
        supply=Supply(invented(120.0), exactly(invented(120.0))),
        ambient=exactly(invented(20.0)),
        options=(
            Option("sky", "Sky", (OptionValue("cloudy", "Cloudy", chance(0.5)),
                                  OptionValue("clear", "Clear", chance(0.5)))),
        ),
        states=(State("outdoors", "Outdoors", False, False, invented(0.0), ("Go out.",), (), 0),),
        zones=(Zone("lawn", "Lawn", invented(0.0)),),
        circuits=(),
        functions=(),
        complaints=(),
        tests=(
            Test("grass", "Grass", "seen", ("outdoors",), "lawn", invented(1.0), outcomes=("dry", "wet"),
                 models=(Table({"dry": chance(1.0), "wet": chance(0.0)}, {f"{c}_if_{s}": wet for c, s in faults}),)),
        ),
        faults=tuple(
            Fault(f"{cause}_if_{sky}", cause, chance(rate), when={"sky": sky}) for (cause, sky), rate in faults.items()
        ),
        parts=(),
        repairs=(
            Repair("wait", "Wait", {f"{c}_if_{s}": invented(1.0) for c, s in faults}, invented(1.0), "outdoors", ()),
        ),
        interlocks=(),
        closings=(),
        costs=DefaultCosts(invented(60.0), invented(50.0), invented(3.0), invented(40.0)),
        unknown_rate=NEVER,
        cautions=("None.",),
        notice="None.",
        demo=True,
    )  # fmt: skip


class Pack:
    CONTRACT = "1.1"

    @hookimpl
    def probewright_family(self):
        return wet_grass()


@pytest.fixture(scope="module")
def pack():
    return load_packs(entry_points=(), extra=(("lawn", Pack()),)).get("lawn")


def causes(pack, *readings: Reading, **options: str) -> dict[str, float]:
    """The probability of each cause, whatever the sky."""
    case = Case("lawn", options=options, readings=readings)
    found = {f.fault: f.probability for f in diagnose(case, pack, SETTINGS).faults}
    return {cause: sum(p for fault, p in found.items() if fault.startswith(cause)) for cause in CAUSES}


def asked_of_pyagrum(evidence: dict[str, int]) -> dict[str, float]:
    network = gum.fastBN("cloudy->sprinkler->wet;cloudy->rain->wet")
    network.cpt("cloudy")[:] = [0.5, 0.5]
    for cause, rates in CAUSES.items():
        network.cpt(cause)[{"cloudy": 0}] = [1 - rates["clear"], rates["clear"]]
        network.cpt(cause)[{"cloudy": 1}] = [1 - rates["cloudy"], rates["cloudy"]]
    for sprinkler, rain, wet in ((0, 0, 0.0), (1, 0, 0.9), (0, 1, 0.9), (1, 1, 0.99)):
        network.cpt("wet")[{"sprinkler": sprinkler, "rain": rain}] = [1 - wet, wet]
    asked = gum.LazyPropagation(network)
    asked.setEvidence(evidence)
    return {cause: float(asked.posterior(cause)[1]) for cause in CAUSES}


def test_wet_grass_as_printed(pack):
    """Printed: P(sprinkler | wet) = 0.2781 / 0.6471 = 0.430, P(rain | wet) = 0.4581 / 0.6471 = 0.708."""
    found = causes(pack, Reading("grass", seen="wet"))
    assert found["sprinkler"] == pytest.approx(0.2781 / 0.6471, abs=1e-6)
    assert found["rain"] == pytest.approx(0.4581 / 0.6471, abs=1e-6)
    assert found["sprinkler"] == pytest.approx(0.430, abs=5e-4)
    assert found["rain"] == pytest.approx(0.708, abs=5e-4)


@pytest.mark.parametrize("seen", ["wet", "dry", None])
@pytest.mark.parametrize("sky", ["cloudy", "clear", None])
def test_the_whole_network_in_pyagrum(pack, seen, sky):
    evidence = ({} if seen is None else {"wet": int(seen == "wet")}) | (
        {} if sky is None else {"cloudy": int(sky == "cloudy")}
    )
    readings = () if seen is None else (Reading("grass", seen=seen),)
    found = causes(pack, *readings, **({} if sky is None else {"sky": sky}))
    assert found == pytest.approx(asked_of_pyagrum(evidence), abs=1e-9)
