"""The builds of an appliance that the given options leave open, and how likely each is."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from probewright.circuit.parts import When, holds
from probewright.packs.model import Family, Option

#: With more builds than this only the likeliest are weighed; the answer then says so.
MOST_CONFIGURATIONS = 64


@dataclass(frozen=True, slots=True)
class Configuration:
    """One build: option to value (options that do not apply are absent), and its share of the builds still open."""

    options: Mapping[str, str]
    share: float


def configurations(
    family: Family, given: Mapping[str, str], weighed: Collection[str] | None = None,
) -> tuple[Configuration, ...]:  # fmt: skip
    """Enumerate the builds that agree with the given options.

    Giving an option that only some builds have selects those builds.

    Parameters
    ----------
    family : Family
    given : mapping of option to value
    weighed : collection of str or None
        The options that make a difference; of any other the likeliest value stands for all: of those that the given
        options leave.  None: all do.

    Returns
    -------
    tuple of Configuration
        Likeliest first, shares adding up to 1; empty when the given options contradict each other.
    """
    builds: list[tuple[dict[str, str], float]] = [({}, 1.0)]
    conditions = _conditions(family, given)
    for option in family.options:
        values = _values(option, given, weighed, conditions)
        grown = []
        for build, share in builds:
            if holds(option.when, build):
                grown += [({**build, option.id: value}, share * part) for value, part in values]
            elif option.id not in given:
                grown.append((build, share))
        builds = sorted(grown, key=lambda b: (-b[1], sorted(b[0].items())))[:MOST_CONFIGURATIONS]
    total = sum(share for _, share in builds)
    return tuple(Configuration(build, share / total) for build, share in builds if share > 0)


def _conditions(family: Family, given: Collection[str]) -> list[When]:
    """What must hold for the given options to be there at all."""
    there = set(given)
    for option in reversed(family.options):  # an option depends on earlier ones only
        if option.id in there:
            there |= option.when.keys()
    return [option.when for option in family.options if option.id in there]


def _values(
    option: Option, given: Mapping[str, str], weighed: Collection[str] | None, conditions: Collection[When],
) -> list[tuple[str, float]]:  # fmt: skip
    """The values of an option that are still open, with their shares."""
    if option.id in given:
        return [(value.id, float(value.share)) for value in option.values if value.id == given[option.id]]
    if weighed is not None and option.id not in weighed:
        named = [{option.id: when[option.id]} for when in conditions if option.id in when]
        left = [value for value in option.values if all(holds(when, {option.id: value.id}) for when in named)]
        likeliest = max(left, key=lambda value: (float(value.share), value.id), default=None)
        return [] if likeliest is None else [(likeliest.id, 1.0)]
    return [(value.id, float(value.share)) for value in option.values]
