# SPDX-License-Identifier: MIT
"""The truth about a stage whose desk moves often: as nyquist.py finds onset, but on one grid, and for one mix too.

With the loop matrix L(f) = G(f) A(f) from mix output to mix output, everything rises to the first k at which an
eigenvalue of k L is 1. One mix m alone, all else as it stands, rises to the first k at which

    k t(f) = 1, where t = 1 - 1 / [(1 - L)^-1](m, m)

is the loop as it is seen at that mix's output with all other loops around it (Schur's complement, from memory:
det(1 - L with row m times k) = det(1 - L with row m out) (1 - k t)). Each crossing is a mode that grows by its excess
over the delay of its loop. What is known of a stage that is past onset already: Nyquist's count.

Where the rows of |L|, or its columns, sum up to little nothing can ring, and nothing is worked out.
"""
import dataclasses
import functools

import numpy

import nyquist
from simulator import RATE

NEAR = 0.4  # of the largest: what is looked at first
LOW = 0.15
SURE_DB = 0.2  # so near onset a grid may go round 0 on the wrong side
SEEN = LOW / (1 - LOW)  # where no row sums up to more than LOW, t is below this


@dataclasses.dataclass
class Mode:
    hz: float
    db: float  # by how much it may rise until it rings
    delay_s: float
    shares: numpy.ndarray  # of the mixes, the largest 1


def axis_crossings(here, there):
    """(place, how far on to the next, value, turn) where the locus crosses the positive real axis."""
    with numpy.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ratio = there / here
        turn = numpy.angle(ratio)
        at = -numpy.angle(here) / turn
        size = numpy.abs(here) * numpy.abs(ratio) ** at
    places = numpy.nonzero((at > -nyquist.ROUNDING) & (at < 1 + nyquist.ROUNDING) & (size > 0))
    return places, at[places], size[places], turn[places]


class Loops:
    def __init__(self, acoustic, latency):
        """A[input, mix, sample]; the desk takes so many samples."""
        self.points = max(nyquist.LEAST_POINTS, 4 << acoustic.shape[-1].bit_length())
        self.step_hz = RATE / self.points
        self.hz = numpy.arange(self.points // 2 + 1) * self.step_hz
        self.turn = numpy.exp(-2j * numpy.pi * self.hz / RATE)
        self.acoustic = (numpy.moveaxis(numpy.fft.rfft(acoustic, self.points), -1, 0)
                         * (self.turn ** latency)[:, None, None])

    def matrices(self, gains):
        return gains @ self.acoustic

    @staticmethod
    def sizes(loops):
        """What no eigenvalue is above, at each bin."""
        entries, count = numpy.abs(loops), range(loops.shape[1])
        rows = functools.reduce(numpy.maximum, (sum(entries[:, m, n] for n in count) for m in count))
        columns = functools.reduce(numpy.maximum, (sum(entries[:, m, n] for m in count) for n in count))
        return numpy.minimum(rows, columns)

    @staticmethod
    def kept(sizes, least):
        """Bins at which something can be that large, with their neighbours."""
        keep = sizes >= least
        keep[1:] |= keep[:-1].copy()
        keep[:-1] |= keep[1:].copy()
        return numpy.nonzero(keep)[0]

    def mode(self, bins, row, at, size, turn, shares):
        delay_s = max(1e-3, -turn / (2 * numpy.pi * self.step_hz))
        return Mode((bins[row] + at) * self.step_hz, -20 * numpy.log10(size), delay_s, shares)

    # ---- everything alike ----

    def modes(self, loops, within_db=12):
        """Of everything alike, the first to ring first."""
        sizes = self.sizes(loops)
        least = NEAR * sizes.max()
        while True:
            found = self.eigen_modes(loops, self.kept(sizes, least), within_db)
            if found and 10 ** (-found[0].db / 20) >= least or least < 1e-9:
                return found
            least = 10 ** (-found[0].db / 20) if found else least / 4

    def eigen_modes(self, loops, bins, within_db):
        values = nyquist.eigenvalues(loops[bins])
        here, there = nyquist.steps(values)
        next_to = numpy.diff(bins) == 1
        (rows, columns), ats, sizes, turns = axis_crossings(here, there)
        order = [k for k in numpy.argsort(-sizes) if next_to[rows[k]]]
        if not order:
            return []
        near = [k for k in order if sizes[k] >= sizes[order[0]] * 10 ** (-within_db / 20)]
        return [self.mode(bins, rows[k], ats[k], sizes[k], turns[k],
                          self.shares(loops[bins[rows[k]]], here[rows[k], columns[k]])) for k in near]

    @staticmethod
    def shares(matrix, value):
        values, vectors = numpy.linalg.eig(matrix)
        vector = numpy.abs(vectors[:, numpy.argmin(numpy.abs(values - value))])
        return vector / vector.max()

    # ---- one mix ----

    def modes_of(self, loops, mix, within_db=12, sizes=None):
        """Of one mix, all else as it stands."""
        sizes = self.sizes(loops) if sizes is None else sizes
        least = LOW
        while True:
            bins = self.kept(sizes, least)
            found = self.seen_at(self.seen(loops[bins]), bins, mix)
            if found and 10 ** (-found[0].db / 20) >= least * SEEN / LOW or least < 1e-6:
                return [mode for mode in found if mode.db <= found[0].db + within_db] if found else []
            least /= 8

    @staticmethod
    def seen(loops):
        """t of each mix."""
        size = loops.shape[1]
        if size == 1:
            return loops[:, 0]
        return 1 - 1 / numpy.diagonal(numpy.linalg.inv(numpy.eye(size) - loops), axis1=1, axis2=2)

    def seen_at(self, seen, bins, mix):
        shares = numpy.zeros(seen.shape[1])
        shares[mix] = 1
        (rows,), ats, sizes, turns = axis_crossings(seen[:-1, mix], seen[1:, mix])
        next_to = numpy.diff(bins) == 1
        found = [self.mode(bins, rows[k], ats[k], sizes[k], turns[k], shares)
                 for k in range(len(rows)) if next_to[rows[k]]]
        return sorted(found, key=lambda mode: mode.db)

    def rings(self, loops, sizes=None):
        """Whether it rings as it stands: det(1 - L) goes round 0."""
        bins = self.kept(self.sizes(loops) if sizes is None else sizes, LOW)
        if not len(bins):
            return False
        angles = numpy.angle(numpy.linalg.det(numpy.eye(loops.shape[1]) - loops[bins]))
        turned = (numpy.diff(angles) + numpy.pi) % (2 * numpy.pi) - numpy.pi
        return abs(angles[0] + turned.sum()) > numpy.pi

    def margins(self, loops):
        """How far each mix may rise with all else as it stands, dB; below 0 where it rings already."""
        sizes = self.sizes(loops)
        rings = self.rings(loops, sizes)
        bins = self.kept(sizes, LOW)
        seen = self.seen(loops[bins])
        margins = []
        for mix in range(loops.shape[1]):
            if not loops[:, mix].any():
                margins.append(numpy.inf)
                continue
            modes = self.seen_at(seen, bins, mix)
            if not modes or 10 ** (-modes[0].db / 20) < SEEN:
                modes = self.modes_of(loops, mix, numpy.inf, sizes)
            margins.append(min((mode.db for mode in modes if rings or mode.db >= -SURE_DB), default=numpy.inf))
        return margins, rings
