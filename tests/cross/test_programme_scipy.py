# SPDX-License-Identifier: MIT
"""Integrals over programme and highest points against SciPy's responses on a grid many times finer.

Responses: scipy.signal.freqz of the cookbook's prototypes through scipy.signal.bilinear, as in
test_filters_scipy.py. Speech: ANSI S3.5-1997 table 3, normal effort (read in copies); band edges: IEC 61260-1:2014,
base ten. An even grid of midpoints knows nothing of where the filters stand.
"""
import os
import pathlib
import random
import subprocess
import time

import numpy
from scipy import signal

from test_filters_scipy import SHAPES, prototype

PROBE = pathlib.Path(os.environ["GAINWARDEN_BUILD"]) / "tests" / "programme_probe"
CASCADES = 25
PLACES = 4000  # in each third-octave band
BANDS = 31
SPEECH_FIRST = 9  # 160 Hz
SPEECH_DB = numpy.array([32.41, 34.48, 34.75, 33.98, 34.59, 34.27, 32.06, 28.3, 25.01, 23.0, 20.15, 17.32,
                         13.18, 11.55, 9.33, 5.31, 2.59, 1.13])
CENTRES = 1000 * 10 ** ((numpy.arange(BANDS) - 17) / 10)
# nothing is printed finer than 0.1 dB; halving a step may change nothing by 0.05 dB
TOLERANCE_DB = 0.03


def shares():
    speech = numpy.zeros(BANDS)
    last = SPEECH_FIRST + len(SPEECH_DB)
    speech[SPEECH_FIRST:last] = 10 ** (SPEECH_DB / 10) * CENTRES[SPEECH_FIRST:last]
    return numpy.repeat(speech / sum(speech), PLACES) / PLACES, numpy.full(BANDS * PLACES, 1 / BANDS / PLACES)


def grid(rate):
    hz = 1000 * 10 ** (((numpy.arange(BANDS * PLACES) + 0.5) / PLACES - 17.5) / 10)
    return numpy.minimum(hz, 0.4999 * rate)


def response_db(rate, filters, hz):
    db = numpy.zeros(len(hz))
    for shape, freq, gain, q in filters:
        numerator, denominator = prototype(SHAPES[shape], gain, q)
        warped = 1 / numpy.tan(numpy.pi * freq / rate)
        b, a = signal.bilinear(numerator, denominator, fs=warped / 2)
        _, h = signal.freqz(b, a, worN=2 * numpy.pi * hz / rate)
        db += 20 * numpy.log10(numpy.maximum(numpy.abs(h), 1e-30))
    return db


def reference(rate, filters):
    speech, pink = shares()
    db = response_db(rate, filters, grid(rate))
    loss = -10 * numpy.log10(sum(speech * 10 ** (db / 10)))
    without = response_db(rate, filters[1:], grid(rate))
    return [loss, -10 * numpy.log10(sum(pink * 10 ** (db / 10))),
            numpy.sqrt(sum(speech * (db + loss) ** 2)),
            10 * numpy.log10(sum(speech * 10 ** (without / 10))) + loss,
            max(db[(grid(rate) >= 20) & (grid(rate) <= 20000)])]


def probe(rows):
    text = "\n".join(" ".join(repr(float(number)) for number in (rate, len(filters), *sum(filters, ())))
                     for rate, filters in rows)
    done = subprocess.run([PROBE], input=text, capture_output=True, text=True, check=True, timeout=60)
    assert done.stderr == ""
    return [[float(word) for word in line.split()] for line in done.stdout.splitlines()]


def check(rate, filters, answer):
    expected = reference(rate, filters)
    answer[4], expected[4] = max(0, answer[4]), max(0, expected[4])  # what lifts nothing is not climbed
    for name, got, wanted in zip(("speech", "pink", "spread", "back", "top"), answer, expected):
        # even the fine grid may miss the top of a peak of Q 60 by a little
        assert abs(got - wanted) < TOLERANCE_DB, (name, got, wanted, rate, filters)


def random_filter(dice):
    shape = dice.choice([0, 0, 0, 0, 1, 2, 3, 4, 5])
    return (shape, 20 * 900 ** dice.random(), dice.uniform(-18, 12), 0.3 * 200 ** dice.random())


def test_random_cascades():
    seed = int(os.environ.get("GW_SEED", time.time_ns()))
    print("GW_SEED", seed)
    dice = random.Random(seed)
    rows = []
    while len(rows) < CASCADES:
        filters = [random_filter(dice) for _ in range(dice.randrange(1, 9))]
        if sum(shape in (3, 4) for shape, *_ in filters) <= 1:  # more of them leave nothing of programme
            rows.append((dice.choice([44100, 48000, 96000]), filters))
    answers = probe(rows)
    assert len(answers) == CASCADES
    for (rate, filters), answer in zip(rows, answers):
        check(rate, filters, answer)


def test_notches():
    """Beside a notch: wherever it stands against the places that are looked at, and however narrow."""
    rows = [(48000, [(5, hz, 0, q)]) for hz in (250, 500, 997.3, 1000, 1122, 4000) for q in (1, 5, 30, 100)]
    for (rate, filters), answer in zip(rows, probe(rows)):
        check(rate, filters, answer)
        if filters[0][3] >= 30:
            assert answer[2] < 4  # a grid with one place at the bottom of such a notch told of 11


def test_corners_that_ring():
    """Nearly all that comes through is two peaks as narrow as a filter's, far below the band that is loudest."""
    rows = [(96000, [(2, 199.4034699216638, gain, 30.677494541454877), (4, 104.96776175536652, 0, 38.21030270273983)])
            for gain in (-12, -16.859329108236274, -18)]
    for (rate, filters), answer in zip(rows, probe(rows)):
        check(rate, filters, answer)
