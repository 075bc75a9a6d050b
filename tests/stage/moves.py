# SPDX-License-Identifier: MIT
"""What hands do to a desk in an evening, move by move: each kind by itself, and mixed. `dice` is a random.Random.

How far and how often is common practice, no source.
"""
from console import OFF, THIRDS

EQ_HZ = 100, 8000
CORNERS_HZ = 80, 250
ENDS_DB = {"input.preamp_gain": (-4, 56), "send.level": (-70, 10), "mix.fader": (-70, 10), "input.trim": (-18, 18),
           "input.eq.band.gain": (-15, 15), "mix.eq.band.gain": (-15, 15)}  # of the mock's desk


def some(dice, count):
    return dice.randrange(count)


def logarithmic(dice, ends):
    low, high = ends
    return low * (high / low) ** dice.random()


def level_of(console, dice):
    """A control of path gains that is not off; sends more often than masters and preamps."""
    i, m = some(dice, console.inputs), some(dice, console.mixes)
    return dice.choice([("send.level", i, m)] * 3
                       + [("input.preamp_gain", i, 0), ("input.trim", i, 0), ("mix.fader", m, 0)])


def add(console, control, db):
    was, (least, most) = console.get(*control), ENDS_DB.get(control[0], (-60, 60))
    if was != OFF:
        console.set(*control, min(max(was + db, least), most))


def band_of(console, dice):
    """(name without the last word, strip, band), tuned somewhere else if it was flat."""
    kind = dice.choice(["input", "mix"])
    strip = some(dice, console.inputs if kind == "input" else console.mixes)
    band = 3 if kind == "input" else 7  # cuts of a ring-out begin with the first
    if not console.get(f"{kind}.eq.band.gain", strip, band):
        console.set(f"{kind}.eq.band.freq", strip, band, logarithmic(dice, EQ_HZ))
        console.set(f"{kind}.eq.band.q", strip, band, dice.uniform(0.7, 6))
    return f"{kind}.eq.band.gain", strip, band


def graphic_of(console, dice):
    return "mix.graphic.band.gain", some(dice, console.mixes), dice.randrange(7, len(THIRDS) - 2)


def up(console, dice):
    what = dice.random()
    if what < 0.7:
        add(console, level_of(console, dice), dice.uniform(0.5, 6))
    elif what < 0.85:
        add(console, band_of(console, dice), dice.uniform(0.5, 4))
    else:
        control = graphic_of(console, dice)
        console.set(*control, max(console.get(*control), 0) if dice.random() < 0.5 else console.get(*control) + 2)


def cut(console, dice):
    control = band_of(console, dice) if dice.random() < 0.5 else graphic_of(console, dice)
    console.set(*control, max(-12, console.get(*control) - dice.uniform(1, 6)))


def high_pass(console, dice):
    i = some(dice, console.inputs)
    hz = logarithmic(dice, CORNERS_HZ)
    if console.get("input.high_pass.on", i):
        hz = max(hz, console.get("input.high_pass.freq", i))
    console.set("input.high_pass.freq", i, 0, hz)
    console.set("input.high_pass.on", i, 0, 1)


def down(console, dice):
    add(console, level_of(console, dice), -dice.uniform(0.5, 3))


def close(console, dice):
    what = dice.random()
    if what < 0.4:
        console.set("input.mute", some(dice, console.inputs), 0, 1)
    elif what < 0.6:
        console.set("send.level", some(dice, console.inputs), some(dice, console.mixes), OFF)
    elif what < 0.75:
        console.set("mix.mute", some(dice, console.mixes), 0, 1)
    else:
        add(console, level_of(console, dice), -dice.uniform(3.5, 15))


def open_again(console, dice):
    """What was closed is as it was."""
    for name, count in (("input.mute", console.inputs), ("mix.mute", console.mixes)):
        console.set(name, some(dice, count), 0, 0)


KINDS = {"up": up, "cut": cut, "high-pass": high_pass, "down": down, "closed": close}
MIXED = [up] * 3 + [down] * 6 + [cut] * 3 + [high_pass] + [close] * 2 + [open_again] * 3
QUIET = [down] * 4 + [cut] * 3 + [close] * 3 + [open_again] * 2  # mutes, sends down and cuts


def make(console, dice, moves):
    dice.choice(moves)(console, dice)
