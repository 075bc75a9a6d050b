# SPDX-License-Identifier: MIT
"""Hands on a simulated stage in virtual time: what they see is what the desk publishes."""

from .hands import Hands, controls

MIX = 1

WHERE = {"preamp": ("input", "gain"), "send": ("send", "level"), "master": ("mix", "fader"), "open": ("input", "open"),
         "high-pass": ("input", "high_pass.on"), "cut": ("graphic", "gain")}


class VirtualHands(Hands):
    def __init__(self, stage):
        self.stage = stage
        inputs, mixes = range(1, stage.inputs + 1), range(1, stage.mixes + 1)
        super().__init__({control: self.read(control) for control in controls(inputs, mixes)}, inputs, mixes)

    def read(self, control):
        scope, key = WHERE[control[0]]
        return self.stage.get(scope, key, *control[1:])

    def now(self):
        return self.stage.time()

    def wait(self, seconds):
        self.stage.run(seconds)

    def spectrum(self, mix):
        return self.stage.spectrum(MIX, mix, len(self.bands))

    def turn(self, control, value):
        scope, key = WHERE[control[0]]
        first, second = (*control[1:], 0)[:2]
        self.stage.set(scope, key, first, second, float(value))
