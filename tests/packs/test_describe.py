from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace

import orjson
import pytest

from probewright.circuit.laws import Platinum
from probewright.circuit.parts import Change, Contact, Drift, Leak, Level, Open, Part, Short, Stuck, Swap
from probewright.figures import Figure, Spread, exactly, invented, published, uniform
from probewright.packs.describe import describe, figure
from probewright.packs.loader import load_packs
from probewright.physics.sensors import IEC_60751
from probewright_schemas.family import FamilySchema


def described(family, make_pack):
    return describe(load_packs(entry_points=(), extra=[("lamp", make_pack(family))]).get("lamp"))


@pytest.fixture
def lamp(family, make_pack):
    return described(family, make_pack)


def test_it_is_what_its_schema_says(lamp):
    assert FamilySchema().load(lamp)["id"] == "lamp"


def test_installed_families_are_what_the_schema_says():
    for pack in load_packs().packs.values():
        document = orjson.loads(orjson.dumps(describe(pack)))
        FamilySchema().load(document)
        assert document["digest"] == pack.digest


def test_a_figure_has_its_basis_and_source():
    assert figure(invented(2)) == {"value": 2.0, "basis": "invented"}
    assert figure(published(2, "A table")) == {"value": 2.0, "basis": "published", "source": "A table"}
    assert type(figure(invented(2))["value"]) is float


def test_records_come_out_by_name(lamp):
    current = next(t for t in lamp["tests"] if t["id"] == "lamp_current")
    assert current["limits"] == [{
        "low": {"value": 0.7, "basis": "invented"}, "high": {"value": 0.9, "basis": "invented"},
        "scales_with_supply": False, "when": {},
    }]  # fmt: skip
    assert current["models"] == [{"kind": "through", "circuit": "lamp", "part": "filament", "when": {}}]
    assert current["command"] == "on"
    assert "measures" not in current
    assert lamp["hazards"][0]["id"] == "burning"
    assert lamp["closing_checks"] == [
        {"id": "lit", "text": "It lights.", "test": "glow", "limits": [], "passes": [], "guarded": False}
    ]
    assert lamp["costs"]["callback"] == {"value": 50.0, "basis": "invented"}
    assert "interlocks" not in lamp


def test_conditions_give_lists(lamp):
    (shade,) = [o for o in lamp["options"] if o["id"] == "shade"]
    assert shade["when"] == {"kind": ["fancy"]}


def test_stated_spreads_and_tabled_chances_have_names_of_their_own(lamp):
    (warmth,) = next(t for t in lamp["tests"] if t["id"] == "warmth")["models"]
    assert warmth["spread"]["kind"] == "uniform"
    assert list(warmth["spread_by_fault"]) == ["filament_weak"]
    (glass,) = next(t for t in lamp["tests"] if t["id"] == "glass")["models"]
    assert glass["chances"]["whole"] == {"value": 0.9, "basis": "invented"}
    assert glass["chances_by_fault"]["filament_open"]["cracked"]["value"] == 0.5
    assert glass["without"][0]["outcome"] == "cracked"
    assert glass["without"][0]["requirement"]["of"] == "filament"


def test_circuits_have_laws_and_changes(lamp):
    (circuit,) = lamp["circuits"]
    kinds = [(p["kind"], p["id"]) for p in circuit["parts"]]
    assert kinds[:3] == [("source", "mains"), ("switch", "knob"), ("part", "filament")]
    law = circuit["parts"][2]["law"]
    assert law["kind"] == "self_heating"
    assert list(law["spreads"]) == ["cold", "hot"]
    assert law["figures"] == {"heats_above": {"value": 20.0, "basis": "invented"}}
    assert circuit["parts"][0]["phase"]["basis"] == "derived"
    assert circuit["changes"]["filament_open"] == [{"kind": "open", "part": "filament"}]


def with_part(family, law):
    circuit = family.circuits[0]
    return replace(family, circuits=(replace(circuit, parts=(*circuit.parts, Part("odd", "hot", "earth", law))),))


