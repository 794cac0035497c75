"""The flow's geometry: every job is drawn once on each side, and nothing overlaps."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from operator import attrgetter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.batch.report.flow_layout import MOST_FAULTS, OTHERS, layout

SOME = settings(max_examples=80, deadline=None, derandomize=True)
faults = st.integers(0, 40).map("fault_{}".format)
counts = st.dictionaries(st.tuples(faults, faults), st.integers(1, 3000), min_size=1, max_size=60)


@SOME
@given(counts)
def test_every_job_is_drawn_once_on_each_side(told):
    found = layout(told)
    total = sum(told.values())
    assert sum(node.jobs for node in found.left) == sum(node.jobs for node in found.right) == total
    assert sum(band.flow.jobs for band in found.bands) == total
    moved = sum(jobs for (before, after), jobs in told.items() if before != after)
    assert sum(band.flow.jobs for band in found.bands if band.flow.moves) == moved


@SOME
@given(counts)
def test_a_fault_that_is_drawn_by_itself_has_all_its_jobs(told):
    found = layout(told)
    for side, place in ((found.left, 0), (found.right, 1)):
        led = Counter()
        for pair, jobs in told.items():
            led[pair[place]] += jobs
        for node in side:
            if node.fault != OTHERS:
                assert node.jobs == led[node.fault]


@SOME
@given(counts)
def test_bands_fill_their_faults_without_a_gap(told):
    found = layout(told)
    for side, edge, end in ((found.left, "left", "before"), (found.right, "right", "after")):
        for node in side:
            bands = [band for band in found.bands if getattr(band.flow, end) == node.fault]
            assert bands
            bands.sort(key=attrgetter(edge))
            place = node.top
            for band in bands:
                assert getattr(band, edge) == pytest.approx(place, abs=1e-6)
                place += band.height
            assert place == pytest.approx(node.top + node.height, abs=1e-6)


@SOME
@given(counts)
def test_names_have_room(told):
    found = layout(told)
    for side in (found.left, found.right):
        assert len(side) <= MOST_FAULTS
        for one, other in pairwise(side):
            # Letters are 12 high and stand where their fault does.
            assert other.top - one.top >= 17
            assert other.top >= one.top + one.height
        assert side[-1].top + side[-1].height <= found.height


@SOME
@given(counts)
def test_what_moved_is_seen_beside_much_that_stayed(told):
    found = layout({**told, ("a", "a"): 1_000_000, ("a", "b"): 1})
    moved = sum(band.height for band in found.bands if band.flow.moves)
    assert moved >= 0.39 * sum(band.height for band in found.bands) or moved >= 24
    one = {band.height / band.flow.jobs for band in found.bands if band.flow.moves}
    still = {band.height / band.flow.jobs for band in found.bands if not band.flow.moves}
    assert min(one) == pytest.approx(max(one)) == pytest.approx(max(still) * found.thinner)


def test_few_faults_are_drawn_at_the_same_scale():
    found = layout({("a", "b"): 6, ("a", "a"): 3, ("b", "b"): 1})
    assert found.thinner == 1
    assert [(node.fault, node.jobs) for node in found.left] == [("a", 9), ("b", 1)]
    assert [(node.fault, node.jobs) for node in found.right] == [("a", 3), ("b", 7)]
    assert {band.height / band.flow.jobs for band in found.bands} == {24.0}


def test_the_faults_with_the_fewest_moves_are_put_together():
    told = {(f"f{i}", f"f{i}"): 1000 for i in range(30)} | {("f0", f"f{i}"): i for i in range(1, 30)}
    found = layout(told)
    assert found.bundled == 30 - (MOST_FAULTS - 1)
    assert {node.fault for node in found.right} == {"f0", OTHERS} | {f"f{i}" for i in range(18, 30)}
    assert found.right[-1].fault == OTHERS
