"""The search itself, compiled: values of states under the policies that a decision is built from.

A number or a flag written out where a compiled function is called makes the compiler compile that function anew for it:
they are passed as variables.

All that the search compiles stands in this one module, for the compiler keeps it by the file it is in.  They take the
decision as a tuple of arrays (:class:`Arrays`) and working space (:class:`Space`), and speak of a *state* as

- ``w``: weights of the hypotheses, not normalised (every value is proportional to them, so no division is needed),
- ``opened``: the zones that are open, ``here``: the state of the appliance (S: nobody knows),
- ``tested``, ``repaired``: what has been done, a bit each, ``later``: whether another visit has been made already.

A *value* is three sums over the weights: money, minutes of this and further visits, and the weight of jobs that end at
this visit with the complaint gone.

An array is taken out of its tuple once, before any loop, and small functions take the few arrays that they need: to
take one out, or to pass the whole tuple, counts references and copies hundreds of words each time.

No function is compiled with relaxed floating-point rules, so the same decision gives the same bits.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from probewright.decision.compiling import compiled, inlined

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Flags = NDArray[np.bool_]

#: Weight below which an outcome is not followed.
NOTHING = 1e-14
#: Share of the weight below which a hypothesis is left out of what a test tells.
LITTLE = 1e-7
#: Gain in nats under which a test tells nothing.
TELLS_NOTHING = 1e-3
#: More than anything costs.
NEVER = 1e300
#: What stands where in a row of ``Space.at``.
OPENED, HERE, TESTED, REPAIRED, LATER, NEXT, END = range(7)
#: In place of the next outcome: the repair's failure.
REPAIR = -1


class Arrays(NamedTuple):
    """A decision for the compiler: as in :class:`~probewright.decision.problem.Decision`, and what follows from it.

    ``cured`` lists for each repair r, from ``cured_from[r]`` up to ``cured_from[r + 1]``, the hypotheses in which it
    changes something; ``chance`` is the probability that it cures the job there, ``to_one`` and ``to_other`` that it
    leaves one or the other of a pair.  ``credit`` is what it counts for in the order of repairs (half, for what leaves
    one of two); ``helps`` the chance that it cures anything.  ``touched`` lists the same way the repairs whose chances
    then change.
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
    stops: Flags
    test_minutes: Array
    test_extra: Array
    test_state: Index
    test_zones: Index
    repair_minutes: Array
    repair_extra: Array
    finish: Array
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
    credit: Array
    helps: Array
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

    ``at`` is each level's state and what is left of its step (:data:`OPENED` and so on), ``sums`` its value so far and
    that of repairs alone.  ``tally`` holds the
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
    live: Index
    masses: Array
    tally: Index


@inlined
def open_minutes(zone_minutes, zones):  # type: ignore[no-untyped-def]
    """Minutes of opening a set of zones."""
    minutes, z = 0.0, 0
    while zones >> z:
        if (zones >> z) & 1:
            minutes += zone_minutes[z]
        z += 1
    return minutes


@inlined
def way(zone_minutes, move, can_open, safe, here, target, opening):  # type: ignore[no-untyped-def]
    """Minutes of the way to a step for which some zones are still to be opened, and the state in which it is done."""
    minutes = 0.0
    if opening != 0:
        minutes += open_minutes(zone_minutes, opening)
        if (target < 0 or not can_open[target]) and not can_open[here]:
            minutes += move[here, safe]
            here = safe
    if target >= 0 and target != here:
        minutes += move[here, target]
        here = target
    return minutes, here


@inlined
def chance_of(w, cured, chance, begin, end):  # type: ignore[no-untyped-def]
    """Weight of the jobs that a repair would end."""
    total = 0.0
    for k in range(begin, end):
        total += w[cured[k]] * chance[k]
    return total


