# SPDX-License-Identifier: MIT
"""The truth about a stage a second way: from impulse responses alone, with no run in time.

    sound   mix output m --A--> input i --G--> mix output m        A[i, m, n], G[m, i, n]: samples n at `rate`
    loop    L(f) = A(f) G(f), of which A(f) G(f) and G(f) A(f) have the same eigenvalues but for zeros

Everything raised by the factor k rings from the least k on at which an eigenvalue of k L(f) is 1 at some f: that is
where det(I - k L(z)) has its first zero on the unit circle (Nyquist's criterion, stated for one loop in van Waterschoot
and Moonen, "Fifty Years of Acoustic Feedback Control", Proc. IEEE 99(2), 2011, equations 11 and 12, read in the paper;
for several loops by the eigenvalues of the loop matrix). So onset is 1 / the greatest value at which an eigenvalue's
locus crosses the positive real axis, and each crossing is a possible ring, a mode.

The loci are followed from bin to bin by the pairing that moves least; between two bins an eigenvalue turns and grows
evenly, as that of a delay does. None may turn by half a circle there: the grid begins with at least four points to each
sample of the responses, and is halved until that changes neither onset nor its place.
"""
import dataclasses
import functools
import itertools

import numpy

SAME_DB = 0.002  # what halving the grid may change
SAME_HZ = 0.1
LEAST_POINTS, MOST_POINTS = 1 << 12, 1 << 21
ROUNDING = 1e-9  # of a bin: a crossing at a bin belongs to one of its sides at least


@dataclasses.dataclass
class Mode:
    hz: float
    db: float  # how much everything may rise until it rings


@dataclasses.dataclass
class Onset:
    db: float
    hz: float
    modes: list  # by db, `db` and `hz` being the first one's

    def near(self, within_db):
        """The modes that ring no more than so much later than the first."""
        return [mode for mode in self.modes if mode.db <= self.db + within_db]


def loop(a, g, points):
    """L at 0, rate / points, ... rate / 2: the smaller of the two products."""
    a, g = (numpy.moveaxis(numpy.fft.rfft(h, points), -1, 0) for h in (a, g))
    return a @ g if a.shape[1] <= a.shape[2] else g @ a


def eigenvalues(matrices):
    return matrices[:, :, 0] if matrices.shape[1] == 1 else numpy.linalg.eigvals(matrices)


@functools.cache
def orders(count):
    return numpy.array(list(itertools.permutations(range(count))))


def steps(values):
    """(from, to) of each eigenvalue from each bin to the next: to is paired so that all together move least."""
    here, there = values[:-1], values[1:]
    if values.shape[1] == 1:
        return here, there
    choices = orders(values.shape[1])
    moved = numpy.stack([numpy.sum(numpy.abs(there[:, order] - here) ** 2, axis=1) for order in choices])
    return here, numpy.take_along_axis(there, choices[numpy.argmin(moved, axis=0)], axis=1)


def crossings(values):
    """(bin, value) of each place where a locus crosses the positive real axis. Both ends lie on the axis, and the other
    half of each locus is its mirror: what is positive there crosses."""
    here, there = steps(values)
    with numpy.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ratio = there / here
        at = -numpy.angle(here) / numpy.angle(ratio)
        size = numpy.abs(here) * numpy.abs(ratio) ** at
    row, column = numpy.nonzero((at > -ROUNDING) & (at < 1 + ROUNDING) & (size > 0))
    return zip(row + at[row, column], size[row, column])


def on_grid(a, g, rate, points):
    found = crossings(eigenvalues(loop(a, g, points)))
    modes = [Mode(bin * rate / points, -20 * numpy.log10(size)) for bin, size in found]
    modes.sort(key=lambda mode: (mode.db, mode.hz))
    first = modes[0] if modes else Mode(numpy.nan, numpy.inf)
    return Onset(first.db, first.hz, modes)


def onset(a, g, rate):
    """By how many dB everything may rise, and what rings then."""
    a, g = numpy.asarray(a, float), numpy.asarray(g, float)
    points = max(LEAST_POINTS, 4 << (a.shape[-1] + g.shape[-1]).bit_length())
    coarse = on_grid(a, g, rate, points)
    while points < MOST_POINTS:
        points *= 2
        fine = on_grid(a, g, rate, points)
        if unchanged(coarse, fine):
            return fine
        coarse = fine
    raise ArithmeticError(f"a grid of {rate / points} Hz is still too coarse")


def unchanged(coarse, fine):
    """Halving changes nothing: neither onset, nor where it is, be it one of several that ring together."""
    if not coarse.modes or not fine.modes:
        return not coarse.modes and not fine.modes
    places = [mode.hz for mode in fine.near(SAME_DB)]
    return abs(coarse.db - fine.db) <= SAME_DB and min(abs(hz - coarse.hz) for hz in places) <= SAME_HZ
