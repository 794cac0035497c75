"""Every rule of the review: what it finds, why that matters, and how it is mended.

Ids are stable: packs name them in ``accepted``, and scripts read them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from probewright.review.remark import Remark, Severity


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: ``finds`` and ``why`` are clauses without a full stop, ``mend`` is the hint that a finding gives."""

    id: str
    severity: Severity
    finds: str
    why: str
    mend: str


def _error(id_: str, finds: str, why: str, mend: str) -> Rule:
    return Rule(id_, "error", finds, why, mend)


def _warning(id_: str, finds: str, why: str, mend: str) -> Rule:
    return Rule(id_, "warning", finds, why, mend)


def _note(id_: str, finds: str, why: str, mend: str) -> Rule:
    return Rule(id_, "note", finds, why, mend)


#: What keeps a pack from being loaded; told by :mod:`probewright.packs.check` and the loader.
_LOADING = (
    _error("cannot_be_loaded", "a pack that the loader refuses for another reason than its records",
           "the service goes on without it", "Mend what the message names; `probewright packs` tells it too."),
    _error("broken_reference", "an id, value, node, outcome or command that is named but does not exist",
           "nothing can be worked out from it", "Write the id as its record has it, or add the record."),
    _error("bad_id", "an id that is not written in snake_case", "clients store ids and compare them",
           "Write it in small letters, digits and single underscores, a letter first."),
    _error("duplicate_id", "two records of one kind with one id", "nobody could tell which is meant",
           "Give one of them another id, or conditions under which no build has both."),
    _error("wrong_type", "a field that holds something else than its record asks for",
           "Python does not complain, but everything later would",
           "Look at the record's docstring; a tuple of one ends in a comma."),
    _error("no_basis", "a plain number where a figure is asked for",
           "every number says where it comes from",
           "Wrap it in published(), common_practice(), from_memory() or, in a demo, invented()."),
    _error("not_a_probability", "a probability outside its range", "nothing can be inferred from it",
           "Give a number from 0 to 1; rates lie strictly between."),
    _error("does_not_add_up", "shares of an option, or outcomes of a row, that do not add up to 1",
           "one of them always holds", "Mend the row: what is left over belongs to one of its entries."),
    _error("number_out_of_range", "a number that is negative, or not positive, where that cannot be",
           "no part, time or cost is less than nothing", "Give a number, or a spread, that stays in its range."),
    _error("wrong_unit", "a unit that is unknown, or of another dimension than the kind of the test",
           "a temperature cannot be read in ohm", "Give a unit of the test's kind, or mend the kind."),
    _error("live_without_cautions", "a state or a measurement under power or with gas that has no cautions",
           "somebody is sent there with bare hands", "Say what to mind, for somebody with a meter in the hand."),
    _error("does_not_hold", "any other rule of the records that is broken",
           "the model contradicts itself", "Mend the record as the message says."),
)  # fmt: skip

#: What only shows when the model is compiled and its hooks are called.
_COMPILING = (
    _error("cannot_be_compiled", "a law or a circuit that fails when it is solved",
           "no case of a build with it can be answered",
           "Solve it by hand for one case; two sources across each other, say, have no solution."),
    _error("not_a_number", "a prediction that is not a finite number",
           "readings cannot be compared with it",
           "Look at the law or the spread behind it, for a root or a logarithm of less than nothing."),
    _error("hook_fails", "a hook of the pack that raises or returns what it must not",
           "every case with such a reading fails", "Mend the hook; its docstring in probewright.packs says what it "
           "is given and gives."),
    _error("cannot_be_simulated", "simulated jobs that the pack cannot answer, or that nobody would complain of",
           "real jobs would fail in the same way", "Mend what the message names; a complaint that hardly any fault "
           "brings about has chances that are too small."),
)  # fmt: skip

