"""Measure, and print a table; with ``--write`` put it into README.md: ``make bench BENCH_ARGS=--write``."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

import bench_http
import bench_posterior
from machine import description
from table import Figure, markdown

README = Path(__file__).parents[1] / "README.md"
PLACE = re.compile(r"(?<=<!-- benchmarks -->\n).*?(?=<!-- /benchmarks -->)", re.DOTALL)


def write(report: str) -> None:
    """Put a report in its place in the README."""
    text, count = PLACE.subn(lambda _: report, README.read_text(encoding="utf-8"))
    if count != 1:
        raise SystemExit("README.md has no place for benchmarks")
    README.write_text(text, encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=7, help="repetitions of each measurement (default 7)")
    parser.add_argument("--seconds", type=int, default=4, help="length of each run of wrk (default 4)")
    parser.add_argument("--only", choices=["posterior", "http"], help="one part alone")
    parser.add_argument("--write", action="store_true", help="write the table into README.md too")
    options = parser.parse_args()
    figures: list[Figure] = []
    if options.only != "http":
        figures += bench_posterior.measure(options.rounds)
    if options.only != "posterior":
        figures += bench_http.measure(options.rounds, options.seconds)
        figures.append(bench_http.start_up(options.rounds))
    report = f"Measured on: {description()}.\n\n{markdown(figures)}\n"
    print(f"\n{report}")
    if options.write:
        write(report)


if __name__ == "__main__":
    main()
