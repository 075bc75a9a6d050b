# SPDX-License-Identifier: MIT
"""What the program makes of the moves of a ring-out: rules/ring by follow_moves, which gets them as lines."""
import json
import subprocess

from engineer.hands import OFF
from simulator import BUILD

WHERE = {"preamp": "input.preamp_gain", "open": "input.mute", "high-pass": "input.high_pass.on", "send": "send.level",
         "master": "mix.fader", "cut": "mix.graphic.band.gain"}
FURTHER = {"fader": "input.fader", "trim": "input.trim", "member": "input.group", "post": "send.tap", "sent": "send.on",
           "mix-open": "mix.mute", "group": "group.fader", "group-open": "group.mute"}  # of engineer/people.py
SWITCHED_OFF = ("open", "mix-open", "group-open")  # the desk has a switch that closes
PRE_FADER = 1  # and post-fader is one more


def ms(seconds):
    return round(seconds * 1000)


def value(control, number):
    """(parameter, row, column, number) as the desk model has them."""
    kind, *where = control
    row, column = (*(at - 1 for at in where), 0)[:2]
    if kind in SWITCHED_OFF:
        number = not number
    if kind == "post":
        number += PRE_FADER
    return f"{(WHERE | FURTHER)[kind]} {row} {column} {'-inf' if number == OFF else repr(float(number))}"


class Followed:
    """Hands whose first settings are `settings`; `lines`: what else happened, (seconds, line); `players`: of inputs and
    of mixes, by number."""

    def __init__(self, settings, moves, sizes, end, lines=(), mixes=None, players=({}, {}), together=True):
        text = ["desk {} {} {} {}".format(*sizes, *[0] * (4 - len(sizes)))]
        text += [f"is {value(control, number)}" for control, number in settings.items()]
        text += [f"plays {what} {at - 1} {name}" for what, named in zip(("input", "mix"), players)
                 for at, name in named.items()]
        text.append(f"begin 0 {together:d} " + " ".join(map(str, range(sizes[1]) if mixes is None else mixes)))
        happened = [(move.at, f"move {ms(move.at)} {value(move.control, move.after)}") for move in moves]
        text += [line for _, line in sorted([*happened, *lines], key=lambda one: one[0])]
        text.append(f"end {ms(end)}")
        done = subprocess.run([BUILD / "tests" / "follow_moves"], input="\n".join(text) + "\n", text=True,
                              capture_output=True)
        assert done.returncode == 0 and not done.stderr, done.stderr
        self.said = [json.loads(line) for line in done.stdout.splitlines()]
        self.events = [one for one in self.said if "event" in one]
        self.nexts = [one for one in self.said if "next" in one]
        self.of_mixes = {one["mix"] + 1: one for one in self.said if "speech_db" in one}
        self.ceilings = [one for one in self.said if "ceiling" in one]

    def named(self):
        """What was off the book, in the order in which it was said."""
        return [one for one in self.events if one["weight"] in ("mistake", "warning")]

    def of(self, kind):
        return [one for one in self.events if one["event"] == kind]


def settings_of(ceiling, where=WHERE):
    """The controls of hands as they stood in a ceiling."""
    kinds, found = {name: kind for kind, name in where.items()}, {}
    for name, row, column, number in ceiling["values"]:
        if name not in kinds:
            continue
        kind = kinds[name]
        number = OFF if number is None else number
        two = kind in ("send", "cut", "member", "post", "sent")
        control = (kind, row + 1, column + 1) if two else (kind, row + 1)
        if kind in SWITCHED_OFF:
            found[control] = not number
        elif kind == "post":
            found[control] = number > PRE_FADER
        elif kind in ("high-pass", "member", "sent"):
            found[control] = bool(number)
        else:
            found[control] = number
    return found


def before(hands):
    """The settings before the first move."""
    settings = dict(hands.settings)
    for move in reversed(hands.moves):
        settings[move.control] = move.before
    return settings


def follow(hands, moves=None, lines=(), **further):
    """`moves`: those that were heard, where not all were."""
    sizes = len(hands.inputs), len(hands.mixes), len(hands.bands), len(getattr(hands, "groups", ()))
    return Followed(before(hands), hands.moves if moves is None else moves, sizes, hands.now(), lines, **further)
