# SPDX-License-Identifier: MIT
"""The stage plan: its file, its schema, and what `gainwarden stage` makes of it and one reading of the desk."""
import copy
import json
import math
import random
import re
import socket
import struct
import subprocess
import wave

import jsonschema
import pytest

import osc
from harness import BUILD, PATIENCE, STATE, Process, rounds

# As it stands in the manual.
SHORT = {"pairs": [{"input": 18, "mix": 1, "metres": 1.4, "microphone_sees_it_at": 150, "wedge_sees_it_at": 10}]}

# Every figure of one microphone and one wedge, in the open and facing each other.
WHOLE = {
    "stage_format": 1, "calibration_db": 0, "space": {"open_air": True},
    "microphones": [{"inputs": [18], "at": [0, 2, 1.5], "faces": [0, 0, 1.5], "pattern": "cardioid", "mv_per_pa": 2}],
    "loudspeakers": [{"mixes": [1], "at": [0, 0, 1.5], "faces": [0, 2, 1.5], "db_at_1_metre": 97, "amplifier_db": 20}],
}


@pytest.fixture(name="saved", scope="module")
def saved_desk(tmp_path_factory):
    """The demo desk, read once."""
    path = tmp_path_factory.mktemp("stage") / "saved.json"
    desk = MockDesk()
    assert run("audit", SHOW, "--desk", desk.at, "--save", path).status in (0, 1)
    desk.stop()
    return path


def show_with(folder, plan):
    write_json(folder / "plan.json", plan)
    return demo_show(folder, desk={"profile": str(DEMO / "barn-desk.json"), "host": "127.0.0.1", "role": "monitor",
                                   "stage": "plan.json"})


def estimate(folder, saved, plan):
    result = run("stage", show_with(folder, plan), "--saved", saved, "--format", "json")
    assert (result.status, result.err) == (0, "")
    return result.json()


def changed(plan, *way, to):
    """A copy with another value there, or with none."""
    plan = copy.deepcopy(plan)
    *before, last = way
    node = plan
    for key in before:
        node = node[key]
    if to is None:
        del node[last]
    else:
        node[last] = to
    return plan


# ---- the file ----

def schema():
    return json.loads(run("check", "--schema", "stage").out)


def test_the_committed_schema_is_the_printed_one():
    printed = run("check", "--schema", "stage").out

    assert (ROOT / "contrib" / "schema" / "stage.schema.json").read_text() == printed, \
        "mend it with: gainwarden check --schema stage > contrib/schema/stage.schema.json"


@pytest.mark.parametrize("plan", [read_json(PLAN), SHORT, WHOLE], ids=["demo", "short", "whole"])
def test_good_plans_are_good_to_both(tmp_path, plan):
    jsonschema.Draft7Validator.check_schema(schema())
    jsonschema.validate(plan, schema(), cls=jsonschema.Draft7Validator)
    result = run("check", write_json(tmp_path / "plan.json", plan))

    assert (result.status, result.err) == (0, "")
    assert "good stage plan" in result.out


MICROPHONE, LOUDSPEAKER = ("microphones", 0), ("loudspeakers", 0)

