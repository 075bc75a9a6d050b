# SPDX-License-Identifier: MIT
"""The filter maths against real samples: white noise through SoX's effects, measured in third-octave bands.

SoX is a general-purpose sound tool; its equalizer, bass, treble, highpass, lowpass and bandreject are its own.
What is compared is the change of each band's level, against the response of rules/sound/filter.c averaged over
the noise that was really in the band.
"""
import subprocess

import numpy
import pytest
from scipy.io import wavfile

from test_filters_scipy import SHAPES, probe

RATE = 48000
SECONDS = 20
TOLERANCE_DB = 0.1
BANDS = [1000 * 10 ** (n / 10) for n in range(-15, 13)]  # IEC 61260-1:2014, 31.5 Hz to 16 kHz

CASES = [
    # SoX's effect, and the same filter here: shape, Hz, dB, Q
    (["equalizer", "1000", "1.5q", "-9"], ("peak", 1000, -9, 1.5)),
    (["equalizer", "250", "4.318q", "6"], ("peak", 250, 6, 4.318)),
    (["bass", "-6", "200", "0.7071q"], ("low-shelf", 200, -6, 0.7071)),
    (["treble", "6", "4000", "0.7071q"], ("high-shelf", 4000, 6, 0.7071)),
    (["highpass", "-2", "100", "0.7071q"], ("high-pass", 100, 0, 0.7071)),
    (["lowpass", "-2", "5000", "0.7071q"], ("low-pass", 5000, 0, 0.7071)),
    (["bandreject", "1000", "2q"], ("notch", 1000, 0, 2)),
]


def spectrum(samples):
    """Power at each frequency of a real signal."""
    return numpy.abs(numpy.fft.rfft(samples)) ** 2


def band_changes(before, after):
    hz = numpy.fft.rfftfreq(RATE * SECONDS, 1 / RATE)
    changes = []
    for centre in BANDS:
        inside = (hz >= centre * 10 ** -0.05) & (hz < centre * 10 ** 0.05)
        changes.append(10 * numpy.log10(after[inside].sum() / before[inside].sum()))
    return numpy.array(changes)


def expected_changes(before, shape, freq, gain, q):
    """The response on a fine grid, weighted with the noise of the input."""
    grid = numpy.geomspace(20, 23000, 4000)
    row = (RATE, 0, 0, 1, SHAPES.index(shape), freq, gain, q, len(grid), *grid)
    db = probe([row])[0]
    hz = numpy.fft.rfftfreq(RATE * SECONDS, 1 / RATE)
    gains = 10 ** (numpy.interp(numpy.log(numpy.maximum(hz, 1)), numpy.log(grid), db) / 10)
    return band_changes(before, before * gains)


@pytest.mark.parametrize("effect,ours", CASES, ids=lambda case: str(case[0]))
def test_band_levels(tmp_path, effect, ours):
    noise = numpy.random.default_rng(1).uniform(-0.1, 0.1, RATE * SECONDS).astype(numpy.float32)
    wavfile.write(tmp_path / "in.wav", RATE, noise)
    subprocess.run(["sox", "-D", tmp_path / "in.wav", "-e", "float", "-b", "32",
                    tmp_path / "out.wav", *effect], check=True, timeout=60)
    rate, filtered = wavfile.read(tmp_path / "out.wav")
    assert rate == RATE and len(filtered) == len(noise)
    before = spectrum(noise.astype(float))
    measured = band_changes(before, spectrum(filtered.astype(float)))
    expected = expected_changes(before, *ours)
    assert numpy.max(numpy.abs(expected)) > 1  # the filter does something to look at
    assert numpy.max(numpy.abs(measured - expected)) < TOLERANCE_DB, (measured, expected)
