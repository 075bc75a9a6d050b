# SPDX-License-Identifier: MIT
"""The second way to the truth on loops whose truth can be written down."""
import random

import numpy
import pytest
from harness import SEED

import nyquist

RATE = 48000


def taps(*pairs, length=None):
    h = numpy.zeros(length or max(at for at, _ in pairs) + 1)
    for at, value in pairs:
        h[at] += value
    return h


ONE = numpy.ones((1, 1, 1))


def db(ratio):
    return 20 * numpy.log10(ratio)


@pytest.mark.parametrize("delay_ms, spacing_hz", [(2, 500), (10, 100), (25, 40), (100, 10)])
def test_single_delay_rings_one_over_the_delay_apart(delay_ms, spacing_hz):
    # D. Troxel, RaneNote 158 (2005), "Understanding Acoustic Feedback": spacing 1/delay (read in the note)
    found = nyquist.onset(taps((delay_ms * 48, 0.25))[None, None], ONE, RATE)
    assert found.db == pytest.approx(db(4), abs=1e-6)
    places = sorted({round(mode.hz, 6) for mode in found.near(1e-6)})
    assert places[0] == 0
    assert numpy.diff(places) == pytest.approx(spacing_hz, abs=1e-6)
    assert len(places) == RATE // 2 // spacing_hz + 1


def test_inverted_delay_rings_half_way_between():
    found = nyquist.onset(taps((480, -0.5))[None, None], ONE, RATE)
    assert found.db == pytest.approx(db(2), abs=1e-6)
    places = sorted({round(mode.hz, 6) for mode in found.modes})
    assert places[:3] == pytest.approx([50, 150, 250], abs=1e-6)


def test_two_microphones_that_hear_only_each_others_wedge():
    """Eigenvalues +-sqrt(a b) exp(-j w (d + e) / 2): one locus goes over into the other, rings lie 1/(d + e) apart."""
    a = numpy.zeros((2, 2, 700))
    a[0, 1, 300], a[1, 0, 500] = 0.5, 0.02
    g = numpy.eye(2)[:, :, None]
    found = nyquist.onset(a, g, RATE)
    assert found.db == pytest.approx(-10 * numpy.log10(0.5 * 0.02), abs=1e-6)
    places = sorted({round(mode.hz, 6) for mode in found.near(1e-6)})
    assert numpy.diff(places) == pytest.approx(RATE / 800, abs=1e-5)


def test_more_microphones_than_wedges_and_the_reverse():
    """Two microphones in one wedge: their paths add up; one microphone in two wedges likewise."""
    a = numpy.zeros((2, 1, 481))
    a[:, 0, 480] = 0.25, 0.15
    g = numpy.ones((1, 2, 1))
    assert nyquist.onset(a, g, RATE).db == pytest.approx(db(1 / 0.4), abs=1e-6)
    assert nyquist.onset(a.swapaxes(0, 1), g.swapaxes(0, 1), RATE).db == pytest.approx(db(1 / 0.4), abs=1e-6)


def test_nothing_comes_back():
    found = nyquist.onset(numpy.zeros((2, 2, 10)), numpy.ones((2, 2, 1)), RATE)
    assert found.db == numpy.inf and not found.modes
    a = numpy.zeros((2, 2, 10))
    a[0, 1, 5] = 1  # heard once more, but by nobody again
    assert nyquist.onset(a, numpy.eye(2)[:, :, None], RATE).db > 200


def poles(k, blocks):
    """The zeros of det(I - k L(z)) for L = sum of blocks[n] z^-n, as eigenvalues of its companion matrix."""
    order, size = len(blocks) - 1, blocks.shape[1]
    companion = numpy.eye(order * size, k=-size)
    companion[:size] = k * numpy.concatenate(list(blocks[1:]), axis=1)
    return numpy.linalg.eigvals(companion)


def random_loop(dice, size):
    length = dice.randrange(4, 24)
    shape = (size, size, length)
    sound = numpy.array([dice.gauss(0, 1) for _ in range(size * size * length)]).reshape(shape)
    sound[:, :, 0] = 0  # no loop without delay
    return sound


@pytest.mark.parametrize("size", [1, 2, 3, 4])
def test_random_loops_against_their_poles(size):
    """Up to onset every pole lies inside the unit circle, beyond it one does not: where the mode is."""
    dice = random.Random(f"{SEED} {size}")
    for _ in range(25):
        sound = random_loop(dice, size)
        found = nyquist.onset(sound, numpy.eye(size)[:, :, None], RATE)
        k, blocks = 10 ** (found.db / 20), numpy.moveaxis(sound, -1, 0)
        for part in [0.9995] + [dice.random() for _ in range(8)]:
            assert numpy.abs(poles(part * k, blocks)).max() < 1, (part, found)
        outside = max(poles(1.0005 * k, blocks), key=abs)
        assert abs(outside) > 1
        hz = abs(numpy.angle(outside)) * RATE / 2 / numpy.pi
        assert min(abs(mode.hz - hz) for mode in found.near(0.01)) < 10


def test_a_grid_too_coarse_is_told(monkeypatch):
    monkeypatch.setattr(nyquist, "MOST_POINTS", 1 << 17)
    sharp = 0.999 ** numpy.arange(20000) * numpy.cos(numpy.arange(20000) / 7)
    with pytest.raises(ArithmeticError):
        nyquist.onset(sharp[None, None], taps((1, 1))[None, None], RATE)
