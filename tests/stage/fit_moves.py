# SPDX-License-Identifier: MIT
"""Fits the allowances of rules/proof/allowance.c on stages of its own, which test_bound.py does not look at: the least
sum of them, none above 6 dB, with which no figure is further above the truth than one may be right after a ring-out.

    GAINWARDEN_BUILD=build-test python3 tests/stage/fit_moves.py [STAGES]
"""
import pathlib
import sys
import tempfile

import scipy.optimize

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "e2e"))

from proved import KINDS
from tally import TRUE_DB, Tally

MOST_DB = 6
STAGES = 170


def fit(rows):
    """{kind: dB}"""
    bad = [row for row in rows if row.moves and row.bare_db - row.truth_db > TRUE_DB]
    if not bad:
        return dict.fromkeys(KINDS, 0)
    sums = [[-(kind in row.moves) for kind in KINDS] for row in bad]
    most = [TRUE_DB - row.bare_db + row.truth_db for row in bad]
    found = scipy.optimize.linprog([1] * len(KINDS), A_ub=sums, b_ub=most,
                                   bounds=[(0, MOST_DB)] * len(KINDS))
    assert found.success, found.message
    return dict(zip(KINDS, found.x))


def main():
    stages = int(sys.argv[1]) if len(sys.argv) > 1 else STAGES
    with tempfile.TemporaryDirectory() as folder:
        rows = Tally("fit", stages, pathlib.Path(folder)).rows
    print(f"{stages} stages, {len(rows)} figures: "
          + ", ".join(f"{kind} {db:.2f} dB" for kind, db in fit(rows).items()))


if __name__ == "__main__":
    main()