# What is wrong, what is said, and whether the schema sees it too.
BROKEN = [
    (changed(WHOLE, "stage_format", to=2), "stage_format: is 2; this version reads format 1", True),
    (changed(WHOLE, "microfones", to=[]), 'microfones: unknown key, did you mean "microphones"?', True),
    (changed(WHOLE, "space", to={}), "space: must hold either", False),
    (changed(WHOLE, "space", to={"open_air": True, "critical_metres": 3}), "space: must hold either", False),
    (changed(WHOLE, "space", to={"cubic_metres": 900}), "space: must hold either", False),
    (changed(WHOLE, "space", to={"cubic_metres": 1}), "space.cubic_metres: must be a number from 10", True),
    (changed(WHOLE, *MICROPHONE, "inputs", to=None), "microphones[0].inputs: is missing", True),
    (changed(WHOLE, *MICROPHONE, "inputs", to=[]), "microphones[0].inputs: is empty", True),
    (changed(WHOLE, *MICROPHONE, "inputs", to=[18, 18]), "microphones[0].inputs[1]: stands there twice", False),
    (changed(WHOLE, *MICROPHONE, "inputs", to=list(range(1, 10))), "microphones[0].inputs: holds more than 8", True),
    (changed(WHOLE, *MICROPHONE, "inputs", to=[0]), "microphones[0].inputs[0]: must be a whole number from 1", True),
    (changed(WHOLE, *MICROPHONE, "at", to=[1, 2]), "microphones[0].at: must be [x, y, z], in metres", True),
    (changed(WHOLE, *MICROPHONE, "at", to=[1, 2, 3, 4]), "microphones[0].at: holds more than 3 numbers", True),
    (changed(WHOLE, *MICROPHONE, "at", to=[1, "2", 3]), "microphones[0].at[1]: must be a number from -1000", True),
    (changed(WHOLE, *MICROPHONE, "at", to=None), 'microphones[0].faces: means nothing without "at"', False),
    (changed(WHOLE, *MICROPHONE, "faces", to=[0, 2, 1.5]), "microphones[0].faces: is where it stands itself", False),
    (changed(WHOLE, *MICROPHONE, "pattern", to="cardiod"),
     'microphones[0].pattern: unknown pattern "cardiod", did you mean "cardioid"?', True),
    (changed(WHOLE, *MICROPHONE, "mv_per_pa", to=0), "microphones[0].mv_per_pa: must be a number from 0.01", True),
    (changed(WHOLE, *MICROPHONE, "in_hand", to=1), "microphones[0].in_hand: ", True),
    (changed(WHOLE, "microphones", to=WHOLE["microphones"] * 2),
     "microphones[1]: feeds input 18, as microphones[0] does", False),
    (changed(WHOLE, "microphones", to=[{"inputs": [n]} for n in range(1, 66)]), "microphones: holds more than 64", True),
    (changed(WHOLE, *LOUDSPEAKER, "mixes", to=None), "loudspeakers[0].mixes: is missing; only one of the house", False),
    (changed(WHOLE, *LOUDSPEAKER, "off_axis", to=[]), "loudspeakers[0].off_axis: is empty", False),
    (changed(WHOLE, *LOUDSPEAKER, "off_axis", to=[{"hz": 100, "degrees": [0, 90], "db": [0]}]),
     'loudspeakers[0].off_axis[0].db: must hold one number for each of "degrees"', False),
    (changed(WHOLE, *LOUDSPEAKER, "off_axis", to=[{"hz": 100, "degrees": [90, 0], "db": [0, 0]}]),
     "loudspeakers[0].off_axis[0].degrees: must rise", False),
    (changed(WHOLE, *LOUDSPEAKER, "off_axis", to=[{"hz": 100, "degrees": [0], "db": [0]}] * 2),
     "loudspeakers[0].off_axis[1]: must lie above the frequency before it", False),
    (changed(WHOLE, "ears", to=[{"at": [0, 0, 0]}]), "ears[0].mix: is missing", True),
    (changed(WHOLE, "ears", to=[{"mix": 1}]), "ears[0].at: is missing", True),
    (changed(WHOLE, "listener", to={}), "listener.at: is missing", True),
    (changed(SHORT, "pairs", 0, "metres", to=0), "pairs[0].metres: must be a number from 0.05", True),
    (changed(SHORT, "pairs", 0, "metres", to=None), "pairs[0].metres: is missing", True),
    (changed(SHORT, "pairs", to=SHORT["pairs"] * 2), "pairs[1]: pairs the same two as pairs[0]", False),
    ({"pairs": 7}, "pairs: ", True),
]


@pytest.mark.parametrize("plan, words, seen", BROKEN, ids=[f"{i}" for i in range(len(BROKEN))])
def test_what_is_wrong_is_told_with_its_place(tmp_path, plan, words, seen):
    path = write_json(tmp_path / "plan.json", plan)
    result = run("check", path)

    assert result.status == 2 and result.out == ""
    assert any(line.startswith(f"gainwarden: {path}: {words}") for line in result.err.splitlines()), result.err
    assert bool(list(jsonschema.Draft7Validator(schema()).iter_errors(plan))) == seen


NUMBERS = ["0", "-1", "1e308", "-1e308", "1e-320", "999999999999", "0.5", "200", "-200", "null", "[]", "{}", '"x"',
           "true"]


