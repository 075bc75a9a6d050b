# SPDX-License-Identifier: MIT
"""Carries out on a simulated stage what `gainwarden stage` says would help, from its printed words as a person would,
and says what that truly won.

A person sets the level again afterwards, so that the player hears the voice as loud as before: the microphone is turned
down by what a nearer mouth gives and up by what turning away loses, the mix by what its ears get more. What the ears get
is heard there, room and all, weighed by speech.
"""
import math
import re

import numpy

import plans
from simulator import RATE

POINTS = 1 << 15


def hand(setting, number):
    """A hand around the grille: it hears all round alike."""
    moved = setting.copy()
    moved.microphone(number)["pattern"] = 1
    return moved


# ---- a stage that needs help ----

def disorder(dice, setting):
    """Stands aim anywhere in front, wedges lie anywhere round the ears, mouths are far, and half the strips boom."""
    setting = setting.copy()
    for number in range(1, setting.microphones + 1):
        one = setting.microphone(number)
        one["faces"] = plans.aimed_off(dice, one["position"], one["faces"], 35)
        one["mouth_m"] = dice.uniform(0.05, 0.4)
        if dice.random() < 0.5:
            boom(setting.state["inputs"][number - 1], dice)
    for mix in range(1, setting.mixes + 1):
        ears = setting.ears(mix)
        if ears:
            angle, metres = dice.uniform(0, 2 * math.pi), dice.uniform(1.2, 2.5)
            place = [ears[0] + metres * math.cos(angle), ears[1] + metres * math.sin(angle), 0.2]
            setting.loudspeaker(mix).update(position=within(setting.scene["space"], place), faces=ears)
    return setting


def boom(strip, dice):
    strip["high_pass"]["on"], strip["eq"]["on"] = False, True
    strip["eq"]["bands"].append({"on": True, "shape": "low-shelf", "freq": dice.uniform(120, 200),
                                 "gain": dice.uniform(6, 12), "q": 0.7})


WALL_M = 0.3


def within(space, place):
    """The place, or the nearest before a wall."""
    if "box" not in space:
        return place
    corners = zip(space["box"]["from"], space["box"]["to"])
    return [min(max(at, here + WALL_M), there - WALL_M) if axis < 2 else at
            for axis, (at, (here, there)) in enumerate(zip(place, corners))]


# ---- what is moved ----

def turn(setting, numbers, words):
    """In the plane of its axis and the loudspeaker."""
    number, degrees, towards, mix = numbers[0], float(words[1]), words[2] == "towards", numbers[1]
    moved = setting.copy()
    one = moved.microphone(number)
    at, box = numpy.array(one["position"]), numpy.array(moved.loudspeaker(mix)["position"])
    axis, way = unit(numpy.array(one["faces"]) - at), unit(box - at)
    across = unit(way - axis * (way @ axis)) * (1 if towards else -1)
    turned = axis * math.cos(math.radians(degrees)) + across * math.sin(math.radians(degrees))
    one["faces"] = (at + turned).tolist()
    a, floor = one["pattern"], 10 ** (one["floor_db"] / 20)
    return moved, 20 * math.log10(max(abs(a + (1 - a) * (axis @ turned)), floor))


def unit(vector):
    return vector / numpy.linalg.norm(vector)


class Outside(Exception):
    """The plan knows of no walls."""


def stand_wedge(setting, mix, at):
    if within(setting.scene["space"], at) != at:
        raise Outside
    moved = setting.copy()
    moved.loudspeaker(mix)["position"], moved.loudspeaker(mix)["faces"] = at, setting.ears(mix)
    return moved


def wedge_to_null(setting, numbers, words):
    mix = numbers[0]
    return stand_wedge(setting, mix, [float(words[1]), float(words[2]), setting.loudspeaker(mix)["position"][2]]), 0


def wedge_nearer(setting, numbers, words):
    mix, ears = numbers[0], numpy.array(setting.ears(numbers[0]))
    way = unit(numpy.array(setting.loudspeaker(mix)["position"]) - ears)
    return stand_wedge(setting, mix, (ears + way * float(words[1])).tolist()), 0


def mouth(setting, numbers, words):
    return setting.copy(), 20 * math.log10(setting.microphone(numbers[0])["mouth_m"] / (float(words[1]) / 100))


