# SPDX-License-Identifier: MIT
"""Evenings in virtual time in which hands slip, up and down. Whatever the watch then prints as a move leads back to the
value before, and nothing else: no compensation is ever advised for a slip.

An evening is a recording of the test's own (gainwarden-saved(5)) that the program replays. Half of the evenings begin
with an approved desk, half with none: then the value before is the one that stood before the leap.
"""
import random
import re
from typing import NamedTuple

import pytest

from desk import EVENING_BEGINS_S, Desk, recording
from harness import SEED, rounds, run

EVENINGS = 200
MINUTE_S = 60
LEAPS_DB = (3, 4, 6, 8, 10, 14, 20, 26)

PREAMP, TRIM, SEND, MASTER, THRESHOLD, CUT = (
    "input.preamp_gain", "input.trim", "send.level", "mix.fader", "input.comp.threshold", "mix.graphic.band.gain")


class Slip(NamedTuple):
    at_s: float
    name: str
    where: tuple
    before: float
    after: float
    back_s: float  # when a hand takes it back; 0: nobody does

    def place(self):
        return " ".join(map(str, (self.name, *self.where)))


def open_sends(desk):
    return [(number, mix) for number in range(1, desk.counts["input"] + 1) for mix in range(1, desk.counts["mix"] + 1)
            if desk.value(SEND, number, mix) != "-inf"]


def control(dice, desk):
    """One that a hand may slip on."""
    number, mix = dice.choice(open_sends(desk))
    return dice.choice([(MASTER, (mix,)), (MASTER, (mix,)), (SEND, (number, mix)), (SEND, (number, mix)),
                        (PREAMP, (number,)), (TRIM, (number,)), (THRESHOLD, (dice.choice([10, 11, 12]),)),
                        (CUT, (1, 22))])


def slip(dice, desk, at_s):
    """A leap of one control within its range; None: it stands at its end."""
    name, where = control(dice, desk)
    before = desk.value(name, *where)
    least, most = desk.ends(name)
    after = min(most, max(least, -60, before + dice.choice([1, -1]) * dice.choice(LEAPS_DB)))
    back_s = at_s + dice.choice([0, 0, 40])
    return Slip(at_s, name, where, before, after, back_s if back_s > at_s else 0) if after != before else None


def evening(dice):
    """The case of a random evening, and its slips in their order."""
    start = {"input.comp.on 10-12": True, "mix.graphic.band.gain 1 22": -6}
    desk = Desk({}).put(start)
    slips, moves = [], []
    for number in range(dice.randrange(3, 8)):
        one = slip(dice, desk, (number + 1) * 2 * MINUTE_S + dice.randrange(60))
        if not one or one.place() in {other.place() for other in slips}:
            continue
        slips.append(one)
        moves.append([one.at_s, one.place(), one.after])
        if one.back_s:
            moves.append([one.back_s, one.place(), one.before])
        else:
            desk.put({one.place(): one.after})
    case = {"name": "evening", "evening": {"room": dice.choice(["doors", "show"]), "lasts_s": 20 * MINUTE_S,
                                           "moves": sorted(moves)}}
    case.update({"approved": start} if dice.random() < 0.5 else {"values": start})
    return case, slips


# ---- what is printed ----

NUMBER = r"(-?\d+(?:\.\d+)?|off)"
MOVE = re.compile(rf"{NUMBER} -> {NUMBER}")
COMPENSATES = re.compile(r"every (?:one of its )?sends?|up by|down by|by as much|louder or softer")
CLOCK = re.compile(r"^(\d\d):(\d\d):(\d\d) ")


def seconds(line):
    hours, minutes, second = map(int, CLOCK.match(line).groups())
    return (hours * 3600 + minutes * 60 + second - EVENING_BEGINS_S) % 86400


def cures(lines):
    """(seconds, what a line says is to be done)."""
    for line in lines:
        if CLOCK.match(line) and "; do: " in line:
            yield seconds(line), line.partition("; do: ")[2].replace("−", "-")


def number_of(word):
    return -200.0 if word == "off" else float(word)


def leads_back(now, set_to, at_s, slips):
    """Whether a move undoes a slip that had happened by then."""
    return any(one.at_s <= at_s + 1 and abs(number_of(now) - one.after) < 0.06
               and abs(number_of(set_to) - one.before) < 0.06 for one in slips)


def wrong_advice(lines, slips):
    for at_s, cure in cures(lines):
        found = COMPENSATES.search(cure)
        if found:
            yield f"after {at_s} s it compensates ({found[0]}): {cure}"
        for now, set_to in MOVE.findall(cure):
            if not leads_back(now, set_to, at_s, slips):
                yield f"after {at_s} s {now} -> {set_to} leads nowhere that was: {cure}"


def moves_in(lines):
    return [move for _, cure in cures(lines) for move in MOVE.findall(cure)]


def test_what_judges_an_evening():
    slips = [Slip(10, MASTER, (3,), 0, 10, 0), Slip(60, SEND, (10, 1), 0, -26, 0)]
    begin = "16:50:"
    good = [f"{begin}12 raised fix [value-jumped] mix 3: it leapt; do: master 10 -> 0 dB",
            "16:51:05 raised note [own-send-off-unity] input 10: low; do: send into mix 1 −26 -> 0 dB"]
    assert list(wrong_advice(good, slips)) == [] and len(moves_in(good)) == 2
    for bad in ("do: master 10 -> 0 dB, and every send into the mix up by 10 dB", "do: preamp 22 -> 32 dB",
                "do: preamp up by 10 dB"):
        assert list(wrong_advice([f"{begin}12 raised fix [x] mix 3: it leapt; {bad}"], slips))
    assert list(wrong_advice([f"{begin}05 raised fix [x] mix 3: it leapt; do: master 10 -> 0 dB"], slips))


@pytest.mark.limit(240)
def test_every_card_of_a_slip_leads_back(tmp_path):
    dice = random.Random(SEED)
    wrong, moves, leaps = [], 0, 0
    for number in range(rounds(EVENINGS, 1000)):
        case, slips = evening(dice)
        path = tmp_path / f"{number}.recording"
        path.write_text(recording(case))
        result = run("replay", path)
        assert (result.status, result.err) == (0, ""), result.err
        lines = result.out.splitlines()
        wrong += [f"evening {number}: {one}" for one in wrong_advice(lines, slips)]
        moves += len(moves_in(lines))
        leaps += sum(one.name == MASTER and one.after - one.before >= 6 for one in slips)
        path.unlink()
    print(f"{moves} moves were printed; {leaps} masters leapt by 6 dB or more")
    assert not wrong, "\n".join(wrong[:40]) + f"\n{len(wrong)} in all"
    assert moves >= leaps > 0  # each of these is told with its way back
