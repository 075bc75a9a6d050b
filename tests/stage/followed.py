# SPDX-License-Identifier: MIT
"""What the program makes of the moves of a ring-out: rules/ring by follow_moves, which gets them as lines."""
import json
import subprocess

from engineer.hands import OFF
from simulator import BUILD

WHERE = {"preamp": "input.preamp_gain", "open": "input.mute", "high-pass": "input.high_pass.on", "send": "send.level",
         "master": "mix.fader", "cut": "mix.graphic.band.gain"}
CONTROLS = {name: control for control, name in WHERE.items()}


def ms(seconds):
    return round(seconds * 1000)


def value(control, number):
    """(parameter, row, column, number) as the desk model has them."""
    kind, *where = control
    row, column = (*(at - 1 for at in where), 0)[:2]
    if kind == "open":
        number = not number
    return f"{WHERE[kind]} {row} {column} {'-inf' if number == OFF else repr(float(number))}"


class Followed:
    """Hands whose first settings are `settings`; `lines`: what else happened, (seconds, line)."""

    def __init__(self, settings, moves, sizes, end, lines=()):
        text = ["desk {} {} {}".format(*sizes)]
        text += [f"is {value(control, number)}" for control, number in settings.items()]
        text.append("begin 0 1 " + " ".join(map(str, range(sizes[1]))))
        happened = [(move.at, f"move {ms(move.at)} {value(move.control, move.after)}") for move in moves]
        text += [line for _, line in sorted([*happened, *lines], key=lambda one: one[0])]
        text.append(f"end {ms(end)}")
        done = subprocess.run([BUILD / "tests" / "follow_moves"], input="\n".join(text) + "\n", text=True,
                              capture_output=True)
        assert done.returncode == 0 and not done.stderr, done.stderr
        said = [json.loads(line) for line in done.stdout.splitlines()]
        self.events = [one for one in said if "event" in one]
        self.nexts = [one for one in said if "next" in one]
        self.of_mixes = {one["mix"] + 1: one for one in said if "speech_db" in one}
        self.ceilings = [one for one in said if "ceiling" in one]

    def named(self):
        """What was off the book, in the order in which it was said."""
        return [one for one in self.events if one["weight"] in ("mistake", "warning")]

    def of(self, kind):
        return [one for one in self.events if one["event"] == kind]


def settings_of(ceiling):
    """The controls of hands as they stood in a ceiling."""
    found = {}
    for name, row, column, number in ceiling["values"]:
        if name not in CONTROLS:
            continue
        kind = CONTROLS[name]
        number = OFF if number is None else number
        where = (row + 1, column + 1) if kind in ("send", "cut") else (row + 1,)
        found[(kind, *where)] = not number if kind == "open" else bool(number) if kind == "high-pass" else number
    return found


def before(hands):
    """The settings before the first move."""
    settings = dict(hands.settings)
    for move in reversed(hands.moves):
        settings[move.control] = move.before
    return settings


def follow(hands, moves=None, lines=()):
    """`moves`: those that were heard, where not all were."""
    sizes = len(hands.inputs), len(hands.mixes), len(hands.bands)
    return Followed(before(hands), hands.moves if moves is None else moves, sizes, hands.now(), lines)
