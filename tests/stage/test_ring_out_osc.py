# SPDX-License-Identifier: MIT
"""The whole way: the scripted engineer hears a stage through a desk's spectrum and turns its controls over OSC, and
`gainwarden ring-out` follows over another socket, by a clock of the test's own. What it keeps is what the rules make of the
same moves in virtual time, which did not ring, by the stage's own truth: of a mix alone that is shown in test_ring_out.py,
of all together here.
"""
import json
import random
import signal

import pytest
from harness import BUILD, PROFILE, SEED, MockDesk, Process, read_json, rounds, write_json

from engineer import book, desk
from engineer.hands import THIRDS, before_the_ring_out
from engineer.virtual import VirtualHands
from followed import follow, settings_of
from simulator import Stage
from stepped import LIBRARY, Clock, SteppedHands
from test_ring_out import ABOVE_DB, BELOW_DB, stage_left

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


def ring_out(folder, stage, players, evening):
    """`evening(hands)` happens at a desk before that stage, and is followed: the hands, the events and what was kept."""
    content = desk.state(players, players)
    content["counts"].update(WHOLE)  # the demo's profile asks for these
    mock = MockDesk(write_json(folder / "state.json", content), stage=stage, truth_port=0, clock="asked")
    hands, clock = SteppedHands(mock, content), Clock(folder)
    before_the_ring_out(hands)
    process = followed_live(show_of(folder, mock, players, players), clock)
    hands.follow_by(clock, process)
    evening(hands)
    hands.wait(1)
    assert process.stop(signal.SIGINT) == 0, process.err.texts()
    return hands, [json.loads(line) for line in process.out.texts()], read_json(folder / "show.proved.json")["ceilings"]


def assert_same_ceilings(kept, expected):
    assert [one.get("mix") for one in kept] == [None if one["ceiling"] < 0 else one["ceiling"] + 1 for one in expected]
    for one, other in zip(kept, expected):
        assert same(kept_settings(one), settings_of(other)), (kept_settings(one), settings_of(other))


@pytest.mark.limit(400)
@pytest.mark.parametrize("number", range(rounds(2, 20)))
def test_what_is_kept_is_what_virtual_time_proves(tmp_path, number):
    dice = random.Random(f"over OSC {number} {SEED}")
    players = 1 + number % 2

    def evening(hands):
        book.Engineer(hands, dice).one_after_another({m: m for m in range(1, players + 1)})

    hands, events, kept = ring_out(tmp_path, f"random:{dice.randrange(1000)}:{players}x{players}", players, evening)
    assert [one for one in events if one["weight"] == "mistake"] == []
    assert len(kept) >= players
    assert_same_ceilings(kept, follow(hands).ceilings)


def lefts(stage, kept, expected):
    """How far below onset each ceiling lies, by the stage's truth: what the file does not tell is as it was."""
    with Stage(stage) as truth:
        hands = VirtualHands(truth)
        return [stage_left(hands, {**settings_of(other), **kept_settings(one)}) for one, other in zip(kept, expected)]


@pytest.mark.limit(400)
@pytest.mark.parametrize("number", range(rounds(2, 20)))
def test_all_together_too(tmp_path, number):
    """And each mix pushed after that, with all else as it stands."""
    dice = random.Random(f"together over OSC {number} {SEED}")
    players, rang = 2, False
    stage = f"random:{dice.randrange(1000)}:{players}x{players}"

    def evening(hands):
        nonlocal rang
        somebody = book.Engineer(hands, dice)
        somebody.one_after_another({m: m for m in range(1, players + 1)})
        heard = len(somebody.rings)
        somebody.together()
        rang = len(somebody.rings) > heard
        for mix in hands.mixes:
            somebody.push(mix)

    hands, events, kept = ring_out(tmp_path, stage, players, evening)
    expected = follow(hands).ceilings
    assert [one for one in events if one["weight"] == "mistake"] == []
    assert len([one for one in events if one["event"] == "together"]) == 1
    assert_same_ceilings(kept, expected)
    together = [one for one in zip(kept, expected, lefts(stage, kept, expected)) if "mix" not in one[0]]
    assert len(together) >= 1
    for one, _, left in together:
        print(f"{stage}: {left:+.2f} dB below onset, within {one['step_db']:.1f} dB")
        assert left >= -ABOVE_DB
    if rang:
        assert together[0][2] <= together[0][0]["step_db"] + BELOW_DB
