"""Slips in a family, one at a time, and what a check says of each."""

from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.errors import PackModelError
from probewright.figures import invented, uniform
from probewright.packs.check import check_family
from probewright.packs.model import OptionValue

HALF = invented(0.5)
OHMS = uniform(invented(1), invented(2))


def swap_first(family, field, **changes):
    """The family with its first record of a kind changed."""
    first, *rest = getattr(family, field)
    return replace(family, **{field: (replace(first, **changes), *rest)})


def change_named(family, field, name, **changes):
    records = tuple(replace(r, **changes) if r.id == name else r for r in getattr(family, field))
    return replace(family, **{field: records})


def shares(family, plain, fancy):
    values = (OptionValue("plain", "P", invented(plain)), OptionValue("fancy", "F", invented(fancy)))
    return swap_first(family, "options", values=values)


def circuit(family, **changes):
    return swap_first(family, "circuits", **changes)


def parts(family, *more):
    return circuit(family, parts=(*family.circuits[0].parts, *more))


def changed_by(family, change):
    return circuit(family, changes={**family.circuits[0].changes, "filament_open": (change,)})


def test(family, name, **changes):
    return change_named(family, "tests", name, **changes)


test.__test__ = False


def model(family, name, **changes):
    (old,) = next(t for t in family.tests if t.id == name).models
    return test(family, name, models=(replace(old, **changes),))


def requires(family, **changes):
    (old,) = family.functions[0].requires
    return swap_first(family, "functions", requires=(replace(old, **changes),))


def told_of(family) -> str:
    """What the check says of a family that it refuses."""
    with pytest.raises(PackModelError) as caught:
        check_family(family)
    told = str(caught.value)
    assert told.startswith("family ")
    return told