def in_ears(setting, numbers, words):
    moved = setting.copy()
    moved.state["mixes"][numbers[0] - 1]["open"] = False
    return moved, 0


def close(setting, numbers, words):
    moved = setting.copy()
    moved.state["inputs"][numbers[0] - 1]["open"] = False
    return moved, 0


def high_pass(setting, numbers, words):
    moved = setting.copy()
    moved.state["inputs"][numbers[0] - 1]["high_pass"] = {"on": True, "freq": float(words[1]), "slope": float(words[2])}
    return moved, 0


def pattern(setting, numbers, words):
    moved = setting.copy()
    moved.microphone(numbers[0])["pattern"] = plans.PATTERNS[words[1]]
    return moved, 0


INPUT, MIX, NUMBER = r"input (?P<input>\d+)", r"mix (?P<mix>\d+)", r"(-?[\d.]+)"
WAYS = {
    "turn": (rf"turn the microphone of {INPUT} on its stand by {NUMBER} degrees, (away from|towards) the loudspeaker of {MIX}",
             turn),
    "wedge-to-null": (rf"move the loudspeaker of {MIX} to x {NUMBER}, y {NUMBER} m, facing the ears, as far from them as now:.*",
                      wedge_to_null),
    "wedge-nearer": (rf"bring the loudspeaker of {MIX} nearer its player's ears, to {NUMBER} m", wedge_nearer),
    "mouth": (rf"the mouth nearer the microphone of {INPUT}, to {NUMBER} cm", mouth),
    "in-ears": (rf"in-ears in place of the loudspeaker of {MIX}", in_ears),
    "close": (rf"close {INPUT} while nobody uses it", close),
    "pattern": (rf"an? ([a-z-]+) in place of the [a-z-]+ of {INPUT}: .*", pattern),
    "high-pass": (rf"a high-pass at {NUMBER} Hz, {NUMBER} dB per octave, on {INPUT}", high_pass),
}


def carry_out(setting, help):
    """(the stage afterwards, what the voice at the microphone wins in dB)"""
    pattern, way = WAYS[help["kind"]]
    found = re.fullmatch(pattern, help["says"])
    assert found, help
    named = found.groupdict()
    numbers = [int(named[key]) for key in ("input", "mix") if key in named]
    words = [None] + [word for word, key in zip(found.groups(), names_of(found)) if key is None]
    return way(setting, numbers, words)


def names_of(found):
    """Of each group its name, or None."""
    by_number = {number: name for name, number in found.re.groupindex.items()}
    return [by_number.get(number) for number in range(1, found.re.groups + 1)]


# ---- what it wins ----

def speech_power(hz):
    """Falls below 100 Hz and above 700 Hz by 12 dB an octave: ANSI S3.5's long-term spectrum in rough, from memory."""
    return 1 / ((1 + (100 / hz) ** 4) * (1 + (hz / 700) ** 2) ** 2)


def heard_db(truth, microphone, mix):
    """The voice in the ears that the mix is for, per sound at the microphone."""
    hz = numpy.fft.rfftfreq(POINTS, 1 / RATE)[1:]
    path = numpy.fft.rfft(truth.g[mix - 1, microphone - 1], POINTS)[1:] * numpy.fft.rfft(truth.ears[mix], POINTS)[1:]
    return 10 * math.log10(numpy.sum(speech_power(hz) * numpy.abs(path) ** 2))


LEVELLED = ("turn", "wedge-to-null", "wedge-nearer", "mouth", "pattern", "high-pass")  # the others leave nobody to hear it


def won(setting, before, help, folder):
    """(on the path, for the whole stage) dB; None: there was none."""
    microphone, mix = help["input"], help["mix"]
    moved, voice_db = carry_out(setting, help)
    after = plans.truth(moved, folder)
    after.g[:, microphone - 1] *= 10 ** (-voice_db / 20)
    if help["kind"] in LEVELLED and mix in before.ears:
        louder_db = heard_db(after, microphone, mix) + voice_db - heard_db(before, microphone, mix)
        after.g[mix - 1] *= 10 ** (-louder_db / 20)
    path = [truth.onset_of([microphone], [mix]).db for truth in (before, after)]
    stage = [truth.onset.db for truth in (before, after)]
    return path[1] - path[0], stage[1] - stage[0]
