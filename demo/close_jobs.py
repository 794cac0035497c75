"""Write ``closed_jobs.ndjson``: closed jobs of an invented shop, for ``probewright pack learn``.

No such shop exists.  Jobs are simulated in a world whose fault rates differ from the pack's, by up to a factor of two
either way; nothing in them was ever measured.  The same seed writes the same file.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from probewright.learning.simulated import close, written
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.simulation.draw import Omissions, draw
from probewright.simulation.perturb import perturbed
from probewright.simulation.policies import one_step
from probewright.simulation.world import World

OUT = Path(__file__).parent / "closed_jobs.ndjson"
JOBS = 300
SEED = 2026
FIRST_DAY = date(2026, 1, 5)
#: Jobs closed in a day.
A_DAY = 2
OMISSIONS = Omissions(ambient=0.5, supply=0.5, option=0.1)


def lines(jobs: int = JOBS) -> Iterator[bytes]:
    """The lines of the file."""
    pack, settings = load_packs().packs["gas_range"], Settings()
    other = replace(pack.family, faults=perturbed(pack.family, SEED, 0).faults)
    world, policy = World(other, settings.misread_rate), one_step(pack, settings)
    for number in range(jobs):
        job = draw(world, SEED, number, OMISSIONS)
        closed, _ = close(world, job, policy, FIRST_DAY + timedelta(days=number // A_DAY))
        case = replace(closed.case, reference=f"invented job {number + 1}", meters={}, readings=tuple(
            replace(reading, meter=None, state=None) for reading in closed.case.readings if reading.meter is None
        ))  # fmt: skip
        yield written(replace(closed, case=case))


def main() -> int:
    """Write the file."""
    OUT.write_bytes(b"".join(lines()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