def test_figures_inside_a_law_are_found(family, make_pack):
    sensor = Platinum(exactly(invented(1000)), uniform(invented(-1), invented(1)), IEC_60751)
    law = described(with_part(family, sensor), make_pack)["circuits"][0]["parts"][-1]["law"]
    assert law["kind"] == "platinum"
    assert law["figures"]["curve.a"] == figure(IEC_60751.a)


def test_a_law_of_the_packs_own_is_described_by_its_fields(family, make_pack):
    @dataclass(frozen=True)
    class OddLaw:
        ohms: Spread
        limit: Figure
        heats_above = None
        feels_temperature = False

        @property
        def spreads(self):
            return (self.ohms,)

        def impedance(self, parameters, at):
            return parameters[0]

    odd = OddLaw(uniform(invented(1), invented(2)), invented(3))
    law = described(with_part(family, odd), make_pack)["circuits"][0]["parts"][-1]["law"]
    assert law == {
        "kind": "odd_law",
        "spreads": {"ohms": {"kind": "uniform", "first": figure(invented(1)), "second": figure(invented(2))}},
        "figures": {"limit": figure(invented(3))},
    }


CHANGES: list[Change] = [
    Open("filament"), Short("filament", exactly(invented(1))), Drift("filament", exactly(invented(2))),
    Contact("knob", exactly(invented(1))), Leak("hot", "earth", exactly(invented(1))), Stuck("knob", "open"),
    Swap("filament", "bond"), Level("mains", exactly(invented(0.5))),
]  # fmt: skip


def test_every_change_fits_the_schema(family, make_pack):
    circuit = family.circuits[0]
    changes = {**circuit.changes, "filament_open": tuple(CHANGES)}
    lamp = described(replace(family, circuits=(replace(circuit, changes=changes),)), make_pack)
    FamilySchema().load(lamp)
    kinds = [c["kind"] for c in lamp["circuits"][0]["changes"]["filament_open"]]
    assert kinds == ["open", "short", "drift", "contact", "leak", "stuck", "swap", "level"]


def numbers(value, where=""):
    """Every float in a record, with where it stands."""
    if isinstance(value, float):
        yield where, value
    elif isinstance(value, Spread):
        yield from numbers(value.first, where)
        yield from numbers(value.second, where)
    elif is_dataclass(value):
        for field in fields(value):
            yield from numbers(getattr(value, field.name), f"{where}.{field.name}")
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from numbers(inner, f"{where}[{key}]")
    elif isinstance(value, tuple | list):
        for inner in value:
            yield from numbers(inner, where)


def figures(value):
    """Every figure in a document."""
    if isinstance(value, dict):
        if set(value) >= {"value", "basis"}:
            yield value
        else:
            for inner in value.values():
                yield from figures(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from figures(inner)


def bare_numbers(value, where=""):
    """Every number in a document that is no figure."""
    if isinstance(value, dict):
        if not set(value) >= {"value", "basis"}:
            for key, inner in value.items():
                yield from bare_numbers(inner, key)
    elif isinstance(value, list):
        for inner in value:
            yield from bare_numbers(inner, where)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield where


def test_every_number_of_the_gas_range_is_there_with_its_basis():
    pack = load_packs().get("gas_range")
    document = describe(pack)
    ours = sorted(float(v) for where, v in numbers(pack.family) if not where.endswith(".phase"))
    # The phase of a source is a number by definition, and gets its basis in the description.
    phases = sum(where.endswith(".phase") for where, _ in numbers(pack.family))
    by_definition = "position of the leg in the supply, by definition"
    theirs = sorted(f["value"] for f in figures(document) if f.get("source") != by_definition)
    assert theirs == ours
    assert len(list(figures(document))) == len(ours) + phases
    assert set(bare_numbers(document)) == {"risk"}
    assert all(isinstance(v, Figure) for where, v in numbers(pack.family) if not where.endswith(".phase"))
