"""The pack's own hooks, called on a sound reading of every test, in the likeliest builds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from probewright.engine import check_readings, score_readings
from probewright.errors import PackError, ProbewrightError
from probewright.packs.model import Test
from probewright.packs.registry import LoadedPack
from probewright.quantities.units import convert
from probewright.review.catalogue import remark
from probewright.review.remark import Remark
from probewright.review.subject import BuildView, Subject
from probewright.settings import Settings
from probewright_schemas.records import Case, Conditions, Quantity, Reading

#: Builds whose readings are tried, the likeliest first.
_MOST_BUILDS = 4
#: degC: conditions of the sample readings.
_ROOM, _SET = 21.0, 175.0


def hooks(subject: Subject, pack: LoadedPack, settings: Settings) -> Iterator[Remark]:
    """A finding for each hook that fails, with the first reading on which it does."""
    asked: list[tuple[str, LoadedPack, Callable[[Case, LoadedPack, Settings], object]]] = []
    if pack.validators is not None:
        asked.append(("probewright_validate", replace(pack, scorer=None), check_readings))
    if pack.scorer is not None:
        asked.append(("probewright_score", replace(pack, validators=None), score_readings))
    for name, alone, ask in asked:
        for build in subject.builds[:_MOST_BUILDS]:
            failed = next(_failures(alone, build, settings, ask), None)
            if failed is not None:
                yield remark("hook_fails", f"hook {name}", failed)
                break


def _failures(
    pack: LoadedPack, build: BuildView, settings: Settings, ask: Callable[[Case, LoadedPack, Settings], object],
) -> Iterator[str]:  # fmt: skip
    for test in build.compiled.tests.values():
        try:
            ask(sample(pack, build, test), pack, settings)
        except PackError as error:
            yield f"on a sound reading of test {test.id}: {error}"
        except ProbewrightError:
            continue  # the sample does not fit the rules of cases, which is no matter of the hook


def sample(pack: LoadedPack, build: BuildView, test: Test) -> Case:
    """A case with one reading of a test, as a sound appliance shows it under usual conditions."""
    reading = Reading(test.id, seen=test.outcomes[0]) if test.outcomes else _measured(build, test)
    conditions = Conditions(
        supply_voltage=Quantity(float(pack.family.supply.nominal), "V"), ambient=Quantity(_ROOM, "degC"),
        set_point=Quantity(_SET, "degC"),
    )  # fmt: skip
    return Case(pack.family.id, options=dict(build.options), readings=(reading,), conditions=conditions)


def _measured(build: BuildView, test: Test) -> Reading:
    axis, _ = build.tables.axis(test, supply_known=True)
    value = float(np.median(axis.values[0]))
    if any(getattr(model, "relative_to", None) == "set_point" for model in test.models):
        value += convert(_SET, "degC", str(test.unit), "temperature")
    return Reading(test.id, value=min(value, axis.over), unit=test.unit)