_NUMBERS = (
    _note("weak_basis", "how many figures are from memory or invented, by kind of record",
          "a result rests on the weakest number that it was made of",
          "Replace those first that the answers depend on: rates of common faults, limits, prices."),
    _warning("invented_figure", "an invented figure in a family that is no demo",
             "somebody will decide by it", "Find where it comes from, or say from_memory(); demos set demo=True."),
    _warning("source_says_nothing", "a published or derived figure whose source names nothing",
             "nobody can look it up", "Name publication, edition and place; or give the figure a weaker basis."),
    _warning("implausible_number", "a number that no appliance has in its unit",
             "most often it is given in another unit: milliamperes, microfarads, degrees Fahrenheit",
             "Convert it to the unit that the field asks for, which its docstring names."),
    _warning("limits_miss_the_model", "limits that most sound readings break",
             "every sound appliance would be judged faulty; often they are in another unit",
             "Give limits in the test's own unit, and compare them with what the model says is healthy."),
    _warning("hazard_always_raised", "a hazard's limit that sound readings exceed, or an outcome that a sound "
             "appliance mostly shows", "every job would stop there",
             "Give the limit in the test's own unit, or name the outcome that is dangerous."),
    _warning("closing_check_never_passes", "a closing check that a sound appliance mostly fails",
             "no job could be closed", "Give limits in the test's unit, or name all outcomes that pass."),
)  # fmt: skip

_SAFETY = (
    _warning("work_without_cautions", "a test or repair done with power or gas where something is opened or lit, "
             "that has no cautions of its own", "the state's cautions cannot know what is bare or hot there",
             "Say what to mind during this very work."),
    _warning("state_without_steps", "a state with power or gas and no steps to get there",
             "nobody knows in which order power and gas come back", "Say how to get there, the safe order first."),
    _note("work_without_steps", "a measured test or a repair without steps",
             "two technicians will do it in two ways", "Say where the probes go, or what is undone, in a step or two."),
    _warning("opening_without_steps", "a zone that takes minutes to open and does not say how",
             "it is opened where it should not be", "Say what is taken off, and what must not be strained."),
    _warning("hazardous_repair_without_closing_checks", "a repair that is done with power or gas, takes a skill, or "
             "cures what raises a hazard, and names no closing checks",
             "nobody proves that the appliance is left safe", "Name the checks that prove it; add a Closing."),
    _warning("hazard_never_clears", "a hazard raised by a complaint, with nothing that clears it",
             "the job can never go on, whatever is shown", "Name tests and outcomes in cleared_by, or accept it: "
             "some jobs must stop."),
    _warning("family_without_cautions", "a family without cautions", "they stand in every answer",
             "Say what holds throughout: power off, what is heavy, local codes."),
    _warning("blank_text", "a title, step, caution or reason that is blank", "it is printed as it stands",
             "Fill it in, or leave it out."),
)  # fmt: skip

_CHANCES = (
    _warning("rates_add_up", "fault rates that add up to more than 1",
             "a call would be made for more than one fault on average",
             "Rates are shares of the calls: scale them, so that they add up to no more than 1."),
    _warning("zero_chance", "a chance or share of exactly 0", "it says nothing, and takes a place where something may",
             "Leave it out, or give the small chance that it has."),
    _warning("same_as_healthy", "a row for a fault that equals the healthy one",
             "it says that the test cannot see the fault, which leaving it out says too",
             "Give what the fault changes, or leave the row out."),
    _warning("healthy_outcome_unlikely", "a test whose first outcome is not the likeliest when nothing is wrong",
             "the first outcome counts as the healthy one",
             "Put the healthy outcome first, then the others from mild to severe."),
    _warning("outcome_never_shown", "an outcome that no row of its test gives any chance",
             "a reading of it could only be a mistake", "Give it its chance under some fault, or leave it out."),
)  # fmt: skip

_REVEALING = (
    _warning("hidden_fault", "a fault that no complaint and no test reveals", "it can never be found",
             "Say what it changes: a circuit, a row of a test, fails_with of a function, shown_by of a complaint."),
    _warning("fault_no_test_shows", "a fault that complaints point to and no test shows",
             "it is repaired on suspicion", "Add a test that shows it, if only a look."),
    _note("fault_no_complaint_shows", "a fault that tests show and no complaint is made for",
          "it is found by chance only", "Say what a customer would notice, if anything."),
    _warning("fault_without_repair", "a fault that no repair cures", "the job can only be handed over",
             "Add a repair that cures it, if only the one that replaces the part."),
    _note("fault_handed_over", "a fault that no repair cures, and that raises a hazard",
          "the job is handed over there", "Add a repair if the shop may do it."),
    _warning("complaint_nothing_explains", "a complaint that no fault makes likelier",
             "it says nothing, whatever the customer says",
             "Give it faults in shown_by, or a function that faults defeat."),
    _warning("faults_alike", "faults that different repairs cure and no test tells apart",
             "a good part is swapped in every other job", "Add a test that shows one and not the other."),
    _note("faults_alike_in_rare_builds", "faults that no test tells apart in builds that are rare",
          "the few jobs on such builds swap good parts", "Add a test that shows one and not the other."),
    _warning("test_decides_nothing", "a test that shows the same whatever repair is needed",
             "no result of it can change what is done", "Model what it shows under faults, or leave it out."),
)  # fmt: skip

