# SPDX-License-Identifier: MIT
"""Evenings of music in which nothing rings and hands ride the faders, through the simulated stage and its spectra: a watch over
real OSC, by a clock of the test's own (stepped.py), tells of no ring. The notes that no chat gets are counted and printed.
The music is made out of dice; tests/long/ringing has it from the corpus, and all half hour of it (GW_CORPUS).

How a show is ridden is common practice, no source: somebody moves something every eight seconds, by up to 6 dB either way within
three seconds, mostly faders and sends, now and then a master, a preamp, a mute, a high-pass or a band.
"""
import random
import re
import struct

import numpy
import pytest
from harness import BUILD, SEED, OwnDesk, Process, fader_wire, head_wire, rounds, until, write_json

import osc
import own_sounds
import spectra
from simulator import MIX, RATE, Stage
from stepped import LIBRARY, Clock, is_taken

pytestmark = pytest.mark.skipif(not LIBRARY, reason="no libfaketime here")

EVENING_S, EVENINGS, STEP_FRAMES = 180, 10, 2  # two frames: more at once would look like a gap
BELOW_DB = 9, 14  # the ceiling, where everything stands at the beginning
RISES_DB, FALLS_DB, LEAST_DB = 6, 10, 1
EVERY_S, LASTS_S = 8, (0.1, 3)
LOWEST_DB, HIGH_PASS_HZ = -4, 120
BAND, TONE, BANDS, GROWS_FRAMES = 17, 26, 31, 420

# name: address, scope and key of the stage, how its value travels, how often it is taken
CONTROLS = {
    "input.fader": ("/in/{}/fader", "input", "fader", fader_wire, 6),
    "send.level": ("/in/{}/to/{}/level", "send", "level", fader_wire, 6),
    "mix.fader": ("/mix/{}/fader", "mix", "fader", fader_wire, 3),
    "input.preamp_gain": ("/in/{}/gain", "input", "gain", head_wire, 1),
    "input.mute": ("/in/{}/open", "input", "open", int, 1),
    "input.high_pass.on": ("/in/{}/hp/on", "input", "high_pass.on", int, 1),
    "mix.graphic.band.gain": (f"/mix/{{}}/graphic/{BAND}", "graphic", "gain", float, 1),
}
LEVELS = "input.fader", "send.level", "mix.fader", "input.preamp_gain"
PROFILE = {
    "profile_format": 1, "desk": "A desk", "link": {"transport": "udp", "port": 9100}, "fixed": {"send.tap": "post-fader"},
    "laws": {"shut": {"words": [[0, True], [1, False]]}, "switch": {"words": [[0, False], [1, True]]},
             "fader": {"line": [[0, "-inf"], [0.04, -70], [0.35, -25], [0.7, 0], [1, 10]]},
             "head": {"line": [[0, -4], [1, 56]]}},
    "values": [{"at": "/in/{input}/name", "is": "input.name"}, {"at": "/mix/{mix}/name", "is": "mix.name"},
               {"at": "/in/{input}/gain", "is": "input.preamp_gain", "law": "head"},
               {"at": "/in/{input}/open", "is": "input.mute", "law": "shut"},
               {"at": "/in/{input}/fader", "is": "input.fader", "law": "fader"},
               {"at": "/in/{input}/hp/on", "is": "input.high_pass.on", "law": "switch"},
               {"at": "/in/{input}/to/{mix}/level", "is": "send.level", "law": "fader"},
               {"at": "/mix/{mix}/fader", "is": "mix.fader", "law": "fader"},
               {"at": "/mix/{mix}/graphic/{band}", "is": "mix.graphic.band.gain"},
               {"answer": ["/mix/{mix}/spectrum", {"blob": "int16be", "each": "band", "is": "mix.spectrum.band.level",
                                                   "law": {"times": 0.004}}]}]}


def spectrum(mix, levels):
    numbers = [max(round(db / 0.004), -32768) for db in levels]
    return osc.message(f"/mix/{mix}/spectrum", "b", struct.pack(f">{BANDS}h", *numbers))


def rings_told(watch):
    return [line for line in watch.out.texts() if re.search(r"^\d\d:\d\d:\d\d (raised|worse) .*\[mix-ringing\]", line)]


