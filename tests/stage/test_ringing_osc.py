# SPDX-License-Identifier: MIT
"""Evenings with a desk that publishes spectra: a watch over real OSC, by a clock of the test's own (stepped.py). Hands push
a mix past its ceiling, which the stage's own truth tells to a hundredth of a dB, and whether it rings, where, and how fast.
"""
import json
import math
import random
import re
import signal

import pytest
from harness import BUILD, PROFILE, SEED, MockDesk, Process, read_json, rounds, write_json

from engineer import desk
from engineer.hands import THIRDS
from stepped import LIBRARY, Clock, SteppedHands

pytestmark = pytest.mark.skipif(not LIBRARY, reason="no libfaketime here")

WHOLE = {"groups": 4, "input_eq_bands": 4, "mix_eq_bands": 4}
FINE = {"per_second": 20, "lowest_hz": 20 * 10 ** 0.015, "highest_hz": 20 * 10 ** (0.03 * 99 + 0.015)}  # mocks/README.md
ROOM_S, PUSHED_S, ANSWERS_S = 5, 12, 4
PREAMP_DB, PREAMP_MOST = 10, 50
PAST_DB = 0.1, 0.6
MUST_DB_S = 40


class Evening:
    """Singers before one wedge, and somebody who watches the desk: all loops pass the wedge's master."""

    def __init__(self, folder, dice, fine, speech, words, begun):
        self.folder, self.dice, self.singers = folder, dice, dice.randint(1, 3)
        content = desk.state(self.singers, 1)
        content["counts"].update(WHOLE)  # the demo's profile asks for these
        self.mock = MockDesk(write_json(folder / "state.json", content), truth_port=0, clock="asked",
                             stage=f"random:{dice.randrange(10000)}:{self.singers}x1")
        self.hands, self.clock = SteppedHands(self.mock, content), Clock(folder)
        self.hands.step_s = 0.1  # two frames: more would look like a gap
        for microphone in range(1, self.singers + 1):
            self.hands.ask_truth("/truth/talk", "if", microphone, speech)
        self.ceiling = self.find_ceiling()
        self.file = self.show(fine)
        self.watch = Process(BUILD / "gainwarden", *words, "--yes", self.file, env=self.clock.env)
        self.watch.expect(begun)
        self.hands.follow_by(self.clock, self.watch)

    def find_ceiling(self):
        """The master at which it begins to ring, with preamps that put it near unity; dB."""
        self.hands.ask_truth("/truth/run", "f", 0.5)
        onset = self.hands.ask_truth("/truth/onset")[0]
        preamp = min(PREAMP_DB + onset, PREAMP_MOST)
        for singer in range(1, self.singers + 1):
            self.hands.set(("preamp", singer), preamp)
        return onset - (preamp - PREAMP_DB)

    def show(self, fine):
        profile = read_json(PROFILE)
        profile["counts"].update({"input": self.singers, "mix": 1, "mix.graphic.band": len(THIRDS),
                                  "mix.spectrum.band": 100 if fine else 31})
        profile["renew"] = [{"send": ["/stay"], "every_s": 1}, {"send": ["/stay/spectra"], "every_s": 1}]
        profile["values"].append({"answer": [f"/mix/{{mix}}/{'fine-' if fine else ''}spectrum", {
            "blob": "int16be", "each": "band", "is": "mix.spectrum.band.level", "law": {"times": 0.004}}]})
        if fine:
            profile["spectrum"] = FINE
        show = {"show_format": 1, "show": "A stage", "checks": {"value-jumped": "off"},
                "desk": {"profile": str(write_json(self.folder / "profile.json", profile)), "host": self.mock.host,
                         "port": self.mock.port, "role": "monitor"},
                "inputs": {str(i): {"source": "lead-vocal", "player": f"singer {i}"} for i in range(1, self.singers + 1)},
                "mixes": {"1": {"player": "singer 1", "feeds": "wedge"}}}
        return write_json(self.folder / "show.json", show)

    def truth(self):
        """(Hz, dB/s) of the ring that stands loudest; None."""
        self.hands.clock.send(desk.osc.message("/truth/rings", ""))
        rings = []
        while (heard := desk.osc.parse(self.hands.clock.recv(65536)))[0] == "/truth/ring":
            rings.append(heard[1])
        return max(((hz, growth) for _, hz, growth, *_ in rings), key=lambda one: one[1], default=None)

    def told(self):
        """The lines about rings, from the pages' end on."""
        return [line for line in self.watch.out.texts() if re.search(r"^\d\d:\d\d:\d\d (raised|worse) .*\[mix-ringing\]", line)]

    def end(self):
        assert self.watch.stop(signal.SIGINT) == 0, self.watch.err.texts()
        self.mock.stop()


def watched(folder, dice):
    return Evening(folder, dice, dice.random() < 0.5, dice.uniform(40, 60), ["watch"], r"^\d\d:\d\d:\d\d watching: ")