@inlined
def fail(w, cured, chance, to_one, to_other, pair, way_out, begin, end):  # type: ignore[no-untyped-def]
    """Change weights, in place, to those after a repair left the complaint.

    Returns the weight of what it cured, and the money that handing that over would have cost.
    """
    gone, saved = 0.0, 0.0
    for k in range(begin, end):
        f = cured[k]
        if pair[f, 0] < 0:
            over = w[f] * chance[k]
            w[f] -= over
            gone += over
            saved += over * way_out[f]
    # Pairs after single faults, so that what is left of them is not repaired twice.
    for k in range(begin, end):
        f = cured[k]
        if pair[f, 0] >= 0:
            over, one, other = w[f] * chance[k], w[f] * to_one[k], w[f] * to_other[k]
            w[f] -= over + one + other
            w[pair[f, 0]] += one
            w[pair[f, 1]] += other
            gone += over
            saved += (over + one + other) * way_out[f]
            saved -= one * way_out[pair[f, 0]] + other * way_out[pair[f, 1]]
    return gone, saved


@inlined
def best_of_group(opening, member, begin, end, chance, cost, per_cost, used):  # type: ignore[no-untyped-def]
    """The best chance for the money that the repairs behind one set of covers offer, and the first of them or -1.

    ``opening`` is what the covers cost.  Closed, the best block counts: the prefix, by chance over cost, of the
    greatest sum of chances over opening and costs.
    """
    best, first = 0.0, -1
    if opening == 0.0:
        for k in range(begin, end):
            r = member[k]
            if chance[r] * per_cost[r] > best:
                best, first = chance[r] * per_cost[r], r
        return best, first
    for k in range(begin, end):
        used[member[k]] = chance[member[k]] <= 0.0
    chances, costs = 0.0, opening
    for _ in range(begin, end):
        nearest, top = -1, 0.0
        for k in range(begin, end):
            r = member[k]
            if not used[r] and chance[r] * per_cost[r] > top:
                nearest, top = r, chance[r] * per_cost[r]
        if nearest < 0:
            break
        used[nearest] = True
        chances += chance[nearest]
        costs += cost[nearest]
        first = nearest if first < 0 else first
        if chances / costs <= best:
            break
        best = chances / costs
    return best, first


@inlined
def may_pay(w, way_out, cost, cured_from, cured, effect, chance, reach, pays, repaired):  # type: ignore[no-untyped-def]
    """The chance of every repair, and how many could ever be worth their cost.

    What a repair may still save is at most the way out for all that it does something about; it costs at least itself
    for all that no repair does anything about.  Once only others are left, the sequence ends.
    """
    incurable, dearest, paying = 0.0, 0.0, 0
    for f in range(len(w)):
        incurable += w[f]
        if w[f] > 0.0 and way_out[f] > dearest:
            dearest = way_out[f]
    for r in range(len(cost)):
        chance[r], reach[r] = 0.0, 0.0
        if not (repaired >> r) & 1:
            for k in range(cured_from[r], cured_from[r + 1]):
                chance[r] += w[cured[k]] * effect[k]
                reach[r] += w[cured[k]]
            incurable -= reach[r]
    for r in range(len(cost)):
        pays[r] = reach[r] > 0.0 and reach[r] * dearest > cost[r] * incurable
        paying += 1 if pays[r] else 0
    return paying


@inlined
def stopped_in_time(steps, length, tail, begin):  # type: ignore[no-untyped-def]
    """Take the way out wherever along a sequence of repairs it is cheapest: the value, and the first repair or -1.

    ``steps`` holds for each repair its money, minutes and what it cures, weighed, and the way out instead of it.
    """
    money, minutes, fixed, first = tail, 0.0, 0.0, -1
    for k in range(length - 1, -1, -1):
        if steps[k, 0] + money < steps[k, 3]:
            money += steps[k, 0]
            minutes += steps[k, 1]
            fixed += steps[k, 2]
            first = begin
        else:
            money, minutes, fixed, first = steps[k, 3], 0.0, 0.0, -1
    return money, minutes, fixed, first


