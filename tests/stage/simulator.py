# SPDX-License-Identifier: MIT
"""The simulated stage of the mocks in virtual time: libmock-stage.so by ctypes, as mocks/stage/stage.h declares it."""
import ctypes
import json
import math
import os
import pathlib

import numpy

BUILD = pathlib.Path(os.environ.get("GAINWARDEN_BUILD", "GAINWARDEN_BUILD-is-not-set"))
RATE = 48000
INPUT, MIX = 0, 1  # kinds of meters, spectra and recordings
OFF = -math.inf
PREAMP_DB = -4, 56  # mocks/README.md


class Ring(ctypes.Structure):
    _fields_ = [("mix", ctypes.c_int), ("holds", ctypes.c_int), ("hz", ctypes.c_double), ("growth", ctypes.c_double),
                ("level", ctypes.c_double), ("began", ctypes.c_double), ("heard", ctypes.c_double)]


def library():
    number, real, text, stage, done = ctypes.c_int, ctypes.c_double, ctypes.c_char_p, ctypes.c_void_p, ctypes.c_bool
    reals, rings = ctypes.POINTER(real), ctypes.POINTER(Ring)
    table = {
        "open": (stage, [text, text]), "close": (None, [stage]),
        "inputs": (number, [stage]), "mixes": (number, [stage]), "save": (done, [stage, text]),
        "set": (done, [stage, text, text, number, number, real]),
        "get": (real, [stage, text, text, number, number]),
        "run": (real, [stage, real]), "time": (real, [stage]), "rest": (None, [stage]),
        "noise": (None, [stage, real]), "talk": (done, [stage, number, real]),
        "meter": (real, [stage, number, number]),
        "spectrum": (done, [stage, number, number, number, reals]), "spectra": (None, [stage, done]),
        "rings": (number, [stage, rings, number]),
        "onset": (real, [stage, reals]), "growth": (real, [stage, real, reals]),
        "acoustic": (done, [stage, number, number, reals, number]),
        "electric": (done, [stage, number, number, reals, number]),
        "play": (done, [stage, number, reals, number]), "record": (done, [stage, number, number, reals, number]),
    }
    loaded = ctypes.CDLL(str(BUILD / "libmock-stage.so"))
    for name, (result, arguments) in table.items():
        function = getattr(loaded, "stage_" + name)
        function.restype, function.argtypes = result, arguments
    return loaded


def pointer(array):
    return array.ctypes.data_as(ctypes.POINTER(ctypes.c_double))


class Stage:
    """`what` is a stage file, its content, or "random:SEED:4x4"; `desk` is a state file, else the library's own."""

    def __init__(self, what, folder=None, desk=None):
        if isinstance(what, dict):
            path = pathlib.Path(folder) / "stage.json"
            path.write_text(json.dumps(what))
            what = path
        self.library = library()
        self.stage = self.library.stage_open(str(desk).encode() if desk else None, str(what).encode())
        assert self.stage, f"{what} cannot be opened: see above"
        self.inputs, self.mixes = self.library.stage_inputs(self.stage), self.library.stage_mixes(self.stage)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.library.stage_close(self.stage)

    def save(self, path):
        """The stage as a stage file."""
        assert self.library.stage_save(self.stage, str(path).encode()), path

    def set(self, scope, key, first, second, value):
        done = self.library.stage_set(self.stage, scope.encode(), key.encode(), first, second, value)
        assert done, (scope, key, first, second, value)

    def get(self, scope, key, first, second=0):
        value = self.library.stage_get(self.stage, scope.encode(), key.encode(), first, second)
        assert not math.isnan(value), (scope, key, first, second)
        return value

    def run(self, seconds):
        return self.library.stage_run(self.stage, seconds)

    def time(self):
        return self.library.stage_time(self.stage)

    def rest(self):
        """Nothing sounds any more, and gains that were moved have arrived."""
        self.run(0.01)
        self.library.stage_rest(self.stage)

    def noise(self, spl):
        self.library.stage_noise(self.stage, spl)

    def spectra(self, on):
        self.library.stage_spectra(self.stage, on)

    def spectrum(self, kind, number, bands=31):
        out = numpy.zeros(bands)
        assert self.library.stage_spectrum(self.stage, kind, number, bands, pointer(out))
        return out.tolist()

    def rings(self):
        out = (Ring * 32)()
        return list(out[:self.library.stage_rings(self.stage, out, len(out))])

    def onset(self):
        """(dB, Hz) as found in time."""
        hz = ctypes.c_double()
        db = self.library.stage_onset(self.stage, ctypes.byref(hz))
        return db, hz.value

    def growth(self, raise_db):
        """(dB/s, Hz) of the fastest mode with everything raised by so much."""
        hz = ctypes.c_double()
        growth = self.library.stage_growth(self.stage, raise_db, ctypes.byref(hz))
        return growth, hz.value

    def play(self, socket, samples):
        samples = numpy.array(samples, float)
        assert self.library.stage_play(self.stage, socket, pointer(samples), len(samples))

    def record(self, kind, number, count):
        """The last so many samples."""
        out = numpy.zeros(count)
        assert self.library.stage_record(self.stage, kind, number, pointer(out), count)
        return out

    # ---- impulse responses ----

    def response(self, function, count, first, second):
        out = numpy.zeros(count)
        assert function(self.stage, first, second, pointer(out), count), (first, second)
        return out

    def whole(self, function, rows, columns):
        """[row, column, sample], until all that is left is 90 dB down; the function's arguments are column and row."""
        count = 4096
        while True:
            all_of_it = numpy.array([[self.response(function, count, column, row) for column in range(1, columns + 1)]
                                     for row in range(1, rows + 1)])
            left = numpy.cumsum(numpy.sum(all_of_it ** 2, axis=(0, 1))[::-1])[::-1]
            needed = int(numpy.sum(left > 1e-9 * left[0]))
            if needed <= count * 3 // 4:
                return all_of_it[:, :, :max(1, needed)]
            count *= 2
            assert count <= 1 << 19, "an impulse response that does not end"

    def acoustic(self):
        """A[input, mix, sample]"""
        return self.whole(self.library.stage_acoustic, self.inputs, self.mixes)

    def electric(self):
        """G[mix, input, sample]"""
        return self.whole(self.library.stage_electric, self.mixes, self.inputs)

    # ---- the whole desk ----

    def raise_all(self, db):
        """Everything by so much: by the preamps as far as the first of them goes, the rest by the masters."""
        gains = [self.get("input", "gain", i) for i in range(1, self.inputs + 1)]
        preamps = min(max(db, PREAMP_DB[0] - min(gains)), PREAMP_DB[1] - max(gains))
        for i, gain in enumerate(gains, 1):
            self.set("input", "gain", i, 0, gain + preamps)
        for mix in range(1, self.mixes + 1):
            self.set("mix", "fader", mix, 0, self.get("mix", "fader", mix) + db - preamps)
