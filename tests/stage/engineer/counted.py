# SPDX-License-Identifier: MIT
"""Hands on a simulated stage without its sound: a ring grows and dies by its mode's excess over the delay of its loop,
as loops.py finds both, and stands over noise that follows the gain. So a stage is rung out in about a second.

At each last ring a ceiling is kept: the loudest state that is known not to have rung. A mode 0.3 dB beyond onset grows
by 4 dB a second where its loop takes 70 ms, as the slowest do here, and is heard 20 dB over the noise: that takes five
seconds. So it is what stood six seconds before the last push, or since the last cut, by hands that push every five; what
stood three seconds before it may lie 0.5 dB above onset. Cuts are made with the graphic, or with a parametric band put
on the ring itself.
"""
import numpy

from console import OFF, THIRDS

from .hands import PREAMP_LOWEST_DB, Hands, controls

NOISE_DB = -100  # in each band, at a path gain of 0 dB
SILENT_DB, FULL_DB = -120, -3
DIES_DB_PER_S = -200  # where nothing near rings
NEAR_DB = 4  # what rings later is cut before, or not reached
SHARE = 0.3  # less of a mode is not heard in a mix
STOOD_S, EVERY_S = 6, 5
Q_OF_CUTS = 6
EVEN_DB = 1e-9


class CountedHands(Hands):
    def __init__(self, console, loops, parametric):
        self.console, self.loops, self.parametric = console, loops, parametric
        self.time, self.base, self.rates, self.noise = 0.0, None, {}, {}
        self.slots = {}  # of parametric cuts: by mix and band
        self.ceilings = []  # (the mix alone or None, settings of the console)
        self.past = []  # (when, settings before, "rise", "fall" or "cut")
        inputs, mixes = range(1, console.inputs + 1), range(1, console.mixes + 1)
        settings = {control: 0 for control in controls(inputs, mixes)}
        settings.update({("open", i): True for i in inputs})
        super().__init__(settings, inputs, mixes)
        self.levels = {m: numpy.full(len(THIRDS), float(SILENT_DB)) for m in mixes}
        self.heard_hz = {}  # of the band that rings, where exactly

    def now(self):
        return self.time

    # ---- the desk ----

    def turn(self, control, value):
        console, (kind, *where) = self.console, control
        where = [number - 1 for number in where]
        rises = value > self.settings[control]
        what = "cut" if kind == "cut" and not rises else "rise" if rises else "fall"
        self.past.append((self.time, dict(console.values), what))
        self.rates.clear()
        if kind == "cut" and self.parametric:
            self.cut_parametric(*where, value)
            return
        name = {"preamp": "input.preamp_gain", "open": "input.mute", "high-pass": "input.high_pass.on",
                "send": "send.level", "master": "mix.fader", "cut": "mix.graphic.band.gain"}[kind]
        console.set(name, where[0], where[1] if len(where) > 1 else 0, 1 - value if kind == "open" else value)

    def cut_parametric(self, mix, band, db):
        slots = self.slots.setdefault(mix, {})
        if band not in slots:
            slots[band] = len(slots)
            self.console.set("mix.eq.band.freq", mix, slots[band], self.heard_hz.get((mix, band), THIRDS[band]))
            self.console.set("mix.eq.band.q", mix, slots[band], Q_OF_CUTS)
        self.console.set("mix.eq.band.gain", mix, slots[band], db)

    def keep_ceiling(self, mix):
        """What stood so long before the last push, or stands now where nothing rings."""
        end = max((at for at, _, what in self.past if what == "rise"), default=0) if self.rang() else self.time
        cut = max((at for at, _, what in self.past if what == "cut" and at < end), default=0)
        until = max(cut, end - STOOD_S)
        settings = next((before for at, before, _ in self.past if at > until), dict(self.console.values))
        self.ceilings.append((None if mix is None else mix - 1, settings))

    # ---- what sounds ----

    def modes(self):
        """Each with how far it is beyond onset. While only levels move alike, or those of one mix, the modes stay."""
        levels, shapes = self.console.levels(), self.console.shapes()
        if self.base and all(one is other for one, other in zip(self.base["shapes"], shapes)):
            moved = self.moved(levels)
            for which in [None, *range(self.console.mixes)]:
                rows = slice(None) if which is None else slice(which, which + 1)
                here = moved[rows][~numpy.isnan(moved[rows])]
                others = numpy.delete(moved, rows, axis=0)
                even = here.size and numpy.isfinite(here).all() and numpy.ptp(here) < EVEN_DB
                if even and not (abs(others) > 0).any():
                    return [(mode, here[0] - mode.db) for mode in self.modes_of(which)]
        matrices = self.loops.matrices(self.console.gains(levels))
        self.base = {"shapes": shapes, "levels": levels, "matrices": matrices}
        return [(mode, -mode.db) for mode in self.modes_of(None)]

    def moved(self, levels):
        """Since the base, each path in dB; what was closed then and is now is not a number."""
        was = self.base["levels"]
        closed = numpy.isinf(levels) & numpy.isinf(was)
        return numpy.where(closed, numpy.nan, numpy.where(closed, 0, levels) - numpy.where(closed, 0, was))

    def modes_of(self, mix):
        if mix not in self.base:
            matrices = self.base["matrices"]
            self.base[mix] = [] if not matrices.any() else (
                self.loops.modes(matrices, NEAR_DB) if mix is None else self.loops.modes_of(matrices, mix, NEAR_DB))
        return self.base[mix]

    def growth(self):
        """dB per second by mix and band."""
        if not self.rates:
            self.noise = {m: max(SILENT_DB, NOISE_DB + self.loudest_db(m)) for m in self.mixes}
            self.rates = {m: numpy.full(len(THIRDS), float(DIES_DB_PER_S)) for m in self.mixes}
            for mode, excess_db in sorted(self.modes(), key=lambda one: one[1] / one[0].delay_s):
                band = round(10 * numpy.log10(mode.hz / 1000)) + 17
                if not 0 <= band < len(THIRDS):
                    continue
                for m in self.mixes:
                    if mode.shares[m - 1] >= SHARE:
                        self.rates[m][band] = excess_db / mode.delay_s
                        self.heard_hz[m - 1, band] = mode.hz
        return self.rates

    def rang(self):
        return any((rates > 0).any() for rates in self.growth().values())

    def nothing_grows(self):
        return not self.rang()

    def wait(self, seconds):
        self.time += seconds
        for m, rates in self.growth().items():
            noise = self.noise[m]
            self.levels[m] = numpy.minimum(numpy.maximum(self.levels[m] + rates * seconds, noise), max(FULL_DB, noise))

    def spectrum(self, mix):
        return self.levels[mix].tolist()


def ready(hands):
    """Preamps and masters down, every player's own send at 0 dB and the others' into it at -12, microphones open."""
    for i in hands.inputs:
        hands.set(("preamp", i), PREAMP_LOWEST_DB)
        for m in hands.mixes:
            hands.set(("send", i, m), 0 if (i - 1) % len(hands.mixes) + 1 == m else -12)
    for m in hands.mixes:
        hands.set(("master", m), OFF)