@compiled
def by_repairs(p, s, given, opened, here, repaired, later):  # type: ignore[no-untyped-def]
    """The best sequence of repairs, with the way out wherever it is cheapest: its value, and its first repair or -1.

    Repairs are taken by chance over cost, those behind the same covers as a block (Kadane and Simon 1977; Langseth and
    Jensen 2001); then backwards W_k = min(way out, cost of the k-th + W_{k+1}).
    """
    w, pair, way_out, rate, check = s.weights, p.pair, p.way_out, p.rate, p.check_minutes
    cured_from, cured, effect, to_one, to_other = p.cured_from, p.cured, p.chance, p.to_one, p.to_other
    credit, finish = p.credit, p.finish
    touched_from, touched, group, group_zones = p.touched_from, p.touched, p.group, p.group_zones
    member_from, member, cost, per_cost = p.member_from, p.member, p.repair_cost, p.per_cost
    own, extra, state, zones, away = p.repair_minutes, p.repair_extra, p.repair_state, p.repair_zones, p.away
    zone_minutes, move, can_open, safe, running = p.zone_minutes, p.move, p.can_open, p.safe, p.running
    chance, ratio, first_of, stale, used, pays, steps = s.chance, s.ratio, s.first, s.stale, s.used, s.pays, s.steps
    s.tally[0] += 1
    mass, tail = 0.0, 0.0
    for f in range(len(given)):
        w[f] = given[f]
        mass += given[f]
        tail += given[f] * way_out[f]
    paying = may_pay(w, way_out, cost, cured_from, cured, p.credit, chance, s.reach, pays, repaired)
    stale[: len(group_zones)] = True
    length, begin = 0, -1
    # The first is taken whatever it promises: from here it may cost less than it usually does.
    while length < len(own) and (paying > 0 or length == 0):
        chosen, best = -1, 0.0
        for g in range(len(group_zones)):
            if stale[g]:
                opening = rate * open_minutes(zone_minutes, group_zones[g] & ~opened)
                ratio[g], first_of[g] = best_of_group(
                    opening, member, member_from[g], member_from[g + 1], chance, cost, per_cost, used
                )
                stale[g] = False
            if first_of[g] >= 0 and ratio[g] > best:
                chosen, best = g, ratio[g]
        if chosen < 0:
            break
        r = first_of[chosen]
        begin = r if length == 0 else begin
        fresh = zones[r] & ~opened
        minutes, here = way(zone_minutes, move, can_open, safe, here, state[r], fresh)
        minutes += own[r] + check + (move[here, running] if here != running else 0.0)
        later = later or away[r]
        gone, saved = fail(w, cured, effect, to_one, to_other, pair, way_out, cured_from[r], cured_from[r + 1])
        proof = finish[r] * gone
        steps[length, 0] = (minutes * rate + extra[r]) * mass + proof * rate
        steps[length, 1] = minutes * mass + proof
        steps[length, 2], steps[length, 3] = 0.0 if later else gone, tail
        length, mass, tail, here = length + 1, mass - gone, tail - saved, running
        paying -= 1 if pays[r] else 0
        chance[r], opened, repaired, stale[chosen] = 0.0, opened | fresh, repaired | (1 << r), True
        if fresh != 0:
            for g in range(len(group_zones)):
                stale[g] = stale[g] or group_zones[g] & fresh != 0
        for k in range(touched_from[r], touched_from[r + 1]):
            other = touched[k]
            if not (repaired >> other) & 1:
                chance[other] = chance_of(w, cured, credit, cured_from[other], cured_from[other + 1])
                stale[group[other]] = True
    return stopped_in_time(steps, length, tail, begin)


@compiled
def weigh(w, outcome, o, least, into):  # type: ignore[no-untyped-def]
    """Weights after an outcome, their sum, and the least that they can cost."""
    mass, at_least = 0.0, 0.0
    for f in range(len(w)):
        into[f] = w[f] * outcome[o, f]
        mass += into[f]
        at_least += into[f] * least[f]
    return mass, at_least


@compiled
def least_of(w, least):  # type: ignore[no-untyped-def]
    """The sum of weights, and the least money that they can cost: what it would be if the truth were told."""
    mass, at_least = 0.0, 0.0
    for f in range(len(w)):
        mass += w[f]
        at_least += w[f] * least[f]
    return mass, at_least


@compiled
def handed_over(w, way_out):  # type: ignore[no-untyped-def]
    """Money that the way out costs."""
    money = 0.0
    for f in range(len(w)):
        money += w[f] * way_out[f]
    return money


