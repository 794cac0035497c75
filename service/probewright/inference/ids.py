"""Every id in a case must be one of the family's: all that are not are named at once."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from difflib import get_close_matches
from typing import ParamSpec, TypeVar

from probewright.errors import Fault, InvalidCase, RequestError
from probewright.inference.gauges import Gauges
from probewright.packs.model import Family
from probewright_schemas.records import Case

#: Kinds of which a family has few, so that a refusal can list them.
_SHORT_LISTS = frozenset({"tool", "skill"})

P = ParamSpec("P")
T = TypeVar("T")


class Faults:
    """Collects what is wrong with a case."""

    def __init__(self) -> None:
        self.found: list[Fault] = []

    def add(self, pointer: str, message: str, code: str = "invalid") -> None:
        """Note something wrong at a JSON pointer."""
        self.found.append(Fault(pointer, message, code))

    def unknown(self, pointer: str, kind: str, name: str, known: Iterable[str], *, list_them: bool = False) -> None:
        """Note an id that the family lacks, with the nearest it has."""
        names = list(known)
        near = get_close_matches(name, names, 1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        told = f" (one of {', '.join(names)})" if list_them else ""
        self.add(pointer, f"unknown {kind.replace('_', ' ')} {name!r}{hint}{told}", f"unknown_{kind}")

    def guard(self, pointer: str, function: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T | None:
        """Call; a refusal of what was given becomes a fault at ``pointer``, and None is returned."""
        try:
            return function(*arguments, **named)
        except RequestError as refusal:
            self.add(pointer, str(refusal), refusal.code)
            return None

    def raise_if_any(self) -> None:
        """Raise :class:`InvalidCase` with all that was found."""
        if self.found:
            raise InvalidCase(self.found)


def escaped(name: str) -> str:
    """A name as a token of a JSON pointer (RFC 6901, section 3)."""
    return name.replace("~", "~0").replace("/", "~1")


class Vocabulary:
    """The ids of a family, ready to be looked up: made once, for every case asks for them.

    Attributes
    ----------
    family : Family
    tests : mapping of str to Test
    states : mapping of str to State
    of_supply : list of Test
        Those that measure the supply voltage.
    gauges : Gauges
    """

    def __init__(self, family: Family) -> None:
        self.family = family
        self.tests = {test.id: test for test in family.tests}
        self.states = {state.id: state for state in family.states}
        self.of_supply = [test for test in family.tests if test.measures == "supply_voltage"]
        self.gauges = Gauges(self.tests, self.states)
        self._options = {option.id: [value.id for value in option.values] for option in family.options}
        skills = [*(test.skill for test in family.tests), *(repair.skill for repair in family.repairs)]
        known: Mapping[str, Iterable[str]] = {
            "complaint": [complaint.id for complaint in family.complaints],
            "function": [function.id for function in family.functions],
            "repair": [repair.id for repair in family.repairs],
            "test": self.tests,
            "part": [part.id for part in family.parts],
            "tool": sorted({test.instrument for test in family.tests if test.instrument is not None}),
            "skill": sorted({skill for skill in skills if skill is not None}),
        }
        # Dictionaries keep the order, for refusals, and find a name at once.
        self._known = {kind: dict.fromkeys(names) for kind, names in known.items()}

    def check(self, case: Case, faults: Faults) -> None:
        """Note every id in a case, outside its readings, that the family does not have."""
        self._check_options(case.options, faults)
        for kind, pointer, name in _named(case):
            if name not in self._known[kind]:
                faults.unknown(pointer, kind, name, self._known[kind], list_them=kind in _SHORT_LISTS)
        if case.repairs_done or any(reading.after_repair is not None for reading in case.readings):
            _check_after_repairs(case, self._known["repair"], faults)

    def _check_options(self, given: Mapping[str, str], faults: Faults) -> None:
        for option, value in given.items():
            values = self._options.get(option)
            if values is None:
                faults.unknown(f"/options/{escaped(option)}", "option", option, self._options)
            elif value not in values:
                faults.unknown(f"/options/{escaped(option)}", "option_value", value, values, list_them=True)


def _check_after_repairs(case: Case, known: Collection[str], faults: Faults) -> None:
    """A reading is taken after one of the repairs that were done."""
    done = [repair.repair for repair in case.repairs_done]
    for i, reading in enumerate(case.readings):
        pointer, name = f"/readings/{i}/after_repair", reading.after_repair
        if name is None or name in done:
            continue
        if name not in known:
            faults.unknown(pointer, "repair", name, known)
        else:
            told = f"it has {', '.join(done)}" if done else "it is empty"
            faults.add(pointer, f"repair {name!r} is not among 'repairs_done'; {told}", "repair_not_done")


def _named(case: Case) -> Iterator[tuple[str, str, str]]:
    """Kind, pointer and name of every id that a case gives."""
    for i, name in enumerate(case.complaints):
        yield "complaint", f"/complaints/{i}", name
    for i, name in enumerate(case.working):
        yield "function", f"/working/{i}", name
    for i, done in enumerate(case.repairs_done):
        yield "repair", f"/repairs_done/{i}/repair", done.repair
    for name in case.tech_sheet:
        yield "test", f"/tech_sheet/{escaped(name)}", name
    for name in case.costs.parts:
        yield "part", f"/costs/parts/{escaped(name)}", name
    visit = case.visit
    if visit.tools is visit.skills is visit.parts_on_hand is None:
        return
    yield from (("tool", f"/visit/tools/{i}", name) for i, name in enumerate(visit.tools or ()))
    yield from (("skill", f"/visit/skills/{i}", name) for i, name in enumerate(visit.skills or ()))
    yield from (("part", f"/visit/parts_on_hand/{i}", name) for i, name in enumerate(visit.parts_on_hand or ()))
