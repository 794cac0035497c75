"""The sentences, word for word; meters, digests and numbers are invented."""

from __future__ import annotations

import pytest

from probewright.batch.reasons import Cause, why_changed, why_new, why_unchanged
from probewright_schemas.batch_records import Change, CorrectedReading, Held
from probewright_schemas.records import PackIdentity

TITLES = {
    "test:igniter_current": "Current of the igniter", "test:glow": "Glow of the igniter",
    "fault:igniter_weak": "Igniter too weak", "fault:no_fault": "nothing wrong", "fault:unknown": "something unknown",
    "hazard:carbon_monoxide": "Carbon monoxide over the limit", "hazard:gas_escape": "Gas may be escaping",
    "part:igniter": "Igniter with its bracket", "repair:replace_igniter": "Replace the igniter",
}  # fmt: skip
OLD, NEW = PackIdentity("oven", "1.0.0", "sha256:0a0b0c0d0e0f"), PackIdentity("oven", "1.1.0", "sha256:5d5e5f606162")
READ = CorrectedReading(0, "igniter_current", "clamp-07", 2.45, 2.6068, "A")
OTHER = CorrectedReading(2, "igniter_current", "clamp-02", 3.0, 3.01, "A")
CORRECTED, LIMITED = Cause((READ,), (), OLD, OLD), Cause((), ("igniter_current",), OLD, OLD)
PACK, NOTHING = Cause((), (), OLD, NEW), Cause((), (), OLD, OLD)
OUTSIDE = Change("verdict", "igniter_current", 0, "within", "outside", 0.97, 0.02)
DIM = Change("verdict", "glow", 1, "within", "rejected")
LEADS = Change("leading_fault", None, None, "no_fault", "igniter_weak", 0.674, 0.9612)
ALL = ("the verdicts", "the leading fault", "the next step")