class Desk:
    """The stage's controls over OSC, counted from 1, and its spectra."""

    def __init__(self, dice):
        self.dice, self.inputs, self.mixes = dice, dice.randint(1, 3), dice.randint(1, 2)
        self.stage = Stage(f"random:{dice.randrange(10000)}:{self.inputs}x{self.mixes}")
        self.answers = {f"/mix/{m}/graphic/{band}": osc.message(f"/mix/{m}/graphic/{band}", "f", 0.0)
                        for m in range(1, self.mixes + 1) for band in range(1, BANDS + 1)}
        for count, name in (self.inputs, "in"), (self.mixes, "mix"):
            self.answers.update({f"/{name}/{n}/name": osc.message(f"/{name}/{n}/name", "s", f"{name} {n}")
                                 for n in range(1, count + 1)})
        self.controls = [*((name, i, 0) for name in CONTROLS if name.startswith("input") for i in self.all_inputs()),
                         *(("send.level", i, m) for i in self.all_inputs() for m in self.all_mixes()),
                         *((name, m, 0) for name in ("mix.fader", "mix.graphic.band.gain") for m in self.all_mixes())]
        self.gain_db = self.go_below(dice.uniform(*BELOW_DB))
        self.begun = {control: self.get(control) for control in self.controls}
        for control in self.controls:
            self.set(control, self.get(control))

    def all_inputs(self):
        return range(1, self.inputs + 1)

    def all_mixes(self):
        return range(1, self.mixes + 1)

    def go_below(self, db):
        """So far below the ceiling, by the preamps, and by the masters what those do not reach; the preamps' gain."""
        for i in self.all_inputs():
            self.set(("input.preamp_gain", i, 0), 0)
            self.stage.set("input", "high_pass.freq", i, 0, HIGH_PASS_HZ)
        rises_db = self.stage.onset()[0] - db
        gain_db = min(max(rises_db, 0), 50)
        for i in self.all_inputs():
            self.set(("input.preamp_gain", i, 0), gain_db)
        for m in self.all_mixes():
            self.set(("mix.fader", m, 0), min(rises_db - gain_db, 0))
        return gain_db

    def get(self, control):
        name, row, column = control
        _, scope, key, *_ = CONTROLS[name]
        return self.stage.get(scope, key, row, BAND if scope == "graphic" else column)

    def set(self, control, value):
        """The message that says so."""
        name, row, column = control
        at, scope, key, wire, _ = CONTROLS[name]
        at = at.format(row, column)
        self.stage.set(scope, key, row, BAND if scope == "graphic" else column, value)
        self.answers[at] = osc.message(at, "i" if wire is int else "f", wire(value))
        return self.answers[at]

    def frames(self):
        self.stage.run(spectra.FRAME_S)
        for m in self.all_mixes():
            yield spectrum(m, self.stage.spectrum(MIX, m))

    # ---- hands ----

    def risen_db(self, control, value):
        """Of the path that would then stand highest over where it began."""
        levels = {one: self.get(one) - self.begun[one] for one in self.controls if one[0] in LEVELS}
        if control in levels:
            levels[control] = value - self.begun[control]
        return max(levels["input.preamp_gain", i, 0] + levels["input.fader", i, 0] + levels["send.level", i, m] +
                   levels["mix.fader", m, 0] for i in self.all_inputs() for m in self.all_mixes())

    def some_move(self):
        """(control, value): never further up than RISES_DB in all."""
        while True:
            control = self.dice.choices(self.controls, [CONTROLS[name][-1] for name, *_ in self.controls])[0]
            now, value = self.get(control), None
            if control[0] in LEVELS:
                value = self.begun[control] + self.dice.uniform(-FALLS_DB, RISES_DB)
                if control[0] == "input.preamp_gain":
                    value = max(value, LOWEST_DB)
                if abs(value - now) < LEAST_DB or self.risen_db(control, value) > RISES_DB:
                    continue
            elif control[0] == "mix.graphic.band.gain":
                value = self.dice.uniform(-6, 0)
            else:
                value = 1 - now
            return control, value


def music(dice, seconds):
    """Out of dice, or from anywhere in the corpus."""
    if not spectra.CORPUS:
        return own_sounds.music(dice, seconds)
    samples = numpy.concatenate([spectra.recorded(dice.choice(sorted((spectra.CORPUS / "music").glob("*.wav"))))
                                 for _ in range(2)])
    at = dice.randrange(max(1, len(samples) - seconds * RATE))
    return numpy.resize(samples[at:], seconds * RATE)


def sounds(dice, seconds):
    """What one microphone hears: music mostly."""
    make = music if dice.random() < 0.7 else own_sounds.speech
    return spectra.at_level(make(dice, seconds), spectra.LOUD_DB)


