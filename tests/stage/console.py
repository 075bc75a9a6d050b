# SPDX-License-Identifier: MIT
"""The electrical half of a stage at many frequencies at once: a desk's settings, by the names that gainwarden has for
them and counted from 0, and the gain of each path. The filters are R. Bristow-Johnson's cookbook (from memory) and
Butterworth's high-pass of third order, as mocks/README.md says of the mock desk; put_into() sets the simulator's to the
same, so that a test can tell whether both gains are the same."""
import numpy

from simulator import RATE

OFF = float("-inf")
INPUT_BANDS, MIX_BANDS = 4, 8
THIRDS = [1000 * 10 ** (k / 10) for k in range(-17, 14)]  # IEC 61260-1: base ten, 20 Hz to 20 kHz

# name: as it is at the beginning, how many a row, and what the mocks call it
OF_INPUTS = {
    "input.preamp_gain": (0, 1, "input", "gain"), "input.trim": (0, 1, "input", "trim"),
    "input.mute": (0, 1, "input", "open"),
    "input.high_pass.on": (0, 1, "input", "high_pass.on"), "input.high_pass.freq": (100, 1, "input", "high_pass.freq"),
    "input.eq.band.freq": (1000, INPUT_BANDS, "input-band", "freq"),
    "input.eq.band.gain": (0, INPUT_BANDS, "input-band", "gain"),
    "input.eq.band.q": (2, INPUT_BANDS, "input-band", "q"),
}
OF_MIXES = {
    "mix.fader": (0, 1, "mix", "fader"), "mix.trim": (0, 1, "mix", "trim"), "mix.mute": (0, 1, "mix", "open"),
    "mix.graphic.band.gain": (0, len(THIRDS), "graphic", "gain"),
    "mix.eq.band.freq": (1000, MIX_BANDS, "mix-band", "freq"), "mix.eq.band.gain": (0, MIX_BANDS, "mix-band", "gain"),
    "mix.eq.band.q": (4, MIX_BANDS, "mix-band", "q"),
}
OF_SENDS = {"send.level": (0, "send", "level")}
FILTERS = ("high_pass", "band")


def state(inputs, mixes):
    """A state file of the mock desk with such a desk in it."""
    bands = {"on": True, "bands": [{"on": True, "shape": "peak", "freq": 1000, "gain": 0, "q": 2}]}
    return {"desk_state": 1,
            "counts": {"inputs": inputs, "mixes": mixes, "input_eq_bands": INPUT_BANDS, "mix_eq_bands": MIX_BANDS,
                       "graphic_bands": len(THIRDS), "groups": 0},
            "inputs": [{"socket": i + 1, "gain": 0, "high_pass": {"on": False, "freq": 100, "slope": 18},
                        "eq": {"on": True, "bands": [dict(bands["bands"][0]) for _ in range(INPUT_BANDS)]}}
                       for i in range(inputs)],
            "mixes": [{"fader": 0, "graphic": {"on": True},
                       "eq": {"on": True, "bands": [dict(bands["bands"][0], q=4) for _ in range(MIX_BANDS)]}}
                      for m in range(mixes)]}


def peak(turn, hz, db, q):
    """turn: z to the power of -1 at each frequency."""
    w = 2 * numpy.pi * hz / RATE
    cosine, alpha, amp = numpy.cos(w), numpy.sin(w) / (2 * q), 10 ** (db / 40)
    return ((1 + alpha * amp - 2 * cosine * turn + (1 - alpha * amp) * turn ** 2)
            / (1 + alpha / amp - 2 * cosine * turn + (1 - alpha / amp) * turn ** 2))


def third_order_high_pass(turn, hz):
    w, t = 2 * numpy.pi * hz / RATE, numpy.tan(numpy.pi * hz / RATE)
    cosine, alpha = numpy.cos(w), numpy.sin(w) / 2  # a pair of poles with Q 1
    second = (1 + cosine) / 2 * (1 - turn) ** 2 / (1 + alpha - 2 * cosine * turn + (1 - alpha) * turn ** 2)
    return second * (1 - turn) / (1 + t + (t - 1) * turn)


