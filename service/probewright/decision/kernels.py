"""The search itself, compiled: values of states under the policies that a decision is built from.

All compiled functions stand in this one module, for the compiler keeps them by the file they are in.  They take the
decision as a tuple of arrays (:class:`Arrays`) and working space (:class:`Space`), and speak of a *state* as

- ``w``: weights of the hypotheses, not normalised (every value is proportional to them, so no division is needed),
- ``opened``: the zones that are open, ``here``: the state of the appliance (S: nobody knows),
- ``tested``, ``repaired``: what has been done, a bit each, ``later``: whether another visit has been made already.

A *value* is three sums over the weights: money, minutes of this and further visits, and the weight of jobs that end at
this visit with the complaint gone.

No function is compiled with relaxed floating-point rules, so the same decision gives the same bits.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Flags = NDArray[np.bool_]
Value = tuple[float, float, float]

#: Weight below which an outcome is not followed.
NOTHING = 1e-14
#: Gain in nats under which a test tells nothing.
TELLS_NOTHING = 1e-3
_NEVER = 1e300


class Arrays(NamedTuple):
    """A decision for the compiler: as in :class:`~probewright.decision.problem.Decision`, and what follows from it.

    ``cured`` lists for each repair r, from ``cured_from[r]`` up to ``cured_from[r + 1]``, the hypotheses in which it
    changes something; ``chance`` is the probability that it cures the job there, ``to_one`` and ``to_other`` that it
    leaves one or the other of a pair.  ``touched`` lists the same way the repairs whose chances then change.
    ``group`` is the number of each repair's set of zones, ``group_zones`` those sets; the members of a group stand in
    ``member`` from ``member_from``.  ``repair_cost`` is what a repair costs from the running state, without opening,
    and ``per_cost`` one over it.
    ``least`` is the least money that a hypothesis costs if it is known.
    """

    pair: Index
    course: Index
    courses: int
    way_out: Array
    outcome: Array
    starts: Index
    test_minutes: Array
    test_extra: Array
    test_state: Index
    test_zones: Index
    repair_minutes: Array
    repair_extra: Array
    repair_state: Index
    repair_zones: Index
    repair_cost: Array
    per_cost: Array
    away: Flags
    zone_minutes: Array
    move: Array
    can_open: Flags
    safe: int
    running: int
    check_minutes: float
    rate: float
    cured_from: Index
    cured: Index
    chance: Array
    to_one: Array
    to_other: Array
    touched_from: Index
    touched: Index
    group: Index
    group_zones: Index
    member_from: Index
    member: Index
    least: Array


class Space(NamedTuple):
    """Working space: one row of weights for each level of the search, and what the sequence of repairs needs.

    ``at`` is each level's state (open zones, state, tests and repairs done, whether this is a later visit) and its step
    (test or -1, repair or -1, next outcome), ``sums`` its value so far and that of repairs alone.  ``tally`` holds the
    sequences that have been worked out, and the most there may be.
    """

    levels: Array
    at: Index
    sums: Array
    outcome: Array
    weights: Array
    chance: Array
    reach: Array
    pays: Flags
    ratio: Array
    first: Index
    stale: Flags
    used: Flags
    steps: Array
    shares: Array
    tally: Index


@njit(cache=True)
def way(p, here, opened, target, zones):  # type: ignore[no-untyped-def]
    """Minutes of the way to a step, and the state in which it is done."""
    opening = zones & ~opened
    minutes = 0.0
    if opening == 0:
        if target < 0 or target == here:
            return minutes, here
        return p.move[here, target], target
    z = 0
    while opening >> z:
        if (opening >> z) & 1:
            minutes += p.zone_minutes[z]
        z += 1
    if target >= 0 and p.can_open[target]:
        if here != target:
            minutes += p.move[here, target]
        return minutes, target
    if not p.can_open[here]:
        minutes += p.move[here, p.safe]
        here = p.safe
    if target < 0:
        return minutes, here
    return minutes + p.move[here, target], target


@njit(cache=True)
def repair_way(p, here, opened, r):  # type: ignore[no-untyped-def]
    """Minutes of a repair, from the way to it up to the check of the function."""
    minutes, at = way(p, here, opened, p.repair_state[r], p.repair_zones[r])
    minutes += p.repair_minutes[r] + p.check_minutes
    if at != p.running:
        minutes += p.move[at, p.running]
    return minutes


@njit(cache=True)
def chance_of(p, w, r):  # type: ignore[no-untyped-def]
    """Weight of the jobs that a repair would end."""
    total = 0.0
    for k in range(p.cured_from[r], p.cured_from[r + 1]):
        total += w[p.cured[k]] * p.chance[k]
    return total


@njit(cache=True)
def fail(p, w, r):  # type: ignore[no-untyped-def]
    """Change weights, in place, to those after a repair left the complaint.

    Returns the weight of what it cured, and the money that handing that over would have cost.
    """
    gone, saved = 0.0, 0.0
    for k in range(p.cured_from[r], p.cured_from[r + 1]):
        f = p.cured[k]
        if p.pair[f, 0] < 0:
            cured = w[f] * p.chance[k]
            w[f] -= cured
            gone += cured
            saved += cured * p.way_out[f]
    # Pairs after single faults, so that what is left of them is not repaired twice.
    for k in range(p.cured_from[r], p.cured_from[r + 1]):
        f = p.cured[k]
        if p.pair[f, 0] >= 0:
            weight = w[f]
            cured, one, other = weight * p.chance[k], weight * p.to_one[k], weight * p.to_other[k]
            w[f] -= cured + one + other
            w[p.pair[f, 0]] += one
            w[p.pair[f, 1]] += other
            gone += cured
            saved += (cured + one + other) * p.way_out[f]
            saved -= one * p.way_out[p.pair[f, 0]] + other * p.way_out[p.pair[f, 1]]
    return gone, saved


@njit(cache=True)
def rank_group(p, s, g, opened):  # type: ignore[no-untyped-def]
    """The best chance for the money that the repairs behind one set of covers offer, and the first of them."""
    opening, closed, z = 0.0, p.group_zones[g] & ~opened, 0
    while closed >> z:
        if (closed >> z) & 1:
            opening += p.zone_minutes[z] * p.rate
        z += 1
    begin, end = p.member_from[g], p.member_from[g + 1]
    best, first = 0.0, -1
    if opening == 0.0:
        for k in range(begin, end):
            worth = s.chance[p.member[k]] * p.per_cost[p.member[k]]
            if worth > best:
                best, first = worth, p.member[k]
        s.ratio[g], s.first[g] = best, first
        return
    for k in range(begin, end):
        s.used[p.member[k]] = s.chance[p.member[k]] <= 0.0
    chances, costs = 0.0, opening
    for _ in range(begin, end):
        nearest, top = -1, 0.0
        for k in range(begin, end):
            r = p.member[k]
            if not s.used[r]:
                worth = s.chance[r] * p.per_cost[r]
                if worth > top:
                    nearest, top = r, worth
        if nearest < 0:
            break
        s.used[nearest] = True
        chances += s.chance[nearest]
        costs += p.repair_cost[nearest]
        if first < 0:
            first = nearest
        if chances / costs <= best:
            break
        best = chances / costs
    s.ratio[g], s.first[g] = best, first


@njit(cache=True)
def may_pay(p, s, w, mass, repaired):  # type: ignore[no-untyped-def]
    """The chance of every repair, and how many could ever be worth their cost.

    What a repair may still save is at most the way out for all that it does something about; it costs at least itself
    for all that no repair does anything about.  Once only others are left, the sequence ends.
    """
    incurable, count, dearest = mass, len(p.repair_minutes), 0.0
    for f in range(len(w)):
        if w[f] > 0.0 and p.way_out[f] > dearest:
            dearest = p.way_out[f]
    for r in range(count):
        s.chance[r], s.reach[r] = 0.0, 0.0
        if not (repaired >> r) & 1:
            for k in range(p.cured_from[r], p.cured_from[r + 1]):
                s.chance[r] += w[p.cured[k]] * p.chance[k]
                s.reach[r] += w[p.cured[k]]
            incurable -= s.reach[r]
    paying = 0
    for r in range(count):
        s.pays[r] = s.reach[r] * dearest > p.repair_cost[r] * incurable
        paying += 1 if s.pays[r] and s.reach[r] > 0.0 else 0
        s.pays[r] = s.pays[r] and s.reach[r] > 0.0
    return paying


@njit(cache=True)
def by_repairs(p, s, given, opened, here, repaired, later):  # type: ignore[no-untyped-def]
    """The best sequence of repairs, with the way out wherever it is cheapest: its value, and its first repair or -1.

    Repairs are taken by chance over cost, those behind the same covers as a block (Kadane and Simon 1977; Langseth and
    Jensen 2001); then backwards W_k = min(way out, cost of the k-th + W_{k+1}).
    """
    s.tally[0] += 1
    w, count, groups = s.weights, len(p.repair_minutes), len(p.group_zones)
    mass, tail = 0.0, 0.0
    for f in range(len(given)):
        w[f] = given[f]
        mass += given[f]
        tail += given[f] * p.way_out[f]
    paying = may_pay(p, s, w, mass, repaired)
    for g in range(groups):
        s.stale[g] = True
    length, begin = 0, -1
    # The first is taken whatever it promises: from here it may cost less than it usually does.
    while length < count and (paying > 0 or length == 0):
        chosen, best = -1, 0.0
        for g in range(groups):
            if s.stale[g]:
                rank_group(p, s, g, opened)
                s.stale[g] = False
            if s.first[g] >= 0 and s.ratio[g] > best:
                chosen, best = g, s.ratio[g]
        if chosen < 0:
            break
        r = s.first[chosen]
        if length == 0:
            begin = r
        minutes = repair_way(p, here, opened, r)
        later = later or p.away[r]
        gone, saved = fail(p, w, r)
        s.steps[length, 0] = (minutes * p.rate + p.repair_extra[r]) * mass
        s.steps[length, 1] = minutes * mass
        s.steps[length, 2] = 0.0 if later else gone
        s.steps[length, 3] = tail
        length += 1
        mass, tail, here = mass - gone, tail - saved, p.running
        fresh = p.repair_zones[r] & ~opened
        opened |= fresh
        if fresh:
            for g in range(groups):
                if p.group_zones[g] & fresh:
                    s.stale[g] = True
        s.chance[r] = 0.0
        paying -= 1 if s.pays[r] else 0
        repaired |= 1 << r
        s.stale[p.group[r]] = True
        for k in range(p.touched_from[r], p.touched_from[r + 1]):
            other = p.touched[k]
            if not (repaired >> other) & 1:
                s.chance[other] = chance_of(p, w, other)
                s.stale[p.group[other]] = True
    money, minutes, fixed, first = tail, 0.0, 0.0, -1
    for k in range(length - 1, -1, -1):
        if s.steps[k, 0] + money < s.steps[k, 3]:
            money += s.steps[k, 0]
            minutes += s.steps[k, 1]
            fixed += s.steps[k, 2]
            first = begin
        else:
            money, minutes, fixed, first = s.steps[k, 3], 0.0, 0.0, -1
    return money, minutes, fixed, first


@njit(cache=True)
def test_cost(p, here, opened, t):  # type: ignore[no-untyped-def]
    """Minutes and money of a test with the way to it, the state and the zones that are open after it."""
    minutes, at = way(p, here, opened, p.test_state[t], p.test_zones[t])
    minutes += p.test_minutes[t]
    return minutes, minutes * p.rate + p.test_extra[t], at, opened | p.test_zones[t]


@njit(cache=True)
def weigh(p, w, o, into):  # type: ignore[no-untyped-def]
    """Weights after an outcome, their sum, and the least that they can cost."""
    mass, least = 0.0, 0.0
    for f in range(len(w)):
        into[f] = w[f] * p.outcome[o, f]
        mass += into[f]
        least += into[f] * p.least[f]
    return mass, least


@njit(cache=True)
def least_of(p, w):  # type: ignore[no-untyped-def]
    """The sum of weights, and the least money that they can cost: what it would be if the truth were told."""
    mass, least = 0.0, 0.0
    for f in range(len(w)):
        mass += w[f]
        least += w[f] * p.least[f]
    return mass, least


@njit(cache=True)
def one_step(p, s, w, opened, here, tested, repaired, later, money):  # type: ignore[no-untyped-def]
    """The test that is worth more than it costs, by one step of expected value, or -1.

    ``money`` is the value of repairs alone.  Tests that could not be worth it even if they told everything are passed
    over.
    """
    mass, least = least_of(p, w)
    best, chosen = money, -1
    for t in range(len(p.test_minutes)):
        if (tested >> t) & 1:
            continue
        _, cost, at, zones = test_cost(p, here, opened, t)
        total, rest = cost * mass, least
        if total + rest >= best:
            continue
        for o in range(p.starts[t], p.starts[t + 1]):
            share, at_least = weigh(p, w, o, s.outcome)
            rest -= at_least
            if share > NOTHING:
                total += by_repairs(p, s, s.outcome, zones, at, repaired, later)[0]
            if total + rest >= best:
                break
        else:
            best, chosen = total, t
    return chosen


@njit(cache=True)
def uncertainty(weights):  # type: ignore[no-untyped-def]
    """Minus the sum of x ln x, plus the sum times its own logarithm: the entropy times the sum, in nats."""
    total, bits = 0.0, 0.0
    for x in weights:
        if x > 0.0:
            total += x
            bits -= x * np.log(x)
    return bits + total * np.log(total) if total > 0.0 else 0.0


@njit(cache=True)
def most_telling(p, s, w, opened, here, tested):  # type: ignore[no-untyped-def]
    """The test that tells most about what to do for its cost, or -1 when none tells anything."""
    shares = s.shares[: p.courses]
    shares[:] = 0.0
    mass = 0.0
    for f in range(len(w)):
        shares[p.course[f]] += w[f]
        mass += w[f]
    before = uncertainty(shares)
    best, chosen = 0.0, -1
    for t in range(len(p.test_minutes)):
        if (tested >> t) & 1:
            continue
        after = 0.0
        for o in range(p.starts[t], p.starts[t + 1]):
            shares[:] = 0.0
            for f in range(len(w)):
                shares[p.course[f]] += w[f] * p.outcome[o, f]
            after += uncertainty(shares)
        gain = (before - after) / mass
        if gain > TELLS_NOTHING:
            worth = gain / (test_cost(p, here, opened, t)[1] + 1e-9)
            if worth > best:
                best, chosen = worth, t
    return chosen


@njit(cache=True)
def sure_enough(p, w, repaired, threshold):  # type: ignore[no-untyped-def]
    """Whether one repair would end the job with at least this probability."""
    mass = 0.0
    for f in range(len(w)):
        mass += w[f]
    for r in range(len(p.repair_minutes)):
        if not (repaired >> r) & 1 and chance_of(p, w, r) >= threshold * mass:
            return True
    return False


@njit(cache=True)
def roll(p, s, telling, threshold, limit):  # type: ignore[no-untyped-def]
    """The value of following one base policy from the state in row 1 of the working space.

    ``telling``: the base that asks for information until a repair is sure enough, and is never worse than repairs
    alone; else one step of expected value.  Where the weight falls under ``limit``, or the working space has counted
    enough, repairs alone are what follows: an upper bound.

    Depth first, a row of the working space for each level.
    """
    level, entering = 1, True
    value = (0.0, 0.0, 0.0)
    while level > 0:
        w, at, sums = s.levels[level], s.at[level], s.sums[level]
        if entering:
            money, minutes, fixed, first = by_repairs(p, s, w, at[0], at[1], at[3], at[4] > 0)
            mass, least = least_of(p, w)
            test = -1
            if mass >= limit and s.tally[0] < s.tally[1] and not (telling and least >= money):
                if not telling:
                    test = one_step(p, s, w, at[0], at[1], at[2], at[3], at[4] > 0, money)
                elif not sure_enough(p, w, at[3], threshold):
                    test = most_telling(p, s, w, at[0], at[1], at[2])
            else:
                first = -1
            sums[3], sums[4], sums[5] = money, minutes, fixed
            at[5], at[6] = test, first
            if test < 0 and first < 0:
                value = (money, minutes, fixed)
            elif test >= 0:
                spent, cost, _, _ = test_cost(p, at[1], at[0], test)
                sums[0], sums[1], sums[2] = cost * mass, spent * mass, 0.0
                at[7] = p.starts[test]
            else:
                spent = repair_way(p, at[1], at[0], first)
                sums[0], sums[1], sums[2] = (spent * p.rate + p.repair_extra[first]) * mass, spent * mass, 0.0
                at[7] = 0
            leaf = test < 0 and first < 0
        else:
            sums[0] += value[0]
            sums[1] += value[1]
            sums[2] += value[2]
            leaf = False
        following = s.at[level + 1]
        entering = False
        if not leaf and at[5] >= 0:
            _, _, here, zones = test_cost(p, at[1], at[0], at[5])
            while at[7] < p.starts[at[5] + 1] and not entering:
                entering = weigh(p, w, at[7], s.levels[level + 1])[0] > NOTHING
                at[7] += 1
            if entering:
                following[0], following[1], following[2] = zones, here, at[2] | (1 << at[5])
                following[3], following[4] = at[3], at[4]
        elif not leaf and at[7] == 0:
            at[7], r = 1, at[6]
            for f in range(len(w)):
                s.levels[level + 1][f] = w[f]
            gone = fail(p, s.levels[level + 1], r)[0]
            following[0], following[1], following[2] = at[0] | p.repair_zones[r], p.running, at[2]
            following[3] = at[3] | (1 << r)
            following[4] = 1 if at[4] > 0 or p.away[r] else 0
            sums[2] += 0.0 if following[4] > 0 else gone
            entering = True
        if entering:
            level += 1
            continue
        if not leaf:
            value = (sums[0], sums[1], sums[2])
            if telling and sums[3] <= sums[0]:
                value = (sums[3], sums[4], sums[5])
        level -= 1
    return value


@njit(cache=True)
def price(p, s, w, opened, here, place, follow, both, threshold, limit):  # type: ignore[no-untyped-def]
    """The value of one step now: test ``place``, or from T on the repair ``place - T``.

    After each outcome, or after the repair has failed, come repairs alone; or, with ``follow``, the telling base, or
    the better of both.
    """
    tests = len(p.test_minutes)
    is_test = place < tests
    mass = least_of(p, w)[0]
    row = s.levels[1]
    if is_test:
        spent, cost, at, zones = test_cost(p, here, opened, place)
        begin, end = p.starts[place], p.starts[place + 1]
        tested, repaired, away, ended = 1 << place, 0, False, 0.0
    else:
        r = place - tests
        spent = repair_way(p, here, opened, r)
        cost, at, zones = spent * p.rate + p.repair_extra[r], p.running, opened | p.repair_zones[r]
        for f in range(len(w)):
            row[f] = w[f]
        away = p.away[r]
        ended = fail(p, row, r)[0]
        if away:
            ended = 0.0
        begin, end, tested, repaired = 0, 1, 0, 1 << r
    total, time = cost * mass, spent * mass
    for o in range(begin, end):
        if is_test and weigh(p, w, o, row)[0] <= NOTHING:
            continue
        if follow:
            best = (_NEVER, 0.0, 0.0)
            for base in range(2 if both else 1):
                state = s.at[1]
                state[0], state[1], state[2], state[3], state[4] = zones, at, tested, repaired, 1 if away else 0
                value = roll(p, s, base == 0, threshold, limit)
                if value[0] < best[0]:
                    best = value
        else:
            money, minutes, fixed, _ = by_repairs(p, s, row, zones, at, repaired, away)
            best = (money, minutes, fixed)
        total, time, ended = total + best[0], time + best[1], ended + best[2]
    return total, time, ended


@njit(cache=True)
def candidates(p, s, w, opened, here, first_look, count, threshold):  # type: ignore[no-untyped-def]
    """Which steps are worth following: the ``count`` cheapest at first look, and what each base policy would do."""
    tests, steps = len(p.test_minutes), len(first_look)
    chosen = np.zeros(steps, dtype=np.bool_)
    cheapest = -1
    for t in range(tests):
        if cheapest < 0 or first_look[t, 0] < first_look[cheapest, 0]:
            cheapest = t
    money, _, _, first = by_repairs(p, s, w, opened, here, 0, False)
    if first >= 0:
        chosen[tests + first] = True
    if cheapest >= 0 and first_look[cheapest, 0] < money:
        chosen[cheapest] = True
    if not sure_enough(p, w, 0, threshold):
        telling = most_telling(p, s, w, opened, here, 0)
        if telling >= 0:
            chosen[telling] = True
    ranked = np.zeros(steps, dtype=np.bool_)
    for _ in range(min(count, steps)):
        best = -1
        for place in range(steps):
            if not ranked[place] and (best < 0 or first_look[place, 0] < first_look[best, 0]):
                best = place
        ranked[best] = True
    return chosen | ranked


@njit(cache=True)
def survey(p, s, w, opened, here, count, both, threshold, limit):  # type: ignore[no-untyped-def]
    """The values of all steps, shape (T + R, 3): the candidates' followed by the bases, the others' by repairs alone.

    Returns them with a flag for each candidate.
    """
    steps = len(p.test_minutes) + len(p.repair_minutes)
    values = np.empty((steps, 3))
    followed = np.zeros(steps, dtype=np.bool_)
    for follow in (False, True):
        if follow:
            followed = candidates(p, s, w, opened, here, values, count, threshold)
        for place in range(steps):
            if not follow or followed[place]:
                value = price(p, s, w, opened, here, place, follow, both, threshold, limit)
                values[place, 0], values[place, 1], values[place, 2] = value
    return values, followed