_WIRING = (
    _warning("part_in_no_loop", "a part that no current can flow through under any command, and no test reads across",
             "it changes nothing", "Join its free end, or leave it out; an open switch may lack its command."),
    _warning("nodes_not_connected", "a test between two nodes that nothing joins, under any command or fault",
             "it reads the same for ever", "Mend the names of its nodes, or join them."),
    _warning("source_shorted", "a source that a sound circuit shorts under some command",
             "no fuse would hold", "Look for a load that is missing, or a switch that bridges it."),
    _warning("switch_never_closes", "a switch that no command closes and no fault sticks closed",
             "what is behind it is dead for ever", "Give it commands in closed_in, or leave it out."),
    _warning("change_of_nothing", "a change to a part that no build with the fault has, or that never conducts",
             "the fault changes nothing there", "Name the part that the build has, or restrict the fault."),
    _note("change_nobody_reads", "a change that no test and no function can notice",
          "the fault is invisible in this circuit", "Add a test across what it changes, or leave the change out."),
    _note("nothing_at_off", "a voltage or current that a sound appliance does not have, for its control is off",
          "a test without a command is done with the control at off, and shows then only what should not be there",
          "Say under which command it is done, unless it looks for what flows all the same."),
    _warning("command_no_switch_knows", "a test that sets a command which no switch of its circuit knows",
             "the circuit stands as if everything were off", "Mend the command, or add it to closed_in of a switch."),
    _warning("circuit_unused", "a circuit that no test and no function reads", "it is solved for nothing",
             "Read it with a test or a requirement, or leave it out."),
)  # fmt: skip

_WORDING = (
    _warning("same_title", "two records of one kind with one title, that one build may have",
             "people cannot tell them apart", "Say in the title what differs."),
    _warning("same_question", "two questions with one text", "the customer is asked twice",
             "Ask once, with the answers of both, or say what differs."),
    _warning("nearly_same_wording", "two texts that differ by a letter, a comma or a small word",
             "one of them was mended and the other forgotten", "Write it once, and use it in both places."),
    _note("nearly_same_id", "two ids of one kind that differ by one letter", "one is typed for the other",
          "If one of them is a slip, mend it before anybody stores it."),
    _note("title_style", "titles that begin with a small letter or end in a full stop, where most do not",
          "they stand in lists beside each other", "Begin with a capital and end without a full stop."),
)  # fmt: skip

_UNUSED = (
    _warning("option_unused", "an option that nothing depends on", "it is asked and changes nothing",
             "Condition what differs on it (when), or leave it out."),
    _warning("in_no_build", "a record, or a part of one, whose condition no build satisfies",
             "no appliance ever has it",
             "Look at the options that its condition names, and whether they apply together."),
    _note("values_alike", "two values of an option between which nothing differs",
          "telling them apart changes nothing", "Say what differs, or make them one value."),
    _warning("state_unused", "a state in which nothing is done", "nobody ever goes there",
             "Use it in a test or a repair, or leave it out."),
    _warning("zone_unused", "a zone in which nothing is done", "nobody ever opens it",
             "Use it in a test or a repair, or leave it out."),
    _warning("part_unused", "a part that no repair takes", "it is carried for nothing",
             "Name it in a repair, or leave it out."),
    _warning("closing_check_unused", "a closing check that no repair names", "it is never made",
             "Name it in closing_checks of the repairs that it proves."),
    _warning("accepted_matches_nothing", "an accepted finding that the review does not make",
             "what it excused is mended, or it never matched", "Copy rule and record from the review, or drop it."),
    _warning("accepted_without_reason", "an accepted finding without a reason",
             "the next author cannot judge it", "Say why it stands, in a sentence."),
)  # fmt: skip

#: Rule id to rule, in the order of subjects.
RULES: Mapping[str, Rule] = MappingProxyType({
    rule.id: rule
    for rules in (_LOADING, _COMPILING, _NUMBERS, _SAFETY, _CHANCES, _REVEALING, _WIRING, _WORDING, _UNUSED)
    for rule in rules
})


def remark(rule: str, record: str, message: str, hint: str = "") -> Remark:
    """A finding of a rule, with the rule's own hint unless there is a better one."""
    known = RULES[rule]
    return Remark(known.severity, rule, record, message, hint or known.mend)
