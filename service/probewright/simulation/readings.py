"""What a technician reads or sees on a hidden appliance."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from probewright.figures import common_practice
from probewright.inference.compiled import UNKNOWN_LEAVES_READING
from probewright.inference.numeric import FLOOR, MISREAD_OVER, MISREAD_RANGE, MISREAD_UNDER
from probewright.packs.model import Stated, Table, Test
from probewright.quantities.instruments import Instrument, resolve
from probewright.quantities.units import dimension_of_kind, unit_of
from probewright.simulation.world import Job, World, Wrong
from probewright_schemas.records import Conditions, Meter, Quantity, Reading

#: degC to which an oven or a chamber is set for a test: 350 degF.
SET_POINT = common_practice(176.7)
#: The meter for voltages that are read again, by the name that readings give it.
LOADING = "loading"
METERS = {LOADING: Meter("multimeter", input="low_impedance")}
#: Significant digits that a number is written down with.
_DIGITS = 9


@dataclass(frozen=True, slots=True)
class Tool:
    """A meter of somebody's own, by the name that readings give it: it shows ``gain`` times what is there, always."""

    name: str
    meter: Meter
    gain: float


@dataclass(frozen=True, slots=True)
class Taking:
    """One reading to take: of which test, for the how many-th time on this job, in which state, after which repair.

    ``repairs`` is how many repairs were made before, ``fitted`` how many of them brought new parts.  ``solved`` when
    the complaint is gone: what is looked at then is tried anew each time.
    """

    test: Test
    time: int
    state: str | None = None
    after_repair: str | None = None
    repairs: int = 0
    fitted: int = 0
    solved: bool = False

    @property
    def loading(self) -> bool:
        """Whether a voltage is read with a low-impedance input: whoever reads it again makes sure of it."""
        return self.time > 0 and self.test.kind == "voltage"


def take(world: World, job: Job, wrong: Wrong, taking: Taking, tool: Tool | None = None) -> Reading:
    """Take a reading with the usual meter, or another like it; now and then it is misread."""
    test, luck = taking.test, job.luck
    conditions, misread = _conditions(job, taking), misreads(world, job, taking)
    own = tool.name if tool is not None else None
    meter = LOADING if taking.loading else own
    blank = Reading(test.id, state=taking.state, conditions=conditions, after_repair=taking.after_repair, meter=meter)
    if test.outcomes:
        count = len(test.outcomes)
        place = luck.below(count, "misseen", test.id, taking.time) if misread else seen(world, job, wrong, taking)
        return _with(blank, seen=test.outcomes[place])
    if misread:
        return _misread(blank, job, taking)
    return _displayed(blank, job, taking, value(world, job, wrong, test, taking), tool)


def misreads(world: World, job: Job, taking: Taking) -> bool:
    """Whether a reading is misread."""
    return job.luck.uniform("misread", taking.test.id, taking.time) < world.misread


def _with(blank: Reading, **result: object) -> Reading:
    return replace(blank, **result)  # type: ignore[arg-type]  # of fields of a reading


def _conditions(job: Job, taking: Taking) -> Conditions | None:
    """What is noted with a reading: what it needs, unless it is forgotten the first time."""
    needs = set(taking.test.needs) - (job.forgets if not taking.time else frozenset())
    ambient = Quantity(round(job.ambient, 1), "degC") if "ambient" in needs else None
    set_point = Quantity(float(SET_POINT), "degC") if "set_point" in needs else None
    return Conditions(ambient, None, set_point) if ambient or set_point else None


def seen(world: World, job: Job, wrong: Wrong, taking: Taking) -> int:
    """The outcome that is there to be seen: the same each time until something is repaired.

    What shows that a job is finished is put right and seen anew each time.
    """
    test = taking.test
    look = taking.time if test.closing or taking.solved else 0
    compiled, meter = world.compiled(job.options), resolve(None, test.kind)
    beeper = (meter.beeper_threshold, meter.lead_offset, meter.maximum_resistance)
    situation = world.situation(job, wrong, test, float(SET_POINT))
    chances = compiled.chances(test.id, situation, beeper)[world.place(job.options, wrong)]
    return job.luck.pick(chances.tolist(), "seen", test.id, taking.repairs, look)


