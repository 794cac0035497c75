"""Packs to measure, and what simulated jobs of them came to; every number is invented."""

from __future__ import annotations

from functools import cache
from typing import Any

from probewright.figures import invented
from probewright.packs.model import Complaint, Fault, Repair
from probewright.packs.registry import LoadedPack
from probewright.review.quality import Measured, measure, quality_document
from probewright.settings import Settings
from support.families import FUNCTIONS, TESTS, chances, pack_of, warmer
from support.lamp import lamp_family

SETTINGS = Settings()
SEED = 3


@cache
def warmer_pack() -> LoadedPack:
    """The warmer, with tests in some usual order."""
    return pack_of(warmer(checklist=("door", "supply_volts", "glow", "heater_ohms")))


@cache
def lamp_pack() -> LoadedPack:
    """A lamp whose faults exclude each other, without a checklist."""
    return pack_of(lamp_family())


@cache
def door_pack() -> LoadedPack:
    """A door: no circuit, one fault, and hardly anybody calls."""
    return pack_of(warmer(
        id="door", title="Door", options=(), circuits=(),
        functions=(FUNCTIONS[1],), tests=tuple(t for t in TESTS if t.id == "door"),
        faults=(Fault("door_loose", "door loose", invented(0.002)),),
        complaints=(Complaint("rattles", "It rattles", invented(0.0005), shown_by=chances(door_loose=0.5)),),
        repairs=(Repair("tighten_door", "Tighten the door", chances(door_loose=0.8), invented(5.0), "isolated",
                        ("outside",)),),
    ))  # fmt: skip


@cache
def measured(pack: LoadedPack, jobs: int, *, perturb: bool) -> Measured:
    return measure(pack, SETTINGS, jobs, SEED, perturb=perturb)


def quality_of(pack: LoadedPack, jobs: int, *, worlds: tuple[bool, ...] = (False, True)) -> dict[str, Any]:
    """The document of a pack, as given and perturbed unless told otherwise."""
    return quality_document(pack, SETTINGS, [measured(pack, jobs, perturb=perturb) for perturb in worlds])


def review_of(of: LoadedPack, quality: dict[str, Any] | None, **more: Any) -> dict[str, Any]:
    """A review with two findings, one accepted one, and this on simulated jobs."""
    told = {
        "name": of.family.id,
        "pack": {
            "family": of.family.id, "title": of.family.title, "version": of.family.version,
            "digest": "sha256:0123456789abcdef", "entry_point": of.family.id, "distribution": "(test)",
            "package_version": "0",
        },
        "verdict": "warnings",
        "counts": {"error": 0, "warning": 1, "note": 1, "accepted": 1},
        "findings": [finding("warning", "faults_alike"), finding("note", "weak_basis")],
        "accepted": [{**finding("warning", "option_unused"), "reason": "The catalogue lists it."}],
        "rules": {
            rule: {"finds": f"what {rule} finds", "why": f"what {rule} spoils"}
            for rule in ("faults_alike", "weak_basis", "option_unused")
        },
        "figures": {"count": 12, "by_basis": {"published": 2, "invented": 10}, "by_kind": {}},
        "quality": quality,
    }  # fmt: skip
    return told | more


def finding(severity: str, rule: str, record: str = "test door") -> dict[str, str]:
    return {"severity": severity, "rule": rule, "record": record, "message": "it sticks", "hint": "Oil it."}