@pytest.mark.parametrize(("cause", "changes", "sentence"), [
    (CORRECTED, [OUTSIDE],
     "With clamp-07 corrected: current of the igniter reads 2.607 A in place of 2.45 A and is now outside (it was "
     "within)."),
    (CORRECTED, [LEADS, OUTSIDE],
     "With clamp-07 corrected: current of the igniter reads 2.607 A in place of 2.45 A and is now outside (it was "
     "within); igniter too weak now leads with 96 % (before: nothing wrong with 67 %)."),
    (CORRECTED, [DIM],
     "With clamp-07 corrected: current of the igniter reads 2.607 A in place of 2.45 A; glow of the igniter is now "
     "rejected (it was within)."),
    (CORRECTED, [LEADS],
     "With clamp-07 corrected: current of the igniter reads 2.607 A in place of 2.45 A; igniter too weak now leads "
     "with 96 % (before: nothing wrong with 67 %)."),
    (Cause((OTHER, READ), (), OLD, OLD), [OUTSIDE],
     "With clamp-02 and clamp-07 corrected (2 readings): current of the igniter reads 2.607 A in place of 2.45 A and "
     "is now outside (it was within)."),
    (LIMITED, [OUTSIDE],
     "With other limits of current of the igniter: it is now outside (it was within)."),
    (LIMITED, [DIM, OUTSIDE],
     "With other limits of current of the igniter: it is now outside (it was within)."),
    (Cause((READ,), ("igniter_current",), OLD, NEW), [OUTSIDE],
     "With pack 1.1.0 (5d5e5f60) in place of 1.0.0 (0a0b0c0d), clamp-07 corrected and other limits of current of the "
     "igniter: current of the igniter reads 2.607 A in place of 2.45 A and is now outside (it was within)."),
    (PACK, [Change("next_step", before="test:glow", after="repair:replace_igniter")],
     "With pack 1.1.0 (5d5e5f60) in place of 1.0.0 (0a0b0c0d): the next step is now repair (replace the igniter) "
     "(before: test (glow of the igniter))."),
    (Cause((), (), OLD, OLD, ("none", "quick")), [Change("next_step", before="refer:hand_over", after="done:job_done")],
     "With effort quick in place of none: the next step is now done (job done) (before: refer (hand over))."),
    (CORRECTED, [Change("hazard_shows", "carbon_monoxide", after="carbon_monoxide"), LEADS, OUTSIDE],
     "With clamp-07 corrected: current of the igniter reads 2.607 A in place of 2.45 A and is now outside (it was "
     "within); a hazard now shows: carbon monoxide over the limit."),
    (PACK, [Change("hazard_shows", "gas_escape", before="carbon_monoxide", after="gas_escape")],
     "With pack 1.1.0 (5d5e5f60) in place of 1.0.0 (0a0b0c0d): a hazard now shows: gas may be escaping (before: carbon "
     "monoxide over the limit)."),
    (LIMITED, [Change("hazard_gone", "carbon_monoxide", before="carbon_monoxide")],
     "With other limits of current of the igniter: a hazard shows no longer, which a fresh reading must bear out "
     "before anybody relies on it: carbon monoxide over the limit."),
    (PACK, [Change("swapped_part_good", "igniter", None, None, "replace_igniter", None, 0.0123)],
     "With pack 1.1.0 (5d5e5f60) in place of 1.0.0 (0a0b0c0d): the igniter with its bracket that was taken out was "
     "probably good: bad with 1 % by what is known now."),
    (CORRECTED, [Change("swapped_part_good", "igniter", None, None, "replace_igniter", 0.93, 0.0004), OUTSIDE],
     "With clamp-07 corrected: current of the igniter reads 2.607 A in place of 2.45 A and is now outside (it was "
     "within); the igniter with its bracket that was taken out was probably good: bad with 0.04 % by what is known now "
     "(before: 93 %)."),
    (PACK, [Change("not_computed", "readings")],
     "With pack 1.1.0 (5d5e5f60) in place of 1.0.0 (0a0b0c0d): the earlier answer is about other readings than the "
     "case has, so verdicts cannot be compared."),
    (NOTHING, [Change("not_computed", "answer")],
     "With the case, the service or its settings as they are now: the earlier answer tells nothing that could be "
     "compared."),
])  # fmt: skip
def test_what_changed_is_one_sentence(cause, changes, sentence):
    assert why_changed(cause, changes, TITLES) == sentence


@pytest.mark.parametrize(("cause", "shift", "compared", "sentence"), [
    (CORRECTED, 0.1575, ALL,
     "With clamp-07 corrected: current of the igniter reads 2.607 A in place of 2.45 A; the verdicts, the leading "
     "fault and the next step stay, and probabilities move by 16 percentage points at most."),
    (CORRECTED, 0.0004, ALL[:2],
     "With clamp-07 corrected: current of the igniter reads 2.607 A in place of 2.45 A; the verdicts, the leading "
     "fault and the probabilities stay as they were."),
    (LIMITED, 0.0086, ("the leading fault",),
     "With other limits of current of the igniter: the leading fault stays, and probabilities move by 0.86 percentage "
     "points at most."),
    (PACK, None, ("the verdicts",),
     "With pack 1.1.0 (5d5e5f60) in place of 1.0.0 (0a0b0c0d): the verdicts stay as they were."),
    (Cause((), (), OLD, OLD, nothing=True), 0.0, ALL,
     "Worked out again, though nothing is different: the verdicts, the leading fault, the next step and the "
     "probabilities stay as they were."),
])  # fmt: skip
def test_what_stays_is_one_sentence(cause, shift, compared, sentence):
    assert why_unchanged(cause, shift, compared, TITLES) == sentence


def test_a_first_answer_is_one_sentence():
    leads = Held("igniter_weak", 0.995)
    assert why_new(leads, (), TITLES) == "There was no earlier answer: igniter too weak leads with 99.5 %."
    hazard = (Change("hazard_shows", "gas_escape", after="gas_escape"),)
    assert why_new(leads, hazard, TITLES) == (
        "There was no earlier answer: a hazard now shows: gas may be escaping; igniter too weak leads with 99.5 %."
    )
