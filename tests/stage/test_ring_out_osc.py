# SPDX-License-Identifier: MIT
"""The whole way: the scripted engineer hears a stage through a desk's spectrum and turns its controls over OSC, and
`gainwarden ring-out` follows over another socket, by a clock of the test's own. What it keeps is what the rules make of the
same moves in virtual time, which did not ring, by the stage's own truth (test_ring_out.py).
"""
import json
import random
import signal

import pytest
from harness import BUILD, PROFILE, SEED, MockDesk, Process, read_json, rounds, write_json

from engineer import book, desk
from engineer.hands import THIRDS, before_the_ring_out
from followed import follow, settings_of
from stepped import LIBRARY, Clock, SteppedHands

pytestmark = pytest.mark.skipif(not LIBRARY, reason="no libfaketime here")

WHOLE = {"groups": 4, "input_eq_bands": 4, "mix_eq_bands": 4}
SAME_DB = 0.3


def show_of(folder, mock, inputs, mixes):
    profile = read_json(PROFILE)
    profile["counts"].update(input=inputs, mix=mixes)
    profile["counts"]["mix.graphic.band"] = len(THIRDS)
    profile["renew"][0]["every_s"] = 1  # the desk goes by real time
    show = {"show_format": 1, "show": "A stage",
            "desk": {"profile": str(write_json(folder / "profile.json", profile)), "host": mock.host, "port": mock.port},
            "inputs": {str(i): {"source": "lead-vocal", "player": f"singer {i}"} for i in range(1, inputs + 1)},
            "mixes": {str(m): {"player": f"singer {m}", "feeds": "wedge"} for m in range(1, mixes + 1)}}
    return write_json(folder / "show.json", show)


def followed_live(show, clock):
    process = Process(BUILD / "gainwarden", "ring-out", "--yes", show, "--format=json", env=clock.env)
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


@pytest.mark.limit(400)
@pytest.mark.parametrize("number", range(rounds(2, 20)))
def test_what_is_kept_is_what_virtual_time_proves(tmp_path, number):
    dice = random.Random(f"over OSC {number} {SEED}")
    players = 1 + number % 2
    content = desk.state(players, players)
    content["counts"].update(WHOLE)  # the demo's profile asks for these
    mock = MockDesk(write_json(tmp_path / "state.json", content), stage=f"random:{dice.randrange(1000)}:{players}x{players}",
                    truth_port=0, clock="asked")
    hands, clock = SteppedHands(mock, content), Clock(tmp_path)
    before_the_ring_out(hands)
    process = followed_live(show_of(tmp_path, mock, players, players), clock)
    hands.follow_by(clock, process)
    book.Engineer(hands, dice).one_after_another({m: m for m in range(1, players + 1)})
    hands.wait(1)
    assert process.stop(signal.SIGINT) == 0, process.err.texts()
    events = [json.loads(line) for line in process.out.texts()]

    expected = follow(hands)
    kept = read_json(tmp_path / "show.proved.json")["ceilings"]
    assert [one for one in events if one["weight"] == "mistake"] == []
    assert len(kept) == len(expected.ceilings) >= players
    for one, other in zip(kept, expected.ceilings):
        assert same(kept_settings(one), settings_of(other)), (kept_settings(one), settings_of(other))