def damage(text, dice):
    """A stage file with bytes changed, cut out or doubled, or numbers put in place of others."""
    for _ in range(dice.choice([1, 1, 2, 5])):
        at = dice.randrange(len(text))
        kind = dice.random()
        if kind < 0.3:
            text = text[:at] + chr(dice.randrange(1, 256)) + text[at + 1:]
        elif kind < 0.5:
            text = text[:at] + text[at + dice.randrange(1, 20):]
        elif kind < 0.6:
            text = text[:at] + text[at:at + dice.randrange(1, 40)] + text[at:]
        else:
            number = dice.choice(list(re.finditer(r"-?\d+(\.\d+)?", text)) or [re.match("", text)])
            text = text[:number.start()] + dice.choice(NUMBERS) + text[number.end():]
    return text


def test_damaged_stage_files(stage_file):
    """Each is read whole or turned down with a reason: the pair of ears is never there, so nothing begins to run."""
    seed = random.randrange(1 << 32)
    print("seed", seed)
    dice = random.Random(seed)
    space = ONE["space"] | {"absorption": [0.1, 0.2, 0.3, 0.4, 0.5, 0.6], "noise_spl": "-inf",
                            "tail": {"t60": 0.05, "per_second": 100}}
    whole = json.dumps(ONE | {"talkers": [{"microphone": 1}], "desk": {"latency_ms": 3, "input_dbu": 20},
                              "space": space})
    for _ in range(rounds(40, 2000)):
        path = stage_file(damage(whole, dice))
        done = subprocess.run([BUILD / "mock-desk", "--state", STATE, "--stage", path, "--hear", "none.wav",
                               "--ears", "9"], text=True, capture_output=True, timeout=10 * PATIENCE)
        assert done.returncode == 2, (path.read_text(), done.stderr)
        assert done.stderr and all(line.startswith("mock-desk: ") for line in done.stderr.splitlines()), done.stderr


EXTREMES = [
    {"microphones": [{"socket": 18, "position": [0, 0, 0], "faces": [0, 0, 0], "mv_per_pa": 100, "mouth_m": 0.01}],
     "loudspeakers": [{"mix": 1, "position": [0, 0, 0], "faces": [0, 0, 0], "sensitivity_db": 130, "amplifier_db": 60}],
     "talkers": [{"microphone": 1, "spl": 120}]},
    {"desk": {"latency_ms": 200}, "space": {"box": {"from": [-200, -200, -200], "to": [200, 200, 200]}, "order": 12,
                                            "absorption": 0, "paths": 400}},
    {"desk": {"latency_ms": 1}, "space": {"tail": {"t60": 5, "per_second": 20000, "level_db": 40}}},
    {"space": {"noise_spl": 120, "absorption": 1, "box": {"from": [-3, 0, 0], "to": [3, 3, 3]}}},
]


@pytest.mark.parametrize("stage", EXTREMES)
def test_extremes_run(stage_file, stage):
    desk = Stage(stage_file(ONE | {"space": {}} | stage))
    silent_desk(desk)
    desk.turn("/in/18/head/gain", "f", 1.0)
    desk.run(0.1)
    assert all(-120 <= desk.ask(f"/{signal}/level")[1][0] <= 0 for signal in ("in/18", "mix/1"))
    assert desk.stop() == 0


@pytest.mark.parametrize("words, complaint", [
    (["--stage", "random:1:4"], "random:1:4: stage: must be random:SEED:MICROPHONESxLOUDSPEAKERS"),
    (["--stage", "random:-1:4x4"], "random:-1:4x4: stage: must be random:SEED:MICROPHONESxLOUDSPEAKERS"),
    (["--stage", "random:1:0x4"], "random:1:0x4: stage: 1 to 32 microphones and 1 to 32 loudspeakers"),
    (["--stage", "none.json"], "none.json: file: No such file or directory"),
    (["--hear", "a.wav"], "--hear and --clock asked need a --stage"),
    (["--stage", "random:1:1x1", "--clock", "sun"], '--clock: "sun" is neither wall nor asked'),
    (["--stage", "random:1:1x1", "--hear", "a.wav", "--ears", "9"], "--ears: the stage has no pair of ears number 9"),
    (["--stage", "random:1:1x1", "--hear", "/none/a.wav"], "/none/a.wav: hear: System error"),
])
def test_wrong_words(words, complaint):
    done = subprocess.run([BUILD / "mock-desk", "--state", STATE, *words], text=True, capture_output=True, timeout=PATIENCE)
    assert done.returncode == 2 and f"mock-desk: {complaint}" in done.stderr
