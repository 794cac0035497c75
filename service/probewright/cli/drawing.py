"""``probewright simulate``."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from probewright.batch.files import check_output, write_jobs
from probewright.cli.common import Exit
from probewright.cli.loading import prepared
from probewright.simulation.sample import Sample, lines


def simulate_cases(
    family: str, sample: Sample, workers: int, output: str, *, force: bool, strict: bool, shop: Sequence[str] = (),
) -> int:  # fmt: skip
    """Draw invented cases with what was truly wrong, one a line, or as a table."""
    check_output(output, overwrite=force)
    registry, settings = prepared(strict, shop)
    pack = registry.get(family)
    drawn = lines(pack, settings, sample, workers)
    count = write_jobs(drawn, output, overwrite=force)
    told = f"{count} invented cases of {family} {pack.family.version}, seed {sample.seed}: nothing in them is real"
    sys.stderr.write(f"probewright: {told}\n")
    return Exit.OK
