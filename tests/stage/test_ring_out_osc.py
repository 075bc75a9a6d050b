# SPDX-License-Identifier: MIT
"""The whole way: the scripted engineer hears a stage through a desk's spectrum and turns its controls over OSC, and
`gainwarden ring-out` follows over another socket, in real time made faster. What it keeps is what the rules make of the
same moves in virtual time, which did not ring, by the stage's own truth (test_ring_out.py).

libfaketime, of Debian's packages, is the clock: for gainwarden a second is a fifth of one. On a machine so busy that
gainwarden takes the desk for lost meanwhile, it is done once more, more slowly.
"""
import glob
import json
import random
import signal
import time

import pytest
from harness import BUILD, PROFILE, SEED, MockDesk, Process, read_json, rounds, write_json

from engineer import book, desk
from engineer.hands import THIRDS, before_the_ring_out
from followed import follow, settings_of

LIBRARY = (glob.glob("/usr/lib/*/faketime/libfaketime.so.1") or [None])[0]
pytestmark = pytest.mark.skipif(not LIBRARY, reason="no libfaketime here")

FASTER = (5, 2)
WHOLE = {"groups": 4, "input_eq_bands": 4, "mix_eq_bands": 4}
SAME_DB = 0.3


class FasterHands(desk.DeskHands):
    """What waits for the stage also waits for the program, whose clock goes faster."""

    def __init__(self, mock, content, faster):
        super().__init__(mock, content, asked=True)
        self.begun, self.faster = None, faster

    def wait(self, seconds):
        super().wait(seconds)
        self.begun = self.begun or (time.monotonic(), self.now() - seconds)
        real, stage = self.begun
        time.sleep(max(0, real + (self.now() - stage) / self.faster - time.monotonic()))


def show_of(folder, mock, inputs, mixes):
    profile = read_json(PROFILE)
    profile["counts"].update(input=inputs, mix=mixes)
    profile["counts"]["mix.graphic.band"] = len(THIRDS)
    show = {"show_format": 1, "show": "A stage",
            "desk": {"profile": str(write_json(folder / "profile.json", profile)), "host": mock.host, "port": mock.port},
            "inputs": {str(i): {"source": "lead-vocal", "player": f"singer {i}"} for i in range(1, inputs + 1)},
            "mixes": {str(m): {"player": f"singer {m}", "feeds": "wedge"} for m in range(1, mixes + 1)}}
    return write_json(folder / "show.json", show)


def followed_live(show, faster):
    env = {"LD_PRELOAD": LIBRARY, "FAKETIME": f"+0 x{faster}", "FAKETIME_DISABLE_SHM": "1", "FAKETIME_NO_CACHE": "1",
           "ASAN_OPTIONS": "detect_leaks=0:verify_asan_link_order=0:allocator_release_to_os_interval_ms=-1"}
    process = Process(BUILD / "gainwarden", "ring-out", "--yes", show, "--format=json", env=env)
    process.expect('"event":"next"')
    return process


def kept_settings(ceiling):
    """The path that a ceiling of the file had open: {control: value} as hands have it."""
    values = {name: one["values"] for name, one in ceiling["desk"]["values"].items()}
    found = {("preamp", i): one for i, one in enumerate(values["input.preamp_gain"], 1)}
    found.update({("master", m): float(str(one)) for m, one in enumerate(values["mix.fader"], 1)})
    found.update({("cut", m, b): one for m, row in enumerate(values["mix.graphic.band.gain"], 1)
                  for b, one in enumerate(row if isinstance(row, list) else [row] * len(THIRDS), 1)})
    return found


def same(kept, expected):
    """Within so many dB, all that both know."""
    assert {("preamp", 1), ("master", 1), ("cut", 1, 1)} <= kept.keys() & expected.keys()
    return all(abs(kept[control] - value) <= SAME_DB for control, value in expected.items()
               if control in kept and kept[control] != value)


def evening(folder, dice, players, faster):
    """(hands, what was told) of one ring-out; what is kept stands in the folder."""
    folder.mkdir()
    content = desk.state(players, players)
    content["counts"].update(WHOLE)  # the demo's profile asks for these
    mock = MockDesk(write_json(folder / "state.json", content), stage=f"random:{dice.randrange(1000)}:{players}x{players}",
                    truth_port=0, clock="asked")
    hands = FasterHands(mock, content, faster)
    before_the_ring_out(hands)
    process = followed_live(show_of(folder, mock, players, players), faster)
    book.Engineer(hands, dice).one_after_another({m: m for m in range(1, players + 1)})
    time.sleep(1)
    assert process.stop(signal.SIGINT) == 0, process.err.texts()
    return hands, [json.loads(line) for line in process.out.texts()]


@pytest.mark.limit(400)
@pytest.mark.parametrize("number", range(rounds(2, 20)))
def test_what_is_kept_is_what_virtual_time_proves(tmp_path, number):
    players = 1 + number % 2
    for faster in FASTER:
        folder = tmp_path / str(faster)
        dice = random.Random(f"over OSC {number} {SEED}")
        hands, events = evening(folder, dice, players, faster)
        if "link-lost" not in {one["event"] for one in events}:
            break

    expected = follow(hands)
    kept = read_json(folder / "show.proved.json")["ceilings"]
    assert [one for one in events if one["weight"] == "mistake"] == []
    assert len(kept) == len(expected.ceilings) >= players
    for one, other in zip(kept, expected.ceilings):
        assert same(kept_settings(one), settings_of(other)), (kept_settings(one), settings_of(other))