@compiled
def one_step(p, s, w, opened, here, tested, repaired, later, money):  # type: ignore[no-untyped-def]
    """The test that is worth more than it costs, by one step of expected value, or -1.

    ``money`` is the value of repairs alone.  Tests that could not be worth it even if they told everything are passed
    over.
    """
    zone_minutes, move, can_open, safe, rate = p.zone_minutes, p.move, p.can_open, p.safe, p.rate
    own, extra, state, zones = p.test_minutes, p.test_extra, p.test_state, p.test_zones
    starts, outcome, known, into = p.starts, p.outcome, p.least, s.outcome
    stops, way_out = p.stops, p.way_out
    mass, least = least_of(w, known)
    best, chosen = money, -1
    for t in range(len(own)):
        if (tested >> t) & 1:
            continue
        minutes, at = way(zone_minutes, move, can_open, safe, here, state[t], zones[t] & ~opened)
        total, rest = ((minutes + own[t]) * rate + extra[t]) * mass, least
        if total + rest >= best:
            continue
        for o in range(starts[t], starts[t + 1]):
            share, at_least = weigh(w, outcome, o, known, into)
            rest -= at_least
            if share > NOTHING and stops[o]:
                total += handed_over(into, way_out)
            elif share > NOTHING:
                total += by_repairs(p, s, into, opened | zones[t], at, repaired, later)[0]
            if total + rest >= best:
                break
        else:
            best, chosen = total, t
    return chosen


@compiled
def uncertainty(weights):  # type: ignore[no-untyped-def]
    """The entropy of weights, in nats, times their sum."""
    total, bits = 0.0, 0.0
    for x in weights:
        if x > 0.0:
            total += x
            bits -= x * np.log(x)
    return bits + total * np.log(total) if total > 0.0 else 0.0


@inlined
def shown(w, live, count, outcome, begin, end, masses):  # type: ignore[no-untyped-def]
    """Weight of each outcome of a test, over the first ``count`` of the ``live`` hypotheses."""
    for o in range(begin, end):
        masses[o - begin] = 0.0
        for k in range(count):
            masses[o - begin] += w[live[k]] * outcome[o, live[k]]


@inlined
def left_uncertain(w, live, count, outcome, begin, end, course, shares):  # type: ignore[no-untyped-def]
    """What is uncertain about the course after a test: the entropy in nats, times the weight."""
    after = 0.0
    for o in range(begin, end):
        shares[:] = 0.0
        for k in range(count):
            shares[course[live[k]]] += w[live[k]] * outcome[o, live[k]]
        after += uncertainty(shares)
    return after


@inlined
def tell_apart(w, course, shares, live):  # type: ignore[no-untyped-def]
    """List the hypotheses of more than next to no weight; their number, the weight, and how uncertain the course is."""
    count, mass = 0, 0.0
    for f in range(len(w)):
        mass += w[f]
    shares[:] = 0.0
    for f in range(len(w)):
        if w[f] > LITTLE * mass:
            live[count] = f
            count += 1
            shares[course[f]] += w[f]
    return count, mass, uncertainty(shares)


@compiled
def most_telling(p, s, w, opened, here, tested):  # type: ignore[no-untyped-def]
    """The test that tells most about what to do for its cost, or -1 when none tells anything.

    A test tells no more than its outcomes are uncertain, so most need not be looked at closely.
    """
    zone_minutes, move, can_open, safe, rate = p.zone_minutes, p.move, p.can_open, p.safe, p.rate
    own, extra, state, zones = p.test_minutes, p.test_extra, p.test_state, p.test_zones
    starts, outcome, course, shares = p.starts, p.outcome, p.course, s.shares[: p.courses]
    live, masses = s.live, s.masses
    count, mass, before = tell_apart(w, course, shares, live)
    best, chosen = 0.0, -1
    for t in range(len(own)):
        if (tested >> t) & 1:
            continue
        begin, end = starts[t], starts[t + 1]
        minutes, _ = way(zone_minutes, move, can_open, safe, here, state[t], zones[t] & ~opened)
        cost = (minutes + own[t]) * rate + extra[t] + 1e-9
        shown(w, live, count, outcome, begin, end, masses)
        if uncertainty(masses[: end - begin]) <= max(best * cost, TELLS_NOTHING) * mass:
            continue
        gain = (before - left_uncertain(w, live, count, outcome, begin, end, course, shares)) / mass
        if gain > max(best * cost, TELLS_NOTHING):
            best, chosen = gain / cost, t
    return chosen


