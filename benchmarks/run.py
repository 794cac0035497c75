"""Measure, and print a table for the README: ``make bench``."""

from __future__ import annotations

import argparse

import bench_http
import bench_posterior
from machine import description
from table import Figure, markdown


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=7, help="repetitions of each measurement (default 7)")
    parser.add_argument("--seconds", type=int, default=4, help="length of each run of wrk (default 4)")
    parser.add_argument("--only", choices=["posterior", "http"], help="one part alone")
    options = parser.parse_args()
    figures: list[Figure] = []
    if options.only != "http":
        figures += bench_posterior.measure(options.rounds)
    if options.only != "posterior":
        figures += bench_http.measure(options.rounds, options.seconds)
        figures.append(bench_http.start_up(options.rounds))
    print(f"\nMeasured on: {description()}\n")
    print(markdown(figures))


if __name__ == "__main__":
    main()
