# SPDX-License-Identifier: MIT
"""The filter maths against SciPy: signal.butter, signal.sosfreqz and signal.freqz share no code with it.

The biquads' coefficients are worked out here from the analogue prototypes of R. Bristow-Johnson's Audio EQ
Cookbook by scipy.signal.bilinear, not from the cookbook's digital formulas that rules/sound/filter.c holds, so
that a slip in either shows.
"""
import os
import pathlib
import random
import subprocess
import time

import numpy
from scipy import signal

PROBE = pathlib.Path(os.environ["GAINWARDEN_BUILD"]) / "tests" / "filter_probe"
SHAPES = ["peak", "low-shelf", "high-shelf", "low-pass", "high-pass", "notch"]
CASCADES = 1000
TOLERANCE_DB = 1e-6


def probe(rows):
    """One line of numbers in, one line of decibels out, for each row."""
    text = "\n".join(" ".join(repr(float(number)) for number in row) for row in rows)
    done = subprocess.run([PROBE], input=text, capture_output=True, text=True, check=True,
                          timeout=60)
    assert done.stderr == ""
    return [numpy.array([float(word) for word in line.split()])
            for line in done.stdout.splitlines()]


def prototype(shape, gain_db, q):
    """Numerator and denominator in s, normalised to the filter's frequency."""
    a = 10 ** (gain_db / 40)
    root = a ** 0.5 / q
    return {
        "peak": ([1, a / q, 1], [1, 1 / (a * q), 1]),
        "low-shelf": ([a, a * root, a * a], [a, root, 1]),
        "high-shelf": ([a * a, a * root, a], [1, root, a]),
        "low-pass": ([1], [1, 1 / q, 1]),
        "high-pass": ([1, 0, 0], [1, 1 / q, 1]),
        "notch": ([1, 0, 1], [1, 1 / q, 1]),
    }[shape]


class Reference:
    """Responses in dB by SciPy, with how far its own rounding may be off.

    A coefficient is rounded to one part in 2^53, so a polynomial whose terms all but cancel on the unit
    circle (a notch near its centre, anything near 0 Hz) is known no better than the sum of its terms'
    sizes allows. Where that bound comes near the tolerance, SciPy is no reference."""

    def __init__(self, rate, places):
        self.w = 2 * numpy.pi * numpy.asarray(places) / rate
        self.rate = rate
        self.db = numpy.zeros(len(self.w))
        self.bound_db = numpy.zeros(len(self.w))

    def doubt(self, polynomial):
        _, value = signal.freqz(polynomial, worN=self.w)
        self.bound_db += 20 / numpy.log(10) * 8 * numpy.finfo(float).eps * (
            numpy.sum(numpy.abs(polynomial)) / numpy.maximum(numpy.abs(value), 1e-300))

    def add(self, shape, freq, gain_db, q):
        """The bilinear transform of the prototype, its frequency kept in place."""
        numerator, denominator = prototype(shape, gain_db, q)
        warped = 1 / numpy.tan(numpy.pi * freq / self.rate)  # s = warped * (1 - z) / (1 + z)
        b, a = signal.bilinear(numerator, denominator, fs=warped / 2)
        _, h = signal.freqz(b, a, worN=self.w)
        self.db += 20 * numpy.log10(numpy.maximum(numpy.abs(h), 1e-300))
        self.doubt(b)
        self.doubt(a)

    def add_high_pass(self, order, corner):
        sections = signal.butter(order, corner, "highpass", fs=self.rate, output="sos")
        _, h = signal.sosfreqz(sections, worN=self.w)
        self.db += 20 * numpy.log10(numpy.abs(h))
        for section in sections:
            self.doubt(section[:3])
            self.doubt(section[3:])

    def counts(self):
        return self.bound_db < TOLERANCE_DB / 2

    def check(self, answer, what):
        off = numpy.abs(answer - self.db)[self.counts()]
        assert numpy.all(off < TOLERANCE_DB), (what, numpy.max(off))


def random_filter(dice, rate):
    shape = dice.randrange(len(SHAPES))
    return (shape, 20 * (0.45 * rate / 20) ** dice.random(), dice.uniform(-18, 18),
            0.3 * 100 ** dice.random())


def random_cascade(dice):
    rate = dice.choice([44100, 48000, 96000])
    order = dice.randrange(0, 9)
    corner = 20 * 20 ** dice.random()
    filters = [random_filter(dice, rate) for _ in range(dice.randrange(1, 9))]
    places = [20 * 1000 ** (i / 30) for i in range(31)]
    return rate, order, corner, filters, places


def test_a_thousand_random_cascades():
    seed = int(os.environ.get("GW_SEED", time.time_ns()))
    print("GW_SEED", seed)
    dice = random.Random(seed)
    cascades = [random_cascade(dice) for _ in range(CASCADES)]
    answers = probe([rate, order, corner, len(filters), *sum(filters, ()), len(places), *places]
                    for rate, order, corner, filters, places in cascades)
    assert len(answers) == CASCADES
    compared = 0
    for (rate, order, corner, filters, places), answer in zip(cascades, answers):
        reference = Reference(rate, places)
        for shape, freq, gain, q in filters:
            reference.add(SHAPES[shape], freq, gain, q)
        if order > 0:
            reference.add_high_pass(order, corner)
        reference.check(answer, (rate, order, corner, filters))
        compared += numpy.count_nonzero(reference.counts())
    assert compared > 0.95 * CASCADES * len(places)


def test_each_shape_alone():
    """One of each, so that no shape hides behind the others."""
    places = [20 * 1000 ** (i / 60) for i in range(61)]
    rows = [(48000, 0, 0, 1, shape, 1000, 0 if shape > 2 else -9, 1.4, len(places), *places)
            for shape in range(len(SHAPES))]
    for shape, answer in enumerate(probe(rows)):
        reference = Reference(48000, places)
        reference.add(SHAPES[shape], 1000, 0 if shape > 2 else -9, 1.4)
        assert numpy.count_nonzero(reference.counts()) >= 60  # all but a notch's centre
        reference.check(answer, SHAPES[shape])


def test_each_order_of_the_high_pass():
    places = [20 * 1000 ** (i / 60) for i in range(61)]
    rows = [(48000, order, 120, 0, len(places), *places) for order in range(1, 9)]
    for order, answer in enumerate(probe(rows), start=1):
        reference = Reference(48000, places)
        reference.add_high_pass(order, 120)
        assert numpy.all(reference.counts())
        reference.check(answer, order)