@compiled
def what_tests_tell(p, s, w, opened, here, tested):  # type: ignore[no-untyped-def]
    """What each test tells about what to do for its cost, in nats for its money; 0 where it tells nothing."""
    shares, live, rates = s.shares[: p.courses], s.live, np.zeros(len(p.test_minutes))
    count, mass, before = tell_apart(w, p.course, shares, live)
    for t in range(len(rates)):
        if (tested >> t) & 1:
            continue
        zones = p.test_zones[t] & ~opened
        minutes, _ = way(p.zone_minutes, p.move, p.can_open, p.safe, here, p.test_state[t], zones)
        cost = (minutes + p.test_minutes[t]) * p.rate + p.test_extra[t] + 1e-9
        begin, end = p.starts[t], p.starts[t + 1]
        gain = (before - left_uncertain(w, live, count, p.outcome, begin, end, p.course, shares)) / mass
        rates[t] = gain / cost if gain > TELLS_NOTHING else 0.0
    return rates


@compiled
def sure_enough(w, cured_from, cured, effect, repaired, threshold):  # type: ignore[no-untyped-def]
    """Whether one repair would cure something with at least this probability."""
    mass = 0.0
    for f in range(len(w)):
        mass += w[f]
    for r in range(len(cured_from) - 1):
        chance = chance_of(w, cured, effect, cured_from[r], cured_from[r + 1])
        if not (repaired >> r) & 1 and chance >= threshold * mass:
            return True
    return False


@compiled
def begin_test(p, s, level, t):  # type: ignore[no-untyped-def]
    """Set out on a test at a level: its own value, and where it leaves the appliance."""
    at, sums = s.at[level], s.sums[level]
    mass = s.levels[level].sum()
    minutes, here = way(
        p.zone_minutes, p.move, p.can_open, p.safe, at[HERE], p.test_state[t], p.test_zones[t] & ~at[OPENED]
    )
    minutes += p.test_minutes[t]
    sums[0], sums[1], sums[2] = (minutes * p.rate + p.test_extra[t]) * mass, minutes * mass, 0.0
    after = s.at[level + 1]
    after[OPENED], after[HERE] = at[OPENED] | p.test_zones[t], here
    after[TESTED], after[REPAIRED], after[LATER] = at[TESTED] | (1 << t), at[REPAIRED], at[LATER]
    at[NEXT], at[END] = p.starts[t], p.starts[t + 1]


@compiled
def begin_repair(p, s, level, r):  # type: ignore[no-untyped-def]
    """Set out on a repair at a level: its own value, what it leaves, and where it leaves the appliance."""
    at, sums = s.at[level], s.sums[level]
    w, left = s.levels[level], s.levels[level + 1]
    minutes, here = way(
        p.zone_minutes, p.move, p.can_open, p.safe, at[HERE], p.repair_state[r], p.repair_zones[r] & ~at[OPENED]
    )
    minutes += p.repair_minutes[r] + p.check_minutes
    if here != p.running:
        minutes += p.move[here, p.running]
    mass = w.sum()
    left[:] = w
    gone, _ = fail(
        left, p.cured, p.chance, p.to_one, p.to_other, p.pair, p.way_out, p.cured_from[r], p.cured_from[r + 1]
    )
    after = s.at[level + 1]
    after[OPENED], after[HERE], after[TESTED] = at[OPENED] | p.repair_zones[r], p.running, at[TESTED]
    after[REPAIRED], after[LATER] = at[REPAIRED] | (1 << r), 1 if at[LATER] > 0 or p.away[r] else 0
    proof = p.finish[r] * gone
    sums[0] = (minutes * p.rate + p.repair_extra[r]) * mass + proof * p.rate
    sums[1] = minutes * mass + proof
    sums[2] = 0.0 if after[LATER] > 0 else gone
    at[NEXT], at[END] = REPAIR, 0


