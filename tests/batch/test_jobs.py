"""Stored jobs as they are read from lines: the same whichever way they are read; all are invented."""

from __future__ import annotations

import json
import random

import pytest

from probewright import engine
from probewright.batch import jobs
from probewright.batch.jobs import ReadJob, load_job, read_case, read_job
from probewright.errors import InvalidCase
from probewright.intake import MalformedJsonError, load_case
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.simulation.sample import Sample, lines
from probewright_schemas.batch_records import EarlierAnswer, EarlierFault, StoredJob

SETTINGS = Settings()
PACKS = load_packs().packs
ANSWER = {"pack": {"family": "gas_range", "version": "1", "digest": "sha256:0"},
          "faults": [{"fault": "bake_igniter_weak", "probability": 1}], "unexplained": 0.5}  # fmt: skip
CASE = {"family": "gas_range", "complaints": ["bake_does_not_light"], "day": "2026-08-28",
        "readings": [{"test": "bake_igniter_current", "value": 3, "unit": "A", "day": "2026-08-29"}]}  # fmt: skip


def line(document, **more):
    return json.dumps(document, **more).encode()


@pytest.mark.parametrize("family", sorted(PACKS))
def test_what_is_read_at_once_is_what_the_document_says(family):
    pack = PACKS[family]
    drawn = list(lines(pack, SETTINGS, Sample(30, seed=random.Random(7).randint(1, 99), answers="full")))
    at_once = [read_job(text) for text in drawn]
    assert sum(isinstance(job, ReadJob) for job in at_once) == len(drawn)
    for text, job in zip(drawn, at_once, strict=True):
        stored = load_job(json.loads(text))
        assert engine.computation(job.told, pack, SETTINGS) == engine.computation(stored.case, pack, SETTINGS)
        assert job.case == stored.case
        assert job.answer.computation == stored.answer.computation
        assert repr(job.answer.faults) == repr(stored.answer.faults)
        assert job.answer.unexplained == stored.answer.unexplained


def test_a_day_is_a_day_and_a_whole_number_a_number():
    job, stored = read_job(line({"case": CASE, "answer": ANSWER})), load_job({"case": CASE, "answer": ANSWER})
    assert isinstance(job, ReadJob)
    assert job.case == stored.case
    assert job.case is job.case
    pack = PACKS["gas_range"]
    assert engine.computation(job.told, pack, SETTINGS) == engine.computation(stored.told, pack, SETTINGS)
    assert stored.answer == EarlierAnswer(
        stored.answer.pack, faults=(EarlierFault("bake_igniter_weak", 1.0),), unexplained=0.5
    )


@pytest.mark.parametrize("reference", ["Müller 12", 'a "quoted" name', "back\\slash"])
def test_what_is_not_plain_text_is_read_all_the_same(reference):
    document = {"case": {**CASE, "reference": reference}}
    for escaped in (True, False):
        job = read_job(line(document, ensure_ascii=escaped))
        assert isinstance(job, StoredJob)
        assert job.case.reference == reference
        assert read_case(line(document["case"], ensure_ascii=escaped)) == load_case(document["case"])


def test_what_is_wrong_is_told_as_ever():
    with pytest.raises(InvalidCase) as caught:
        read_job(line({"case": {**CASE, "complaint": []}}))
    assert [fault.pointer for fault in caught.value.faults] == ["/case/complaint"]
    with pytest.raises(InvalidCase) as caught:
        read_case(line({**CASE, "working": None}))
    assert [fault.pointer for fault in caught.value.faults] == ["/working"]
    with pytest.raises(MalformedJsonError):
        read_job(b'{"case": }')


def test_depth_is_refused_before_it_is_parsed(monkeypatch):
    deep = b'{"case": {"family": "gas_range"}, "more": ' + b"[" * 1001 + b"]" * 1001 + b"}"
    monkeypatch.setattr(jobs, "_JOBS", None)
    with pytest.raises(MalformedJsonError, match="1000 levels"):
        read_job(deep)
