# SPDX-License-Identifier: MIT
"""Sounds through the simulated stage, as the spectra that its desk publishes, and what the rule (rules/spectrum/rise.h)
says of them: false alarms where nothing rings, and rings under programme, found or not."""
import dataclasses
import math
import os
import pathlib
import subprocess

import numpy
from scipy.io import wavfile

from simulator import BUILD, MIX, RATE, Stage

CORPUS = pathlib.Path(os.environ["GW_CORPUS"]) if "GW_CORPUS" in os.environ else None  # of tests/long/ringing
FRAMES, FRAME_S = 20, 0.05
PIECE_S = 10
SAME_S = 2  # alarms of one band so close together are one
LOUD_DB, SAFE_DB, BEFORE_DB = -20, 9, 4  # rms of a programme in the mix; below the ceiling: of a safe mix, and before a push
SETTLED_S, GROWS_S = 6, 12
RING_S = SETTLED_S + GROWS_S
NEAR_SEMITONES = 4


def alarms(frames):
    """[(s, Hz)] of each."""
    data = numpy.array(frames, float).tobytes()
    lines = subprocess.run([BUILD / "tests" / "rise_probe", str(FRAMES)], input=data, stdout=subprocess.PIPE, check=True).stdout
    found, last = [], {}
    for frame, third, hz, _ in (line.split() for line in lines.decode().splitlines()):
        at = int(frame) * FRAME_S
        if at - last.get(third, -math.inf) > SAME_S:
            found.append((at, float(hz)))
        last[third] = at
    return found


def at_level(samples, db):
    """With that rms, dB full scale, less where peaks would clip."""
    rms = math.sqrt(float(numpy.mean(samples ** 2))) or 1
    return samples * min(10 ** (db / 20) / rms, 0.9 / float(numpy.max(numpy.abs(samples)) or 1))


def recorded(path):
    rate, samples = wavfile.read(path)
    assert rate == RATE and samples.ndim == 1, path
    return samples / 32768


class Listener:
    """A microphone before its wedge, and the frames of the mix."""

    def __init__(self, dice):
        self.stage = Stage(f"random:{dice.randrange(10000)}:1x1")
        self.stage.set("input", "gain", 1, 0, 0)
        self.onset_db, _ = self.stage.onset()

    def run(self, samples, each=lambda: False):
        """Frames of what is played, until `each` says that it is enough."""
        frames = []
        for start in range(0, len(samples), PIECE_S * RATE):
            piece = samples[start:start + PIECE_S * RATE]
            self.stage.play(1, piece)
            for _ in range(int(len(piece) / RATE / FRAME_S)):
                self.stage.run(FRAME_S)
                frames.append([round(2 * db) / 2 for db in self.stage.spectrum(MIX, 1)])
                if each():
                    return frames
        return frames

    def master(self, below_db):
        """Gains that put the mix so far below its ceiling: the master within its reach, the preamp the rest."""
        wanted = self.onset_db - below_db
        gain = min(max(wanted, 0), 50)
        self.stage.set("input", "gain", 1, 0, gain)
        self.stage.set("mix", "fader", 1, 0, min(max(wanted - gain, -70), 10))
        return gain


def false_alarms(dice, samples):
    """Of a programme in a mix that is far from ringing."""
    listener = Listener(dice)
    with listener.stage:
        gain = listener.master(SAFE_DB)
        return alarms(listener.run(at_level(samples, LOUD_DB) * 10 ** (-gain / 20)))


@dataclasses.dataclass
class Rung:
    db_s: float
    found: bool
    before_clip: bool


def ring(dice, samples, past_db):
    """A mix pushed past its ceiling under programme; None where it did not grow."""
    listener = Listener(dice)
    with listener.stage as stage:
        gain = listener.master(BEFORE_DB)
        samples = at_level(samples, dice.uniform(-45, -25)) * 10 ** (-gain / 20)
        frames = listener.run(samples[:SETTLED_S * RATE])
        stage.set("mix", "fader", 1, 0, stage.get("mix", "fader", 1) + BEFORE_DB + past_db)
        rings, clipped = [], []

        def look():
            standing = stage.rings()
            rings.extend(standing)
            if any(one.holds for one in standing) and not clipped:
                clipped.append(stage.time())
            return bool(clipped) and stage.time() > clipped[0] + 1

        begun = len(frames) * FRAME_S
        frames += listener.run(samples[SETTLED_S * RATE:], look)
    if not rings:
        return None
    truth = rings[-1]
    found = [at for at, hz in alarms(frames) if at >= begun and 12 * abs(math.log2(hz / truth.hz)) <= NEAR_SEMITONES]
    clip = clipped[0] if clipped else math.inf
    return Rung(truth.growth, bool(found), bool(found) and found[0] < clip)