@compiled
def next_branch(p, s, level):  # type: ignore[no-untyped-def]
    """Put the weights of the next outcome of a level's step into the row below; False when there is none left.

    An outcome that stops the job is not followed: its way out is added to the level's value.
    """
    at = s.at[level]
    if at[NEXT] == REPAIR:
        at[NEXT] = 0  # its one outcome, failure, is there already
        return True
    while at[NEXT] < at[END]:
        share, _ = weigh(s.levels[level], p.outcome, at[NEXT], p.least, s.levels[level + 1])
        stopped = p.stops[at[NEXT]]
        at[NEXT] += 1
        if share > NOTHING and not stopped:
            return True
        if share > NOTHING:
            s.sums[level, 0] += handed_over(s.levels[level + 1], p.way_out)
    return False


@compiled
def begin_base(p, s, level, telling, threshold, limit):  # type: ignore[no-untyped-def]
    """Do what a base policy does at a level; False where repairs alone follow, or nothing can be done."""
    w, at, sums = s.levels[level], s.at[level], s.sums[level]
    opened, here, tested, repaired, later = at[OPENED], at[HERE], at[TESTED], at[REPAIRED], at[LATER] > 0
    money, minutes, fixed, first = by_repairs(p, s, w, opened, here, repaired, later)
    sums[3], sums[4], sums[5] = money, minutes, fixed
    mass, least = least_of(w, p.least)
    if mass < limit or s.tally[0] >= s.tally[1] or (telling and least >= money):
        return False
    test = -1
    if not telling:
        test = one_step(p, s, w, opened, here, tested, repaired, later, money)
    elif not sure_enough(w, p.cured_from, p.cured, p.helps, repaired, threshold):
        test = most_telling(p, s, w, opened, here, tested)
    if test >= 0:
        begin_test(p, s, level, test)
    elif first >= 0:
        begin_repair(p, s, level, first)
    return test >= 0 or first >= 0


@compiled
def roll(p, s, telling, threshold, limit):  # type: ignore[no-untyped-def]
    """The value of following one base policy from the state in row 1 of the working space.

    ``telling``: the base that asks for information until a repair is sure enough, and is never worse than repairs
    alone; else one step of expected value.  Where the weight falls under ``limit``, or the working space has counted
    enough, repairs alone are what follows: an upper bound.

    Depth first, a row of the working space for each level.
    """
    level, arriving = np.int64(1), True
    money, minutes, fixed = 0.0, 0.0, 0.0
    sums = s.sums
    while level > 0:
        if arriving and not begin_base(p, s, level, telling, threshold, limit):
            money, minutes, fixed = sums[level, 3], sums[level, 4], sums[level, 5]
        else:
            if not arriving:
                sums[level, 0] += money
                sums[level, 1] += minutes
                sums[level, 2] += fixed
            arriving = next_branch(p, s, level)
            if arriving:
                level += 1
                continue
            money, minutes, fixed = sums[level, 0], sums[level, 1], sums[level, 2]
            if telling and sums[level, 3] <= money:
                money, minutes, fixed = sums[level, 3], sums[level, 4], sums[level, 5]
        level, arriving = level - 1, False
    return money, minutes, fixed


@compiled
def price(p, s, place, bases, threshold, limit):  # type: ignore[no-untyped-def]
    """The value of one step now, from the state in row 0: test ``place``, or from T on the repair ``place - T``.

    After each outcome, or after the repair has failed, come repairs alone (``bases`` 0), the telling base (1), or the
    better of both (2).
    """
    tests, top = len(p.test_minutes), np.int64(0)
    if place < tests:
        begin_test(p, s, top, place)
    else:
        begin_repair(p, s, top, place - tests)
    at, sums = s.at[1], s.sums

    while next_branch(p, s, top):
        money, minutes, fixed = NEVER, 0.0, 0.0
        if bases == 0:
            money, minutes, fixed, _ = by_repairs(p, s, s.levels[1], at[OPENED], at[HERE], at[REPAIRED], at[LATER] > 0)
        # A walk leaves row 1 as it was: what follows is written to the rows below it.
        for base in range(bases):
            value = roll(p, s, base == 0, threshold, limit)
            if value[0] < money:
                money, minutes, fixed = value
        sums[0, 0] += money
        sums[0, 1] += minutes
        sums[0, 2] += fixed
    return sums[0, 0], sums[0, 1], sums[0, 2]