def pushed(folder, dice):
    """(truth, told) of one push past the ceiling; truth is None where nothing rang."""
    evening = watched(folder, dice)
    evening.hands.set(("master", 1), evening.ceiling - dice.uniform(3, 6))
    evening.hands.wait(ROOM_S)
    evening.hands.set(("master", 1), evening.ceiling + dice.uniform(*PAST_DB))
    truth = None
    for _ in range(PUSHED_S):
        evening.hands.wait(1)
        truth = evening.truth() or truth
        if truth and evening.told():
            break
    said = evening.told()
    evening.end()
    return truth, said


def hz_of(line):
    number, kilo = re.search(r" at ([\d.,]+) (k?)Hz", line).groups()
    return float(number.replace(",", "")) * (1000 if kilo else 1)


def is_right(truth, said):
    """A third is four semitones wide."""
    return any(12 * abs(math.log2(hz_of(line) / truth[0])) <= 2 for line in said
               if re.search(r" fix .* rose by [\d.]+ dB \(master\)", line))


@pytest.mark.limit(1800)
def test_a_push_past_the_ceiling_is_told_to_fix(tmp_path):
    """In nine of ten that grow slower than 40 dB a second, with the right band and the master as what rose."""
    dice, rows = random.Random(f"evening {SEED}"), []
    while len(rows) < rounds(10, 100):
        folder = tmp_path / str(dice.random())
        folder.mkdir()
        truth, said = pushed(folder, dice)
        if truth and truth[1] < MUST_DB_S:
            rows.append((truth, said))
    missed = [row for row in rows if not is_right(*row)]
    print(len(rows), "rings,", len(missed), "not told:", missed)
    assert len(missed) <= rounds(4, 10)


class RungOut(Evening):
    """A ring-out that is followed over the desk, or over a watch that speaks to it."""

    def __init__(self, folder, dice, over_watch):
        follow, keep = ["ring-out", "--format=json"], ["--keep", folder / "keep"]
        super().__init__(folder, dice, True, -math.inf, ["watch", *keep] if over_watch else follow,
                         r"^\d\d:\d\d:\d\d watching: " if over_watch else '"event":"next"')
        self.follower = self.watch
        if over_watch:
            self.follower = Process(BUILD / "gainwarden", *follow, *keep, self.file, env=self.clock.env)
            self.follower.expect("following over the running watch;")
            self.follower.expect('"event":"next"')

    def cut(self, band):
        """What is said of it."""
        self.hands.set(("cut", 1, band), -6)
        self.hands.wait(0.5)
        self.follower.expect('"event":"ring"')

    def end(self):
        if self.follower is not self.watch:
            assert self.follower.stop(signal.SIGINT) == 0, self.follower.err.texts()
        super().end()


def rung_out(folder, dice, over_watch):
    """(truth, event, before) of a ring that is cut in its band while a ring-out is followed; the event None: none rang.
    `before`: at which frequencies something was said to stand out until it was cut."""
    evening = RungOut(folder, dice, over_watch)
    hands, truth = evening.hands, None
    hands.set(("master", 1), evening.ceiling - 3)
    hands.wait(ROOM_S)
    hands.set(("master", 1), evening.ceiling + dice.uniform(*PAST_DB))
    for _ in range(PUSHED_S):
        hands.wait(1)
        truth = evening.truth() or truth
        if truth and truth[1] < MUST_DB_S:
            break
    if truth:
        hands.wait(ANSWERS_S)
        evening.cut(min(range(31), key=lambda band: abs(math.log(THIRDS[band] / truth[0]))) + 1)
    evening.end()
    events = [*map(json.loads, evening.follower.out.texts())]
    rings = [one for one in events if one["event"] == "ring"]
    assert len(rings) == (1 if truth else 0)
    before = events[:events.index(rings[0])] if truth else events
    return truth, rings[0] if truth else None, [one["hz"] for one in before if one["event"] == "next" and "hz" in one]


@pytest.mark.limit(1800)
@pytest.mark.parametrize("over_watch", [False, True])
def test_a_ring_that_is_cut_has_its_own_frequency(tmp_path, over_watch):
    """Within a semitone of the truth, whoever speaks to the desk; the band is told beside it. And it is said before, as
    what to do next; nothing is where nothing rings. Nine of ten have it by the
    looser setting (rise.h: 59 of 60 with GW_SEED=77); by that of a show 47 of those 60 had."""
    dice, rows = random.Random(f"ring-out {SEED}"), []
    for number in range(rounds(6, 60)):
        folder = tmp_path / str(number)
        folder.mkdir()
        truth, event, before = rung_out(folder, dice, over_watch)
        assert truth or not before
        if truth and truth[1] < MUST_DB_S:
            rows.append((truth, event, before))
    seen = [(truth[0], event, before) for truth, event, before in rows if event.get("other_hz")]
    print(len(rows), "rings,", len(seen), "with a frequency of their own")
    assert len(seen) >= (0.9 * len(rows) if rounds(False, True) else len(rows) / 2)
    for hz, event, before in seen:
        assert 12 * abs(math.log2(event["other_hz"] / hz)) <= 1, (hz, event)
        assert before and all(12 * abs(math.log2(said / hz)) <= 1 for said in before), (hz, before)
        assert re.search(r"^a ring in .* at [\d.,]+ k?Hz: 6 dB out of the band of [\d.,]+ k?Hz$", event["says"]), event
