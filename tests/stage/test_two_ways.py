# SPDX-License-Identifier: MIT
"""Onset of random stages in time and from their impulse responses: nothing that rests on the simulator counts unless
these agree to 0.3 dB, and unless what is heard ringing is one of the modes that may ring first.

In time means two things: the simulator's own figure, and the loop with its clipper itself, run 0.3 dB below and above
what the impulse responses say: an impulse must die away, or grow.
"""
import random

import numpy
import pytest
from harness import SEED, rounds

import nyquist
from simulator import MIX, OFF, RATE, Stage

AGREE_DB = 0.3
AGREE_HZ = 0.02  # of the frequency
STAGES = rounds(5, 50)
SIZES = [(microphones, mixes) for microphones in (1, 2, 3, 4) for mixes in (1, 2, 3, 4)]


def random_stages():
    dice = random.Random(f"two ways {SEED}")
    sizes = [SIZES[0], SIZES[-1]] + dice.choices(SIZES, k=STAGES - 2)
    return [f"random:{dice.randrange(1_000_000)}:{microphones}x{mixes}" for microphones, mixes in sizes]


def slope_db(stage):
    """By how much the mixes together are louder, or softer, half a second later, a while after an impulse."""
    stage.noise(OFF)
    stage.rest()
    for socket in range(1, stage.inputs + 1):
        stage.play(socket, [1e-6])
    stage.run(2.5)
    sound = numpy.array([stage.record(MIX, mix, RATE) for mix in range(1, stage.mixes + 1)])
    early, late = numpy.sum(sound[:, :RATE // 2] ** 2), numpy.sum(sound[:, RATE // 2:] ** 2)
    assert numpy.abs(sound).max() < 0.9, "the clipper has a say"
    return 10 * numpy.log10(late / early)


def heard_ring(stage):
    """What rings first when it is heard: the loop with noise and clipper, run until somebody would notice."""
    stage.noise(45)
    stage.rest()
    end = stage.time() + 60
    while stage.time() < end:
        stage.run(0.1)
        rings = stage.rings()
        if rings:
            return min(rings, key=lambda ring: ring.heard)
    raise AssertionError("nobody hears a ring in a minute")


@pytest.mark.limit(60)
@pytest.mark.parametrize("name", random_stages())
def test_both_ways_agree(name):
    with Stage(name) as stage:
        second = nyquist.onset(stage.acoustic(), stage.electric(), RATE)
        first_db, first_hz = stage.onset()
        print(f"{name}: in time {first_db:.3f} dB at {first_hz:.1f} Hz, "
              f"by responses {second.db:.3f} dB at {second.hz:.1f} Hz")
        assert first_db == pytest.approx(second.db, abs=AGREE_DB)

        stage.spectra(False)
        stage.raise_all(second.db - AGREE_DB)
        assert slope_db(stage) < 0
        stage.raise_all(2 * AGREE_DB)
        assert slope_db(stage) > 0

        stage.spectra(True)
        ring = heard_ring(stage)
        near = [mode.hz for mode in second.near(AGREE_DB)]
        assert min(abs(ring.hz / hz - 1) for hz in near if hz > 0) <= AGREE_HZ, (ring.hz, near)
