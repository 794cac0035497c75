"""The records of an overlay: what a shop knows better than a pack.

Numbers are :class:`~probewright.figures.Figure`, most of them of basis ``shop``.  Everything has a default that changes
nothing, so an overlay holds what a shop has to say and no more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from probewright.circuit.parts import Change, When
from probewright.figures import Figure, Spread
from probewright.packs.model import (
    Chances,
    Closing,
    Complaint,
    Fault,
    Limit,
    Outcomes,
    Repair,
    ReplaceablePart,
    Test,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ShopMinutes:
    """Minutes that work takes in this shop, each by id.

    >>> from probewright.packs import shop
    >>> ShopMinutes(tests={"outlet_voltage": shop(2.0)}).tests["outlet_voltage"]
    2.0

    Attributes
    ----------
    tests, repairs : mapping of id to Figure
        The work itself.
    zones : mapping of id to Figure
        Opening and closing.
    states : mapping of id to Figure
        Getting there from another state.
    """

    tests: Mapping[str, Figure] = field(default_factory=dict)
    repairs: Mapping[str, Figure] = field(default_factory=dict)
    zones: Mapping[str, Figure] = field(default_factory=dict)
    states: Mapping[str, Figure] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ShopCosts:
    """Costs of this shop, under those that a case gives; None keeps what lies below.

    >>> from probewright.packs import shop
    >>> ShopCosts(labour_per_hour=shop(95.0)).callback is None
    True

    Attributes
    ----------
    labour_per_hour, callback, return_visit : Figure or None
        Money, in one currency with the part prices.
    verification_minutes : Figure or None
        Minutes to prove a repair.
    """

    labour_per_hour: Figure | None = None
    callback: Figure | None = None
    return_visit: Figure | None = None
    verification_minutes: Figure | None = None


@dataclass(frozen=True, slots=True)
class ShopSupply:
    """The supply where this shop works, in V; None keeps what lies below.

    A ``nominal`` voltage of another value than the family's moves with it, in proportion, what a family gives at the
    nominal supply: the sources of its circuits, and limits that scale with the supply.  A given voltage then means what
    it meant before.  How the supply spreads does not follow by itself, so ``usual`` is given with it.

    >>> from probewright.packs import normal, shop
    >>> ShopSupply(usual=normal(shop(121.0), shop(1.5))).least is None
    True

    Attributes
    ----------
    nominal : Figure or None
    usual : Spread or None
        How it spreads where it was not measured.
    least, most : Figure or None
        Under and over which the supply is a fault to find, and no condition to work under.
    """

    nominal: Figure | None = None
    usual: Spread | None = None
    least: Figure | None = None
    most: Figure | None = None


@dataclass(frozen=True, slots=True)
class ShopCautions:
    """Cautions of this shop, told after those that are there: for the whole family, and by id.

    >>> ShopCautions(tests={"outlet_voltage": ("Photograph the outlet first.",)}).family
    ()

    Attributes
    ----------
    family : tuple of str
        Told in every answer.
    tests, repairs, states, zones, complaints : mapping of id to tuple of str
    """

    family: tuple[str, ...] = ()
    tests: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    repairs: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    states: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    zones: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    complaints: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OutcomeRow:
    """One row of a test's table of outcomes, in place of the row that is there.

    >>> from probewright.packs import shop
    >>> OutcomeRow("burner_flame", {"blue": shop(0.9), "yellow": shop(0.1)}).fault is None
    True

    Attributes
    ----------
    test : str
    chances : mapping of outcome to Figure
        Probabilities that add up to 1.
    fault : str or None
        The fault under which they hold; None for the row of a sound appliance.
    when : mapping of option to value or values
        The same as the table's own.
    """

    test: str
    chances: Outcomes
    fault: str | None = None
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Effects:
    """How a fault shows in what a family already has; what is named here comes beside what is there.

    Where there is an entry of the same fault already, this one takes its place.

    >>> from probewright.packs import shop
    >>> Effects("nest_in_flue", shown_by={"yellow_flame": shop(0.6)}).fault
    'nest_in_flue'

    Attributes
    ----------
    fault : str
        A fault of the overlay's own or of the family.
    fails_with : mapping of function to Figure
        The probability that the fault defeats the function.
    shown_by : mapping of complaint to Figure
        The probability that the fault brings the symptom about.
    outcomes : mapping of test to (mapping of outcome to Figure)
        The row of every table of the test under this fault.
    stated : mapping of test to Spread
        What the test reads under this fault, in every stated model of it.
    cured_by : mapping of repair to Figure
        The probability that the repair cures it.
    changes : mapping of circuit to tuple of Change
        What it does to the wiring.
    """

    fault: str
    fails_with: Chances = field(default_factory=dict)
    shown_by: Chances = field(default_factory=dict)
    outcomes: Mapping[str, Outcomes] = field(default_factory=dict)
    stated: Mapping[str, Spread] = field(default_factory=dict)
    cured_by: Chances = field(default_factory=dict)
    changes: Mapping[str, tuple[Change, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Overlay:
    """What one layer lays over one family.

    Nothing is ever taken away: numbers are replaced, cautions and records are added.  Hazards, closing checks and
    questions of a family stay as they are.  Limits of a test on which safety depends may only be drawn tighter, and a
    new cure of a fault names the checks on which safety depends that every cure which is there names, and takes a skill
    where all of these do.

    >>> from probewright.packs import shop
    >>> overlay = Overlay("north_street", "gas_range", fault_rates={"bake_igniter_weak": shop(0.06)})
    >>> overlay.costs.labour_per_hour is None, overlay.tests
    (True, ())

    Attributes
    ----------
    layer : str
        The name of the layer, in snake_case; it is shown beside each number that the layer sets.
    family : str
        The id of the family.
    van : tuple of str or None
        Parts that are on the van, by id: at hand where a case does not say what is.  None: what lies below.
    unknown_rate : Figure or None
        Prior probability of something that the pack does not know.
    checklist : tuple of str or None
        Tests in the order in which this shop usually does them.
    fault_rates : mapping of fault to Figure
        Prior probabilities, strictly between 0 and 1.
    option_shares : mapping of option to (mapping of value to Figure)
        Shares of builds: of an option all values together, adding up to 1.
    minutes : ShopMinutes
    part_prices : mapping of part to Figure
    costs : ShopCosts
    supply : ShopSupply
    cautions : ShopCautions
    limits : mapping of test to tuple of Limit
        Each in place of the test's limit with the same ``when``.  One for a ``when`` that no limit has is put before
        the limits that ask for as many options or fewer: the first that holds counts.
    outcomes : tuple of OutcomeRow
        Rows in place of rows of stated tables.
    faults, tests, repairs, parts, closings, complaints
        Records of the shop's own, with ids that the family does not have.
    effects : tuple of Effects
        How faults show in what is there.
    """

    layer: str
    family: str
    van: tuple[str, ...] | None = None
    unknown_rate: Figure | None = None
    checklist: tuple[str, ...] | None = None
    fault_rates: Chances = field(default_factory=dict)
    option_shares: Mapping[str, Outcomes] = field(default_factory=dict)
    minutes: ShopMinutes = ShopMinutes()
    part_prices: Mapping[str, Figure] = field(default_factory=dict)
    costs: ShopCosts = ShopCosts()
    supply: ShopSupply = ShopSupply()
    cautions: ShopCautions = ShopCautions()
    limits: Mapping[str, tuple[Limit, ...]] = field(default_factory=dict)
    outcomes: tuple[OutcomeRow, ...] = ()
    faults: tuple[Fault, ...] = ()
    tests: tuple[Test, ...] = ()
    repairs: tuple[Repair, ...] = ()
    parts: tuple[ReplaceablePart, ...] = ()
    closings: tuple[Closing, ...] = ()
    complaints: tuple[Complaint, ...] = ()
    effects: tuple[Effects, ...] = ()