def value(world: World, job: Job, wrong: Wrong, test: Test, taking: Taking | None = None) -> float | None:
    """The true value of a measured test, in its unit; None where something unknown makes it anything.

    New parts have tolerances of their own.  The first reading is taken when none is named.
    """
    taking = Taking(test, 0) if taking is None else taking
    compiled, meter = world.compiled(job.options), resolve(METERS[LOADING] if taking.loading else None, test.kind)
    if wrong.unknown and job.luck.uniform("disturbed", test.id) >= UNKNOWN_LEAVES_READING:
        return None
    situation = world.situation(job, wrong, test, float(SET_POINT))
    predictor = compiled.numeric(test.id)
    if test.measures == "supply_voltage" or predictor.model.about_the_supply:
        situation = situation._replace(supply=None)
    predicted = predictor.predict(situation, meter.input_impedance, meter.maximum_resistance)
    row = 0 if wrong.unknown else int(compiled.index(test.id)[world.place(job.options, wrong)])
    model = compiled.model(test)
    named = test.id if isinstance(model, Stated | Table) else model.circuit
    return float(predicted.values[row, world.sample(job, named, taking.fitted)]) * predicted.scale


def _misread(blank: Reading, job: Job, taking: Taking) -> Reading:
    """A mistake, as the engine's model of mistakes has it: over range, under range, or any ratio of the kind's range.

    Where a number is all that a display can show, it is one.
    """
    u, kind = job.luck.uniform("mistake", taking.test.id, taking.time), taking.test.kind
    if u < MISREAD_OVER and kind == "resistance":
        return _with(blank, over_range=True)
    if MISREAD_OVER <= u < MISREAD_OVER + MISREAD_UNDER and kind == "resistance":
        return _with(blank, under_range=True)
    least, most = MISREAD_RANGE[kind]
    ratio = job.luck.uniform("mistyped", taking.test.id, taking.time)
    return _with(blank, value=_short(float(least) * float(most / least) ** ratio), unit=taking.test.unit)


def _displayed(blank: Reading, job: Job, taking: Taking, true: float | None, tool: Tool | None) -> Reading:
    """What a meter's display shows of a true value (in the test's unit)."""
    test, luck = taking.test, job.luck
    if true is None:
        least, most = MISREAD_RANGE[test.kind]
        true = float(least) * float(most / least) ** luck.uniform("anything", test.id)
    own = None if tool is None or taking.loading else tool
    meter = resolve(None if own is None else own.meter, test.kind)
    entry = unit_of(str(test.unit), dimension_of_kind(test.kind))
    leads = meter.lead_offset if test.kind == "resistance" else 0.0
    stray = float(FLOOR[test.kind]) * luck.normal("stray", test.id, taking.time)
    shown = (true + stray) * entry.factor + entry.offset + leads
    if test.kind == "resistance" and shown > meter.maximum_resistance:
        return _with(blank, over_range=True)
    if own is None:
        shown += meter.standard_uncertainty(shown) * luck.normal("meter", test.id)
    else:
        # Anywhere among the counts that the data sheet allows, each time anew.
        counts = meter.counts * (2.0 * luck.uniform("counts", test.id, taking.time) - 1.0)
        shown = shown * own.gain + counts * meter.resolution_at(shown)
    if test.kind not in ("temperature", "pressure"):
        shown = max(shown, 0.0)
    return _with(blank, value=_short((_rounded(meter, shown) - entry.offset) / entry.factor), unit=test.unit)


def _rounded(meter: Instrument, shown: float) -> float:
    step = meter.resolution_at(shown)
    return round(shown / step) * step if step > 0 else shown


def _short(number: float) -> float:
    return float(np.format_float_scientific(number, _DIGITS - 1)) if number else 0.0
