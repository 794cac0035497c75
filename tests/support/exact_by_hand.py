"""The least expected cost once more, in plain Python: beliefs that add up to 1, nothing left out, no bounds."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from probewright.decision.problem import ANY, Decision

Belief = tuple[float, ...]


@dataclass
class Solver:
    """Every belief that can be met, with what is left to do; each is worked out once."""

    job: Decision
    known: dict[tuple[object, ...], float] = field(default_factory=dict)

    def least(self) -> float:
        total = float(self.job.weights.sum())
        tests, repairs = range(len(self.job.test_minutes)), range(len(self.job.repair_minutes))
        belief = tuple(float(w) / total for w in self.job.weights)
        return self.value(belief, frozenset(tests), frozenset(repairs), self.job.opened, self.job.state)

    def value(self, belief: Belief, tests: frozenset[int], repairs: frozenset[int], opened: int, state: int) -> float:
        key = (tests, repairs, opened, state, tuple(round(b, 11) for b in belief))
        if key not in self.known:
            ways = [sum(b * float(out) for b, out in zip(belief, self.job.way_out, strict=True))]
            ways += [self.tested(t, belief, tests, repairs, opened, state) for t in tests]
            ways += [self.repaired(r, belief, tests, repairs, opened, state) for r in repairs]
            self.known[key] = min(ways)
        return self.known[key]

    def tested(
        self, t: int, belief: Belief, tests: frozenset[int], repairs: frozenset[int], opened: int, state: int
    ) -> float:
        job, needs = self.job, int(self.job.test_zones[t])
        minutes, there = self.arrive(state, int(job.test_state[t]), needs & ~opened)
        cost = (minutes + float(job.test_minutes[t])) * job.rate + float(job.test_extra[t])
        for o in range(int(job.starts[t]), int(job.starts[t + 1])):
            joint = [b * float(p) for b, p in zip(belief, job.outcome[o], strict=True)]
            chance = sum(joint)
            if job.stops is not None and job.stops[o]:
                cost += sum(j * float(out) for j, out in zip(joint, job.way_out, strict=True))
            elif chance > 0:
                seen = tuple(j / chance for j in joint)
                cost += chance * self.value(seen, tests - {t}, repairs, opened | needs, there)
        return cost

    def repaired(
        self, r: int, belief: Belief, tests: frozenset[int], repairs: frozenset[int], opened: int, state: int
    ) -> float:
        job, needs = self.job, int(self.job.repair_zones[r])
        minutes, there = self.arrive(state, int(job.repair_state[r]), needs & ~opened)
        minutes += float(job.repair_minutes[r]) + self.moved(there, job.running) + job.check_minutes
        cost = minutes * job.rate + float(job.repair_extra[r])
        still = [0.0] * len(belief)
        for f, b in enumerate(belief):
            for g, chance in self.remains(f, r).items():
                still[g] += b * chance
        chance = sum(still)
        if chance > 1e-15:
            failed = tuple(s / chance for s in still)
            cost += chance * self.value(failed, tests, repairs - {r}, opened | needs, job.running)
        return cost

    def remains(self, f: int, r: int) -> dict[int, float]:
        """What is wrong after a repair that did not end the job, with its chance, if f was."""
        one, other = (int(x) for x in self.job.pair[f])
        if one < 0:
            return {f: 1 - float(self.job.cures[r, f])}
        a, b = float(self.job.cures[r, one]), float(self.job.cures[r, other])
        return {f: (1 - a) * (1 - b), one: (1 - a) * b, other: a * (1 - b)}

    def moved(self, state: int, to: int) -> float:
        return 0.0 if state == to else float(self.job.move[state, to])

    def arrive(self, state: int, target: int, closed: int) -> tuple[float, int]:
        """Minutes of the way and of opening, and the state in which the step is done."""
        minutes = sum(float(m) for z, m in enumerate(self.job.zone_minutes) if closed >> z & 1)
        stops = [state]
        if closed and not (self.job.can_open[state] or (target != ANY and self.job.can_open[target])):
            stops.append(self.job.safe)
        if target != ANY:
            stops.append(target)
        minutes += sum(self.moved(a, b) for a, b in pairwise(stops))
        return minutes, stops[-1]


def least_cost(job: Decision) -> float:
    return Solver(job).least()
