# SPDX-License-Identifier: MIT
"""What an engineer can do and see at a desk, whatever stands behind it: nothing of the truth.

A control is a tuple, what it is and where, all numbers from 1:

    preamp I   send I M   master M                dB; a send or master that is off is OFF
    open I     high-pass I                        switches
    cut M B                                       band B of the graphic of mix M, dB
"""
import dataclasses

OFF = float("-inf")
PREAMP_LOWEST_DB, PREAMP_HIGHEST_DB = -4, 56  # of the mock's desk, as all ends of controls here: mocks/README.md
MASTER_HIGHEST_DB = 10
CUT_DEEPEST_DB = -12


THIRDS = [1000 * 10 ** (k / 10) for k in range(-17, 14)]  # IEC 61260-1: base ten, 20 Hz to 20 kHz


def controls(inputs, mixes):
    for i in inputs:
        yield from (("preamp", i), ("open", i), ("high-pass", i))
        yield from (("send", i, m) for m in mixes)
    for m in mixes:
        yield ("master", m)
        yield from (("cut", m, band) for band in range(1, len(THIRDS) + 1))


@dataclasses.dataclass
class Move:
    at: float  # s
    control: tuple
    before: float
    after: float


class Hands:
    """Whoever inherits it gives now(), wait(seconds), spectrum(mix) in dB full scale, turn(control, value), and the
    settings as they stand at the beginning."""

    bands = THIRDS

    def __init__(self, settings, inputs, mixes):
        self.settings, self.inputs, self.mixes = dict(settings), inputs, mixes
        self.moves = []

    def get(self, control):
        return self.settings[control]

    def set(self, control, value):
        before = self.settings[control]
        if value == before:
            return
        self.turn(control, value)
        self.settings[control] = value
        self.moves.append(Move(self.now(), control, before, value))

    def add(self, control, db):
        self.set(control, self.get(control) + db)

    def keep_ceiling(self, mix):
        """Something rang, or nothing did up to the end: whoever keeps ceilings does so now. `mix` is the one that is
        open alone, or None."""

    def nothing_grows(self):
        """True where it is known that nothing will be louder until something is moved."""
        return False

    def path_db(self, i, m):
        """What lies between a microphone and a wedge, equalisers apart."""
        if not self.get(("open", i)):
            return OFF
        return self.get(("preamp", i)) + self.get(("send", i, m)) + self.get(("master", m))

    def loudest_db(self, m):
        return max(self.path_db(i, m) for i in self.inputs)


def before_the_ring_out(hands):
    """The desk as an engineer finds it: masters and preamps down, microphones open after the line check, no high-pass,
    own sends where the last band had them."""
    for i in hands.inputs:
        hands.set(("open", i), True)
        hands.set(("preamp", i), PREAMP_LOWEST_DB)
        hands.set(("high-pass", i), False)
    for m in hands.mixes:
        hands.set(("master", m), OFF)
    hands.moves.clear()
