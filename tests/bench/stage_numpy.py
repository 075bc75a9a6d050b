#!/usr/bin/python3.11
# SPDX-License-Identifier: MIT
"""What NumPy needs for one spectral radius of 32 x 32, beside the same in tests/bench/stage.c."""
import time

import numpy

ROUNDS, SIZE = 200, 32


def main():
    dice = numpy.random.default_rng(1)
    matrices = [10 ** (-3 * dice.random((SIZE, SIZE))) for _ in range(ROUNDS)]
    before = time.process_time()
    total = sum(max(abs(numpy.linalg.eigvals(rows))) for rows in matrices)
    spent = (time.process_time() - before) * 1000 / ROUNDS
    print(f"  numpy.linalg.eigvals of one band {spent:8.3f} ms (mean radius {total / ROUNDS:.2f})")


main()
