# SPDX-License-Identifier: MIT
"""The simulated stage beside what is published about such loops."""
import random

import numpy
import pytest
from harness import SEED, rounds

import nyquist
from simulator import MIX, RATE, Stage

SPEED = 343


def bare(delay_ms, **microphone):
    """A loop of one delay and nothing else: free field, no direction, no filter, no noise."""
    latency_ms = delay_ms / 2
    return {
        "stage": 1,
        "desk": {"latency_ms": latency_ms},
        "space": {"noise_spl": "-inf"},
        "microphones": [{"socket": 1, "position": [0, 0, 1], "faces": [0, 1, 1], "pattern": "omnidirectional",
                         "floor_db": "-inf", **microphone}],
        "loudspeakers": [{"mix": 1, "position": [0, SPEED * (delay_ms - latency_ms) / 1000, 1], "faces": [0, 0, 1],
                          "beam": "none", "low_hz": 0, "high_hz": 0, "ripple": []}],
    }


def flat_stage(content, tmp_path):
    """Its desk passes everything as it is."""
    stage = Stage(content, tmp_path)
    for i in range(1, stage.inputs + 1):
        stage.set("input", "high_pass.on", i, 0, 0)
    return stage


def truth(stage):
    return nyquist.onset(stage.acoustic(), stage.electric(), RATE)


# D. Troxel, RaneNote 158 (2005), "Understanding Acoustic Feedback...", also prosoundweb.com p. 2 (read in the note):
# possible rings 1/delay apart; growth excess / delay, +0.5 dB over 10 ms: 50 dB/s.
TROXEL = [(2, 500, 250), (10, 100, 50), (25, 40, 20), (100, 10, 5)]


@pytest.mark.parametrize("delay_ms, spacing_hz, growth", TROXEL)
def test_rings_of_one_delay(tmp_path, delay_ms, spacing_hz, growth):
    with flat_stage(bare(delay_ms), tmp_path) as stage:
        onset = truth(stage)
        places = sorted({round(mode.hz, 3) for mode in onset.near(0.01)})
        assert numpy.diff(places) == pytest.approx(spacing_hz, rel=0.001)
        assert stage.onset()[0] == pytest.approx(onset.db, abs=0.05)
        grows, hz = stage.growth(onset.db + 0.5)
        assert grows == pytest.approx(growth, rel=0.05)
        if spacing_hz > 20:  # nearer ones stand in one peak of a spectrum of 8192 samples
            assert abs(hz / spacing_hz - round(hz / spacing_hz)) * spacing_hz < 1
        stage.raise_all(onset.db + 0.5)
        assert grown(stage, min(1, 50 / growth), delay_ms) == pytest.approx(growth, rel=0.05)


def grown(stage, seconds, delay_ms):
    """dB/s at which an impulse goes on growing in the loop itself, well below its clipper."""
    stage.rest()
    stage.play(1, [1e-5])
    stage.run(seconds)
    span = int(seconds * 500 / delay_ms) * delay_ms * RATE // 1000  # whole delays, as many as go twice into the time
    sound = stage.record(MIX, 1, 2 * span)
    early, late = sound[:span], sound[span:]
    assert 0 < numpy.abs(sound).max() < 0.5, "silence, or the clipper has a say"
    return 10 * numpy.log10(numpy.sum(late ** 2) / numpy.sum(early ** 2)) / (span / RATE)


# Closed loop for an in-phase loop gain g: U/V = G / (1 - G F), van Waterschoot and Moonen 2011, equation 10 (read in
# the paper); peak -20 log10(1 - g), ripple 20 log10((1 + g) / (1 - g)), worked out from it.
BELOW_ONSET = [(-1, 19.2715, 24.8065), (-2, 13.7365, 18.8145), (-3, 10.6907, 15.3402), (-6, 6.0412, 9.5699),
               (-10, 3.3018, 5.6884), (-12, 2.5126, 4.459), (-20, 0.9151, 1.743)]


@pytest.mark.parametrize("loop_db, peak_db, ripple_db", BELOW_ONSET)
def test_response_below_onset(tmp_path, loop_db, peak_db, ripple_db):
    with flat_stage(bare(10), tmp_path) as stage:
        stage.raise_all(truth(stage).db + loop_db)
        straight = stage.electric()[0, 0]
        stage.rest()
        stage.play(1, [1e-3])
        stage.run(1.36)
        heard = numpy.fft.rfft(stage.record(MIX, 1, round(1.36 * RATE)), 96000)  # 0.5 Hz: peaks and dips lie on bins
        through = numpy.abs(heard[40:40000]) / 1e-3 / numpy.abs(numpy.fft.rfft(straight, 96000))[40:40000]
        assert 20 * numpy.log10(through.max()) == pytest.approx(peak_db, abs=0.2)
        assert 20 * numpy.log10(through.max() / through.min()) == pytest.approx(ripple_db, abs=0.2)


# Third-octave equalising by hand wins 5 to 8 dB: van Waterschoot and Moonen 2011, section III (read in the paper).
def nearest_band(hz):
    """Of the third octaves of IEC 61260-1, base ten, 20 Hz being the first."""
    return min(31, max(1, round(10 * numpy.log10(hz / 1000)) + 18))


def won_by_six_cuts(stage):
    """By how much onset rises until a seventh band would ring: the first three bands that ring come down 6 dB, the next
    3 dB, as the trade teaches it, and 3 dB more where they ring again."""
    first = onset = truth(stage)
    depth = {}
    while True:
        band = nearest_band(onset.hz)
        if band not in depth and len(depth) == 6 or depth.get(band, 0) == 12:  # the desk has no more
            return onset.db - first.db
        depth[band] = depth.get(band, 0) + (6 if band not in depth and len(depth) < 3 else 3)
        stage.set("graphic", "gain", 1, band, -depth[band])
        onset = truth(stage)