@compiled
def done_before(at, tests, place):  # type: ignore[no-untyped-def]
    """Whether a step has been taken before."""
    if place < tests:
        return (at[TESTED] >> place) & 1 != 0
    return (at[REPAIRED] >> (place - tests)) & 1 != 0


@compiled
def mark_cheapest(values, count, chosen):  # type: ignore[no-untyped-def]
    """Mark the ``count`` steps of least value, besides those that are marked; steps without a value are left out."""
    ranked = np.zeros(len(values), dtype=np.bool_)
    for _ in range(count):
        best = -1
        for place in range(len(values)):
            # A step that has no value (NaN) compares as false.
            if not ranked[place] and values[place, 0] < NEVER and (best < 0 or values[place, 0] < values[best, 0]):
                best = place
        if best < 0:
            break
        ranked[best] = True
        chosen[best] = True


@compiled
def candidates(p, s, first_look, cheapest, telling, threshold):  # type: ignore[no-untyped-def]
    """Which steps are worth following.

    The ``cheapest`` at first look, those that tell most for their cost (``telling``), and what each base would do.
    """
    w, at, tests = s.levels[0], s.at[0], len(p.test_minutes)
    chosen = np.zeros(len(first_look), dtype=np.bool_)
    money, _, _, first = by_repairs(p, s, w, at[OPENED], at[HERE], at[REPAIRED], at[LATER] > 0)
    if first >= 0:
        chosen[tests + first] = True
    best = one_step(p, s, w, at[OPENED], at[HERE], at[TESTED], at[REPAIRED], at[LATER] > 0, money)
    if best >= 0:
        chosen[best] = True
    mark_cheapest(first_look, cheapest, chosen)
    told = what_tests_tell(p, s, w, at[OPENED], at[HERE], at[TESTED])
    sure = sure_enough(w, p.cured_from, p.cured, p.helps, at[REPAIRED], threshold)
    if not sure and tests > 0 and told.max() > 0.0:
        chosen[told.argmax()] = True
    rates = np.full((tests, 1), np.nan)
    for t in range(tests):
        if told[t] > 0.0:
            rates[t, 0] = -told[t]
    mark_cheapest(rates, telling, chosen)
    return chosen


@compiled
def survey(p, s, cheapest, telling, both, threshold, limit):  # type: ignore[no-untyped-def]
    """The values of all steps, shape (T + R, 3): at first look with repairs alone after them, then followed.

    The state stands in row 0 of the working space; steps taken before have no value (NaN).  Candidates are followed by
    the telling base, and of those the ``both`` cheapest, with what the bases would do, by the better of both bases.
    Returns the values, and how far each step was followed: 0, 1 or 2.
    """
    tests = len(p.test_minutes)
    steps = tests + len(p.repair_minutes)
    values, followed = np.full((steps, 3), np.nan), np.zeros(steps, dtype=np.int64)
    for place in range(steps):
        if not done_before(s.at[0], tests, place):
            value = price(p, s, place, 0, threshold, limit)
            values[place, 0], values[place, 1], values[place, 2] = value
    chosen = candidates(p, s, values, cheapest, telling, threshold)
    last = 2 if both > 0 else 1
    for bases in range(1, last + 1):
        if bases == 2:
            priced = values.copy()
            for place in range(steps):
                if followed[place] == 0:
                    priced[place, 0] = np.nan
            chosen = candidates(p, s, values, 0, 0, threshold)
            mark_cheapest(priced, both, chosen)
        for place in range(steps):
            if chosen[place]:
                value = price(p, s, place, bases, threshold, limit)
                values[place, 0], values[place, 1], values[place, 2] = value
                followed[place] = bases
    return values, followed
