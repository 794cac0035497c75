"""Measure, and print tables; with ``--write`` put them into README.md: ``make bench BENCH_ARGS=--write``."""

from __future__ import annotations

import argparse
import re
import tempfile
from pathlib import Path

import bench_batch
import bench_cold
import bench_command
import bench_first
import bench_http
import bench_planner
import bench_posterior
import shares
from machine import description
from servers import both
from table import Figure, figures_table

README = Path(__file__).parents[1] / "README.md"


def write(place: str, report: str) -> None:
    """Put a report in its place in the README."""
    pattern = re.compile(rf"(?<=<!-- {place} -->\n).*?(?=<!-- /{place} -->)", re.DOTALL)
    text, count = pattern.subn(lambda _: f"{report}\n", README.read_text(encoding="utf-8"))
    if count != 1:
        raise SystemExit(f"README.md has no place for {place}")
    README.write_text(text, encoding="utf-8")


def http(options: argparse.Namespace, figures: list[Figure]) -> str:
    """Everything about the service: adds to the figures, and gives its profile."""
    with tempfile.TemporaryDirectory() as name, both(Path(name)) as servers:
        figures += bench_http.measure(servers, options.rounds, options.seconds)
        profile = shares.measure(servers, 3 * options.seconds)
    figures += bench_first.measure()
    figures += [bench_cold.measure(), bench_http.start_up(options.rounds)]
    return profile


def main() -> None:
    """Run as a command."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=7, help="repetitions of each measurement (default 7)")
    parser.add_argument("--seconds", type=int, default=4, help="length of each run of wrk (default 4)")
    parser.add_argument("--only", choices=["posterior", "planner", "http", "batch"], help="one part alone")
    parser.add_argument("--full", action="store_true", help="large jobs, and a million stored ones, too")
    parser.add_argument("--write", action="store_true", help="write the tables into README.md too")
    options = parser.parse_args()
    if options.write and options.only:
        parser.error("--write needs all parts: leave --only out")
    figures: list[Figure] = []
    if options.only in {None, "posterior"}:
        figures += bench_posterior.measure(options.rounds)
    if options.only in {None, "planner"}:
        figures += bench_planner.measure(full=options.full)
    parts = ""
    if options.only in {None, "batch"}:
        figures += bench_batch.measure(options.rounds)
        more, parts = bench_command.measure(min(options.rounds, 3), full=options.full)
        figures += more
    profile = http(options, figures) if options.only in {None, "http"} else ""
    report = f"Measured on: {description()}.\n\n{figures_table(figures)}"
    print(f"\n{report}\n\n{profile}\n\n{parts}")
    if options.write:
        write("benchmarks", report)
        write("profile", profile)
        write("batch", parts)


if __name__ == "__main__":
    main()
