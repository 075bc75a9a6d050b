# SPDX-License-Identifier: MIT
"""Random stages that were rung out by the scripted engineer, without their sound (engineer/counted.py)."""
import dataclasses

import numpy

import console
from engineer import book
from engineer.counted import EVERY_S, CountedHands, ready
from harness import write_json
from loops import Loops
from simulator import Stage

MOST = 4  # microphones, and wedges
WAYS = [(together, parametric) for together in (False, True) for parametric in (False, True)]


@dataclasses.dataclass
class RungOut:
    name: str
    together: bool  # cuts were made with all open
    parametric: bool  # with bands of the equaliser, not with the graphic
    loops: Loops
    console: console.Console
    ceilings: list  # (mix alone or None, settings)
    left: dict  # settings
    rang: list  # by mix: its push ended in a ring, not 10 dB up or at the master's end

    @property
    def several(self):
        return self.console.inputs * self.console.mixes > 1

    def matrices(self):
        return self.loops.matrices(self.console.gains())


def on_stage(name, inputs, mixes, folder):
    """The simulator's stage behind a desk whose settings are a Console's at the beginning."""
    stage = Stage(name, desk=write_json(folder / "state.json", console.state(inputs, mixes)))
    console.Console(inputs, mixes, numpy.ones(1)).put_into(stage)
    stage.rest()
    return stage


def loops_of(stage):
    latency = numpy.flatnonzero(stage.electric()[0, 0])[0]
    return Loops(stage.acoustic(), int(latency))


def ring_out(name, inputs, mixes, dice, way, folder):
    with on_stage(name, inputs, mixes, folder) as stage:
        loops = loops_of(stage)
    desk = console.Console(inputs, mixes, loops.turn)
    hands = CountedHands(desk, loops, parametric=way[1])
    ready(hands)
    somebody = book.Engineer(hands, dice, book.Practice(cuts_together=way[0], fine_every_s=EVERY_S))
    somebody.ring_out_stage({mix: (mix - 1) % inputs + 1 for mix in hands.mixes})
    rang = [somebody.push(mix) is not None for mix in hands.mixes]
    return RungOut(name, *way, loops, desk, hands.ceilings, dict(desk.values), rang)


def random_stages(dice, count, folder):
    for at in range(count):
        inputs, mixes = dice.randint(1, MOST), dice.randint(1, MOST)
        yield ring_out(f"random:{dice.randrange(1_000_000)}:{inputs}x{mixes}", inputs, mixes, dice,
                       WAYS[at % len(WAYS)], folder)