class Evening:
    def __init__(self, folder, dice):
        self.dice, self.desk, self.clock, self.moves = dice, Desk(dice), Clock(folder), 0
        self.profile = {**PROFILE, "counts": {"input": self.desk.inputs, "mix": self.desk.mixes, "mix.graphic.band": BANDS,
                                              "mix.spectrum.band": BANDS}}
        self.show = write_json(folder / "show.json", {
            "show_format": 1, "show": "A stage", "desk": {
                "profile": str(write_json(folder / "profile.json", self.profile)), "host": "127.0.0.1", "role": "monitor"},
            "inputs": {str(i): {"source": "lead-vocal", "player": f"singer {i}"} for i in self.desk.all_inputs()},
            "mixes": {str(m): {"feeds": "wedge"} for m in self.desk.all_mixes()}})
        self.riding = []  # (control, values to come)

    def begin_ride(self):
        control, value = self.desk.some_move()
        now = self.desk.get(control)
        frames = max(1, round(self.dice.uniform(*LASTS_S) / spectra.FRAME_S))
        values = [now + (value - now) * (n + 1) / frames for n in range(frames)] if control[0] in LEVELS else [value]
        self.moves += 1
        self.riding = [control, values]

    def ride(self):
        """One hand, which ends what it began."""
        if not self.riding and self.dice.random() < spectra.FRAME_S / EVERY_S:
            self.begin_ride()
        if not self.riding:
            return []
        control, values = self.riding
        message = self.desk.set(control, values.pop(0))
        self.riding = self.riding if values else []
        return [message]

    def run(self):
        """The lines about rings, of the music; behind it a tone of our own is told, too."""
        with OwnDesk(lambda desk, heard: desk.send(heard.peer, self.desk.answers[heard.address])) as own:
            watch = Process(BUILD / "gainwarden", "watch", self.show, "--desk", own.at, env=self.clock.env)
            watch.expect(r"^\d\d:\d\d:\d\d watching: ")
            self.clock.stand()
            with self.desk.stage:
                self.play(own, own.heard[0].peer, watch)
                said = rings_told(watch)
                self.is_heard(own, own.heard[0].peer, watch)
            assert watch.stop() == 0, watch.err.texts()
        return said

    def step(self, own, watch):
        until(lambda: is_taken(watch, own.port))
        self.clock.go(STEP_FRAMES * spectra.FRAME_S)

    def is_heard(self, own, peer, watch):
        """A tone as a ring grows, behind 21 s of silence, and stands while what moved lately is waited for."""
        said = len(rings_told(watch))
        own.send(peer, *(self.desk.set(("input.mute", i, 0), 1) for i in self.desk.all_inputs()))
        for frame in range(0, GROWS_FRAMES + 400, STEP_FRAMES):
            for n in range(frame, frame + STEP_FRAMES):
                tone_db = max(min(n - GROWS_FRAMES - 43, -4), -90)
                own.send(peer, *(spectrum(m, [tone_db if band == TONE else -90 for band in range(BANDS)])
                                 for m in self.desk.all_mixes()))
            self.step(own, watch)
        until(lambda: len(rings_told(watch)) > said, what="a tone that grows")

    def play(self, own, peer, watch):
        heard = [sounds(self.dice, EVENING_S) * 10 ** (-self.desk.gain_db / 20) for _ in self.desk.all_inputs()]
        for frame in range(0, int(EVENING_S / spectra.FRAME_S), STEP_FRAMES):
            start = frame * spectra.FRAME_S
            if start % spectra.PIECE_S == 0:
                for i, samples in enumerate(heard, 1):
                    self.desk.stage.play(i, samples[int(start * RATE):int((start + spectra.PIECE_S) * RATE)])
            for _ in range(STEP_FRAMES):
                own.send(peer, *self.ride(), *self.desk.frames())
            assert not self.desk.stage.rings(), "it does ring"
            self.step(own, watch)


@pytest.mark.limit(3600)
def test_music_with_faders_ridden_tells_of_no_ring(tmp_path):
    dice, lines, moves = random.Random(f"music {SEED}"), [], 0
    count = EVENINGS if spectra.CORPUS else rounds(1, EVENINGS)
    for number in range(count):
        folder = tmp_path / str(number)
        folder.mkdir()
        evening = Evening(folder, dice)
        said = evening.run()
        print(f"{evening.desk.inputs}x{evening.desk.mixes}, {evening.moves} moves:", *said, sep="\n", flush=True)
        lines, moves = lines + said, moves + evening.moves
    told = [line for line in lines if " fix " in line]
    print(f"{count * EVENING_S / 60:g} minutes, {moves} moves: {len(lines) - len(told)} notes, {len(told)} told")
    assert not told, told
