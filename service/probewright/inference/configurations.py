"""The builds of an appliance that the given options leave open, and how likely each is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from probewright.circuit.parts import holds
from probewright.packs.model import Family

#: With more builds than this only the likeliest are weighed.
MOST_CONFIGURATIONS = 64


@dataclass(frozen=True, slots=True)
class Configuration:
    """One build: option to value (options that do not apply are absent), and its share of the builds still open."""

    options: Mapping[str, str]
    share: float


def configurations(family: Family, given: Mapping[str, str]) -> tuple[Configuration, ...]:
    """Enumerate the builds that agree with the given options.

    Giving an option that only some builds have selects those builds.

    Returns
    -------
    tuple of Configuration
        Likeliest first, shares adding up to 1; empty when the given options contradict each other.
    """
    builds: list[tuple[dict[str, str], float]] = [({}, 1.0)]
    for option in family.options:
        grown = []
        for build, share in builds:
            if not holds(option.when, build):
                if option.id not in given:
                    grown.append((build, share))
                continue
            for value in option.values:
                if given.get(option.id, value.id) == value.id:
                    grown.append(({**build, option.id: value.id}, share * float(value.share)))
        builds = sorted(grown, key=lambda b: (-b[1], sorted(b[0].items())))[:MOST_CONFIGURATIONS]
    total = sum(share for _, share in builds)
    return tuple(Configuration(build, share / total) for build, share in builds if total > 0)