def q_of_octaves(octaves, hz):
    w = 2 * numpy.pi * hz / RATE
    return 1 / (2 * numpy.sinh(numpy.log(2) / 2 * octaves * w / numpy.sin(w)))


class Console:
    """`turn` as above; the settings are read by get(), and only set() changes them."""

    def __init__(self, inputs, mixes, turn):
        self.inputs, self.mixes, self.turn = inputs, mixes, turn
        self.values = {(name, i, k): preset for name, (preset, count, *_) in OF_INPUTS.items()
                       for i in range(inputs) for k in range(count)}
        self.values |= {(name, m, k): preset for name, (preset, count, *_) in OF_MIXES.items()
                        for m in range(mixes) for k in range(count)}
        self.values |= {(name, i, m): preset for name, (preset, *_) in OF_SENDS.items()
                        for i in range(inputs) for m in range(mixes)}
        self.told = lambda *_: None
        self.tones = {}

    def get(self, name, row, column=0):
        return self.values[name, row, column]

    def set(self, name, row, column, value):
        assert (name, row, column) in self.values
        if self.values[name, row, column] == value:
            return
        self.values[name, row, column] = value
        if any(part in name for part in FILTERS):
            self.tones.pop((name.split(".")[0], row), None)
        self.told(name, row, column, value)

    def put(self, values):
        for (name, row, column), value in values.items():
            self.set(name, row, column, value)

    # ---- gains ----

    def bands(self, kind, row, count):
        for k in range(count):
            db = self.get(f"{kind}.eq.band.gain", row, k)
            if db:
                yield self.get(f"{kind}.eq.band.freq", row, k), db, self.get(f"{kind}.eq.band.q", row, k)

    def tone(self, kind, row):
        """What the filters of a strip do, at each frequency."""
        if (kind, row) not in self.tones:
            tone = numpy.ones(len(self.turn), complex)
            for band in self.bands(kind, row, INPUT_BANDS if kind == "input" else MIX_BANDS):
                tone *= peak(self.turn, *band)
            if kind == "input" and self.get("input.high_pass.on", row):
                tone *= third_order_high_pass(self.turn, self.get("input.high_pass.freq", row))
            for k, hz in enumerate(THIRDS):
                db = self.get("mix.graphic.band.gain", row, k) if kind == "mix" else 0
                if db:
                    tone *= peak(self.turn, hz, db, q_of_octaves(1 / 3, hz))
            self.tones[kind, row] = tone
        return self.tones[kind, row]

    def level_db(self, i, m):
        if self.get("input.mute", i) or self.get("mix.mute", m):
            return OFF
        return (self.get("input.preamp_gain", i) + self.get("input.trim", i) + self.get("send.level", i, m)
                + self.get("mix.fader", m) + self.get("mix.trim", m))

    def levels(self):
        """[mix, input] in dB."""
        return numpy.array([[self.level_db(i, m) for i in range(self.inputs)] for m in range(self.mixes)])

    def shapes(self):
        """What all filters look like: while these are the very same arrays, only levels differ."""
        return [self.tone(kind, row) for kind, count in (("input", self.inputs), ("mix", self.mixes))
                for row in range(count)]

    def gains(self, levels=None):
        """G[frequency, mix, input]"""
        factors = 10 ** ((self.levels() if levels is None else levels) / 20)
        tones_in = numpy.array([self.tone("input", i) for i in range(self.inputs)])
        tones_out = numpy.array([self.tone("mix", m) for m in range(self.mixes)])
        return factors * numpy.einsum("mf,if->fmi", tones_out, tones_in)

    # ---- the simulator's desk ----

    def put_into(self, stage):
        for table in (OF_INPUTS, OF_MIXES):
            for name, (_, count, scope, key) in table.items():
                for row in range(self.inputs if table is OF_INPUTS else self.mixes):
                    for k in range(count):
                        value = self.get(name, row, k)
                        stage.set(scope, key, row + 1, k + 1 if count > 1 else 0,
                                  1 - value if name.endswith("mute") else value)
        for name, (_, scope, key) in OF_SENDS.items():
            for i in range(self.inputs):
                for m in range(self.mixes):
                    stage.set(scope, key, i + 1, m + 1, self.get(name, i, m))
