# SPDX-License-Identifier: MIT
"""What gainwarden says is proved: rules/proof by tests/stage/proof_probe.c, which follows a console."""
import dataclasses
import math
import subprocess

from simulator import BUILD

KINDS = ("cut", "high-pass", "down", "closed")  # rules/proof/allowance.h


@dataclasses.dataclass
class Figure:
    state: str
    db: float  # with the allowance taken off
    allowance_db: float
    moves: tuple  # kinds of allowance
    alone_db: float
    finding: str

    @property
    def bare_db(self):
        return self.db + self.allowance_db


class Proved:
    def __init__(self, inputs, mixes):
        self.probe = subprocess.Popen([BUILD / "tests" / "proof_probe"], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                      text=True)
        self.mixes = mixes
        self.say(f"desk {inputs} {mixes}")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.probe.stdin.close()
        assert self.probe.wait(60) == 0

    def say(self, line):
        self.probe.stdin.write(line + "\n")

    def set(self, name, row, column, value):
        self.say(f"set {name} {row} {column} {value!r}")

    def keep(self, ceilings, left):
        """[(the mix alone or None, settings)], and the settings that were left, where the desk then stands."""
        for mix, settings in [*ceilings, (None, left)]:
            for (name, row, column), value in settings.items():
                self.set(name, row, column, float(value))
            if settings is not left:
                self.say(f"ceiling {-1 if mix is None else mix}")
        self.say("left")

    def ask(self):
        """A figure for each mix, and one for the desk as a whole."""
        self.say("ask")
        self.probe.stdin.flush()
        lines = [self.probe.stdout.readline().split() for _ in range(self.mixes + 1)]
        figures = [Figure(state, float(db), float(allowance),
                          tuple(kind for bit, kind in enumerate(KINDS) if int(moves) >> bit & 1), float(alone), finding)
                   for state, db, allowance, moves, _, alone, finding in lines]
        assert all(math.isnan(one.db) == (one.state not in ("left", "desk")) or one.state == "desk" for one in figures)
        return figures[:-1], figures[-1]
