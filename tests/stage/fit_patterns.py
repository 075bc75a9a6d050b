#!/usr/bin/python3.11
# SPDX-License-Identifier: MIT
"""Fits what rules/stage allows for floor, room and ripple, and prints the rows that stand there: `pattern_rows` of
pattern.c, PATTERN_ALLOWANCE_SPREAD_DB of pattern.h and PHASES_SPREAD_DB of margin.c.

    GAINWARDEN_BUILD=build-test tests/stage/fit_patterns.py [STAGES]

One microphone of each pattern before one wedge, STAGES (80) of each, with an exact plan: the allowance is by how much
the onset lay below direct and reverberant sound together, on average, and its spread the standard deviation about that.
Then as many stages of several with all patterns mixed, and of them those whose paths meet: what is left there beyond that
spread is how their phases do. Each stage is of the half that no test draws from, and the same in each run.
"""
import concurrent.futures
import pathlib
import random
import re
import sys
import tempfile

TOP = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP / "tests" / "e2e"))

import harness
import numpy
import plans

SEVERAL = [(1, 2), (2, 1), (2, 2), (3, 2), (2, 3), (3, 3)]
ALONE_DB = 0.5  # rules/stage/margin.c


def rows():
    """The allowances as they stand."""
    text = (TOP / "rules" / "stage" / "pattern.c").read_text()
    found = {name: float(db) for name, db in re.findall(r'= \{"([a-z-]+)", [\d.]+, ([\d.]+)\}', text)}
    assert list(found) == list(plans.PATTERNS), found
    return found


def beyond_db(job):
    """By how much everything may rise more than estimated; None: nothing meets, where that is asked for."""
    name, size, pattern = job
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        setting = plans.draw(random.Random(f"fit {name}"), folder, size, plans.FIT, pattern)
        report = plans.estimate(setting, folder)
        together_db = report["paths"][0]["margin_db"] - report["random_phases"]["margin_db"]
        if not pattern and together_db <= ALONE_DB:
            return None
        return plans.truth(setting, folder).onset.db - report["random_phases"]["margin_db"]


def all_of(jobs):
    with concurrent.futures.ProcessPoolExecutor() as pool:
        return numpy.array([db for db in pool.map(beyond_db, jobs, chunksize=4) if db is not None])


def main():
    stages = int(sys.argv[1]) if len(sys.argv) > 1 else 80
    spreads = []
    for pattern, stands_db in rows().items():
        beyond = all_of([(f"{pattern} {number}", (1, 1), pattern) for number in range(stages)])
        spreads.append(beyond.std())
        print(f"{pattern}: allowance {stands_db - beyond.mean():.1f} dB, spread {spreads[-1]:.1f} dB "
              f"(it stands at {stands_db} dB)", flush=True)
    one = numpy.sqrt(numpy.mean(numpy.square(spreads)))
    several = all_of([(f"several {number}", SEVERAL[number % len(SEVERAL)], None) for number in range(stages)])
    print(f"all patterns: spread {one:.1f} dB, the largest {max(spreads):.1f} dB")
    print(f"{len(several)} stages whose paths meet, at random phases: {several.mean():+.1f} dB beyond the estimate, spread "
          f"{several.std():.1f} dB, of it by phases {max(0, several.var() - one ** 2) ** 0.5:.1f} dB")


if __name__ == "__main__":
    main()
