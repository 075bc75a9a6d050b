# SPDX-License-Identifier: MIT
"""Hands on a stage on paper: each path from a microphone to a wedge rings in given bands from given gains on, a ring
grows and dies by its excess over the loop's delay, and stands over noise that follows the gain. No acoustics, so that
what an engineer does is seen by itself, in no time."""
import numpy

from .hands import Hands, controls

DELAY_S = 0.02
NOISE_DB = -100  # in each band, at a path gain of 0 dB
SILENT_DB, FULL_DB = -120, -3


class PaperHands(Hands):
    def __init__(self, rings):
        """rings[input, mix][band] is the path gain from which on that band rings."""
        self.rings, self.time = rings, 0.0
        self.beyond = {}  # what excess() found since the last move
        inputs, mixes = (sorted(set(numbers)) for numbers in zip(*rings))
        super().__init__(dict.fromkeys(controls(inputs, mixes), 0), inputs, mixes)
        self.levels = {m: numpy.full(len(self.bands), float(SILENT_DB)) for m in mixes}
        self.onsets = {path: numpy.array([bands.get(band, 200.0) for band in range(1, len(self.bands) + 1)])
                       for path, bands in rings.items()}

    def now(self):
        return self.time

    def wait(self, seconds):
        self.time += seconds
        for m in self.mixes:
            grown = self.levels[m] + self.excess(m) * (seconds / DELAY_S)
            noise = max(SILENT_DB, NOISE_DB + self.loudest_db(m))
            self.levels[m] = numpy.minimum(numpy.maximum(grown, noise), max(FULL_DB, noise))

    def excess(self, m):
        """By how much each band is beyond its ring, at its worst path."""
        if m not in self.beyond:
            cuts = numpy.array([self.get(("cut", m, band)) for band in range(1, len(self.bands) + 1)])
            self.beyond[m] = cuts + numpy.max([max(-200, self.path_db(i, m)) - self.onsets[i, m] for i in self.inputs],
                                              axis=0)
        return self.beyond[m]

    def left(self):
        """By how much everything may rise, like the truth of a stage."""
        return -max(self.excess(m).max() for m in self.mixes)

    def spectrum(self, mix):
        return self.levels[mix].tolist()

    def turn(self, control, value):
        self.beyond.clear()
