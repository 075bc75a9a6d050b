# SPDX-License-Identifier: MIT
"""Music and speech without anybody's recordings: tones that are struck, bowed and sung, drums and noise out of dice; and
espeak-ng, of Debian's packages, reading a licence aloud. 48 kHz, full scale 1."""
import pathlib
import subprocess

import numpy
from scipy import signal

from simulator import RATE

READ_ALOUD = pathlib.Path("/usr/share/common-licenses/GPL-3")
VOICES = "en-us", "en-gb", "de", "fr", "es", "it"


def envelope(count, attack_s, decay_s):
    t = numpy.arange(count) / RATE
    return numpy.minimum(t / attack_s, 1) * numpy.exp(-t / decay_s)


def tone(dice, hz, seconds):
    """One note: harmonics that fall, some vibrato, and how it begins and ends as an instrument of its kind does."""
    t = numpy.arange(int(seconds * RATE)) / RATE
    attack, decay = dice.choice([(0.003, 0.4), (0.003, 1.5), (0.06, 5), (0.12, 9)])  # plucked, struck, blown, bowed
    depth = dice.uniform(0.002, 0.006) if attack > 0.01 else 0
    phase = 2 * numpy.pi * hz * (t - depth * numpy.cos(2 * numpy.pi * dice.uniform(4.5, 6.5) * t) / 30)
    slope = dice.uniform(0.8, 2)
    harmonics = range(1, min(12, int(RATE / 2.5 / hz)) + 1)
    out = sum(numpy.sin(n * phase) / n ** slope for n in harmonics) * envelope(len(t), attack, decay)
    out[-480:] *= numpy.linspace(1, 0, 480)
    return out


def drum(dice, sounds):
    """Of a kit: noise in a band that dies away."""
    low, high = dice.choice([(40, 120), (150, 4000), (5000, 15000)])
    count = int(0.3 * RATE)
    noise = sounds.standard_normal(count) * envelope(count, 0.001, dice.uniform(0.03, 0.12))
    return signal.sosfilt(signal.butter(2, [low, high], "bandpass", fs=RATE, output="sos"), noise)


def music(dice, seconds):
    """A band: chords, a bass, a tune and a kit, at a tempo; at most 0.5."""
    sounds = numpy.random.default_rng(dice.randrange(2 ** 32))
    beat, scale = 60 / dice.uniform(70, 150), [0, 2, 3, 5, 7, 8, 10] if dice.random() < 0.5 else [0, 2, 4, 5, 7, 9, 11]
    root, out = 110 * 2 ** dice.uniform(0, 1), numpy.zeros(int((seconds + 8) * RATE))

    def put(what, at, gain):
        start = int(at * RATE)
        out[start:start + len(what)] += gain * what[:len(out) - start]

    def pitch(step, octave):
        return root * 2 ** (octave + (scale[step % 7] + 12 * (step // 7)) / 12)

    for bar in range(int(seconds / (4 * beat))):
        at, chord, swell = bar * 4 * beat, dice.choice([0, 3, 4, 5]), dice.uniform(0.5, 1)
        put(tone(dice, pitch(chord, -1), 3.8 * beat), at, 0.5 * swell)
        for step in chord, chord + 2, chord + 4:
            put(tone(dice, pitch(step, 0), 3.9 * beat), at, 0.25 * swell)
        for quarter in range(4):
            put(drum(dice, sounds), at + quarter * beat, dice.uniform(0.2, 0.8))
            if dice.random() < 0.8:
                put(tone(dice, pitch(dice.randrange(14), 1), dice.choice([0.5, 1, 2]) * beat), at + quarter * beat, 0.4)
    return 0.5 * out[:int(seconds * RATE)] / numpy.max(numpy.abs(out))


def speech(dice, seconds):
    """Somebody reads, from anywhere in the text, at any speed and pitch."""
    words, pieces, count = READ_ALOUD.read_text().split(), [], 0
    while count < seconds * RATE:
        at = dice.randrange(len(words) - 60)
        said = subprocess.run(["espeak-ng", "--stdout", "-v", dice.choice(VOICES), "-s", str(dice.randrange(120, 200)),
                               "-p", str(dice.randrange(20, 80)), " ".join(words[at:at + 60])],
                              stdout=subprocess.PIPE, check=True).stdout
        heard = numpy.frombuffer(said[44:len(said) // 2 * 2], "<i2") / 32768  # a header, then 22,050 Hz
        pieces.append(signal.resample_poly(heard, 320, 147))
        count += len(pieces[-1])
    out = numpy.concatenate(pieces)[:int(seconds * RATE)]
    return 0.5 * out / numpy.max(numpy.abs(out))
