# SPDX-License-Identifier: MIT
"""The bounds of loops' spectral radii against NumPy: numpy.linalg.eigvals (LAPACK's geev) shares no code with them.
"""
import os
import pathlib
import subprocess
import time

import numpy

PROBE = pathlib.Path(os.environ["GAINWARDEN_BUILD"]) / "tests" / "radius_probe"
MATRICES = 1000
COMPLEX = 10000
SIZE_MOST = 64
CLOSE = 1.00115  # 0.01 dB as amplitude


def probe(matrices):
    """(least, most) of each matrix."""
    text = "\n".join(f"{len(one)} " + " ".join(repr(float(entry)) for entry in one.flat) for one in matrices)
    done = subprocess.run([PROBE], input=text, capture_output=True, text=True, check=True, timeout=600)
    assert done.stderr == ""
    return [tuple(map(float, line.split())) for line in done.stdout.splitlines()]


def new_dice():
    seed = int(os.environ.get("GW_SEED", time.time_ns()))
    print("GW_SEED", seed)
    return numpy.random.default_rng(seed)


def random_matrix(dice, size):
    """Entries over 80 dB; often most of them 0, so that it falls into parts."""
    rows = 10 ** (dice.uniform(-80, 0, (size, size)) / 20)
    return rows * (dice.random((size, size)) < dice.choice([0.5 / size, 1.5 / size, 4 / size, 0.5, 1]))


def radius(rows):
    return max(abs(numpy.linalg.eigvals(rows)), default=0)


def parts_are_single(rows):
    """No way leads back: a power of the pattern is 0. Its eigenvalues are 0 and LAPACK's are rounding noise."""
    ways = (rows > 0).astype(int)
    for _ in range(len(rows)):
        ways = ((ways @ (rows > 0)) > 0).astype(int)
    return not ways.any()


def test_a_thousand_random_matrices():
    dice = new_dice()
    matrices = [random_matrix(dice, dice.integers(1, SIZE_MOST + 1)) for _ in range(MATRICES)]
    answers = probe(matrices)
    assert len(answers) == MATRICES
    reducible, open_gaps = 0, 0
    for rows, (least, most) in zip(matrices, answers):
        if parts_are_single(rows):
            assert (least, most) == (0, 0), rows
            reducible += 1
            continue
        truth = radius(rows)
        assert least <= truth * (1 + 1e-6) and most >= truth * (1 - 1e-6), (least, truth, most, rows)
        open_gaps += most > least * CLOSE
    assert 20 < reducible < MATRICES / 2  # both kinds were met
    assert open_gaps < MATRICES / 100


def test_circles_and_ways_between_them():
    """Cyclic and reducible on purpose, in any order of rows."""
    dice = new_dice()
    matrices, truths = [], []
    for _ in range(200):
        sizes = dice.integers(2, 7, 3)
        rows = numpy.zeros((sum(sizes), sum(sizes)))
        means, at = [], 0
        for size in sizes:
            weights = 10 ** (dice.uniform(-20, 0, size) / 20)
            for i in range(size):
                rows[at + i, at + (i + 1) % size] = weights[i]
            means.append(numpy.prod(weights) ** (1 / size))
            if at:
                rows[dice.integers(0, at), at] = 10 * dice.random()  # one way only
            at += size
        order = dice.permutation(len(rows))
        matrices.append(rows[numpy.ix_(order, order)])
        truths.append(max(means))
    for truth, (least, most) in zip(truths, probe(matrices)):
        assert least <= truth * (1 + 1e-9) and truth <= most * (1 + 1e-9) and most <= least * CLOSE


def test_no_phases_are_worse_than_the_worst():
    """Of magnitudes the upper bound is never below the largest eigenvalue of any complex matrix that has them; and it
    is met where all phases are alike."""
    dice = new_dice()
    sizes = dice.integers(1, 13, COMPLEX)
    magnitudes = [random_matrix(dice, size) for size in sizes]
    closest = 0
    for rows, (_, most) in zip(magnitudes, probe(magnitudes)):
        phases = numpy.exp(2j * numpy.pi * dice.random(rows.shape))
        truth = radius(rows * phases)
        if parts_are_single(rows):
            assert most == 0
            continue
        assert most >= truth * (1 - 1e-6), (most, truth, rows)
        closest = max(closest, truth / most)
    assert closest > 0.99


def test_equal_microphones_cost_what_handbooks_say():
    """N of them: 20 log10 N at the worst phases, and of the squared magnitudes 10 log10 N."""
    counts = range(1, SIZE_MOST + 1)
    for power in (1, 2):
        for count, (least, most) in zip(counts, probe([numpy.full((n, n), 0.1 ** power) for n in counts])):
            lost_db = 20 / power * numpy.log10(most / 0.1 ** power)
            assert abs(lost_db - 20 / power * numpy.log10(count)) < 1e-9
            assert most - least < 1e-12 * most