@pytest.mark.limit(rounds(60, 600))
def test_six_cuts_win_what_is_published():
    dice = random.Random(f"six cuts {SEED}")
    won = []
    for _ in range(rounds(80, 200)):  # the mean of 20 is out by 0.4 dB too often
        with Stage(f"random:{dice.randrange(1_000_000)}:1x1") as stage:
            won.append(won_by_six_cuts(stage))
    print("won, dB: " + " ".join(f"{db:.1f}" for db in sorted(won)))
    assert 5 <= numpy.mean(won) <= 8


# Schroeder's expectation of the maximum stable gain beside the mean, -10 log10(log10(B T60 / 22)) - 3.8 dB: van
# Waterschoot and Moonen 2011, equation 18 (read in the paper).
def schroeder_db(band_hz, t60_s):
    return -10 * numpy.log10(numpy.log10(band_hz * t60_s / 22)) - 3.8


@pytest.mark.limit(rounds(20, 200))
@pytest.mark.parametrize("t60_s", [0.3, 0.6])
def test_onset_in_a_tail_of_decaying_noise(tmp_path, t60_s):
    dice = random.Random(f"tail {SEED} {t60_s}")
    beside = []
    for _ in range(rounds(40, 200) // 2):
        content = bare(5)
        content["space"]["tail"] = {"t60": t60_s, "level_db": 20, "from_ms": 5, "per_second": 10000,
                                    "seed": dice.randrange(1_000_000)}
        with flat_stage(content, tmp_path) as stage:
            a, g = stage.acoustic(), stage.electric()
            mean_db = 10 * numpy.log10(numpy.sum(a ** 2)) + 10 * numpy.log10(numpy.sum(g ** 2))
            beside.append(nyquist.onset(a, g, RATE).db + mean_db - schroeder_db(RATE / 2, t60_s))
    print("above what is expected, dB: " + " ".join(f"{db:.1f}" for db in sorted(beside)))
    assert abs(numpy.mean(beside)) <= 1.5


# First-order patterns: coefficients from the DPA Microphones dictionary, "1st Order Pattern" (read there); dB at 90,
# 120, 135 and 180 degrees and the angle of the null worked out from a + b cos. Published beside them: HyperPhysics,
# "Directional Patterns of Microphones" (read there), whose angles and rounded figures are PRINTED.
PATTERNS = {
    "omnidirectional": (0, 0, 0, 0, None),
    "subcardioid": (-3.098, -5.1927, -6.234, -7.9588, None),
    "cardioid": (-6.0206, -12.0412, -16.6864, None, 180),
    "supercardioid": (-8.636, -25.1927, -22.4437, -11.7005, 125.9658),
    "hypercardioid": (-12.0412, -18.0618, -11.0466, -6.0206, 109.4712),
    "figure-of-eight": (None, -6.0206, -3.0103, 0, 90),
}
PRINTED = {"cardioid": (-6, None), "supercardioid": (-8.5, -12), "hypercardioid": (-12, -6),
           "figure-of-eight": (None, 0)}


def pattern_db(tmp_path, pattern, degrees, floor_db="-inf"):
    """The level at an angle off the axis, beside that on it."""
    levels = []
    for angle in numpy.radians([0, degrees]):
        faces = [numpy.sin(angle), numpy.cos(angle), 1]
        with flat_stage(bare(10, pattern=pattern, faces=faces, floor_db=floor_db), tmp_path) as stage:
            levels.append(numpy.sum(numpy.abs(stage.acoustic())))
    return 20 * numpy.log10(max(levels[1], 1e-30) / levels[0])


@pytest.mark.parametrize("pattern", PATTERNS)
def test_patterns_of_microphones(tmp_path, pattern):
    *levels, null = PATTERNS[pattern]
    for degrees, level in zip((90, 120, 135, 180), levels):
        if level is not None:
            assert pattern_db(tmp_path, pattern, degrees) == pytest.approx(level, abs=0.01), degrees
    for degrees, level in zip((90, 180), PRINTED.get(pattern, ())):
        if level is not None:
            assert pattern_db(tmp_path, pattern, degrees) == pytest.approx(level, abs=0.35), degrees
    if null:
        assert pattern_db(tmp_path, pattern, null) < -80
        assert pattern_db(tmp_path, pattern, null, floor_db=-18) == pytest.approx(-18, abs=0.01)


@pytest.mark.parametrize("delay_ms", [10, 15])
def test_level_of_the_direct_sound(tmp_path, delay_ms):
    """From volts to volts: 18 dBu at full scale and 32 dB of amplifier into 96 dB for 2.83 V at 1 m, less by the
    inverse square, heard at 2 mV/Pa (94 dB being 1 Pa) with 18 dBu at full scale; 0 dBu is 0.7746 V."""
    with flat_stage(bare(delay_ms), tmp_path) as stage:
        level_db = 20 * numpy.log10(numpy.abs(stage.acoustic()).sum())
    full_scale_v = 0.7746 * 10 ** (18 / 20)
    spl = 96 + 20 * numpy.log10(full_scale_v * 10 ** (32 / 20) / 2.83) - 20 * numpy.log10(SPEED * delay_ms / 2000)
    heard_v = 10 ** ((spl - 94) / 20) * 0.002
    assert level_db == pytest.approx(20 * numpy.log10(heard_v / full_scale_v), abs=0.05)
