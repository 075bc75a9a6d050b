# SPDX-License-Identifier: MIT
"""What `gainwarden stage` says where a path of the stage is not known: nothing that the path could make untrue."""
import json
import socket

import pytest

import proving
from harness import DEMO, PLAN, SHOW, MockDesk, demo_show, flat, read_json, run, write_json

DESK = {"profile": str(DEMO / "barn-desk.json"), "host": "127.0.0.1", "role": "monitor"}


@pytest.fixture(name="saved", scope="module")
def saved_desk(tmp_path_factory):
    path = tmp_path_factory.mktemp("stage") / "saved.json"
    desk = MockDesk()
    assert run("audit", SHOW, "--desk", desk.at, "--save", path).status in (0, 1)
    desk.stop()
    return path


def show_with(folder, plan):
    write_json(folder / "plan.json", plan)
    return demo_show(folder, desk={**DESK, "stage": "plan.json"})


def without_preamps(folder, saved, inputs):
    """The saved desk, the preamps of these inputs (from 1) never heard."""
    desk = read_json(saved)
    preamp = desk["values"]["input.preamp_gain"]
    for one in inputs:
        preamp["values"][one - 1] = None
        if isinstance(preamp["heard_s"], list):
            preamp["heard_s"][one - 1] = None
    return proving.sign(folder / "part.json", desk)


def report(show, saved):
    return run("stage", show, "--saved", saved, "--format", "json").json()


def test_no_player_is_told_of_a_mix_that_is_not_known(tmp_path, saved):
    """With all known the guitar is short; without its microphone's preamp it had "enough", by the lead vocal's."""
    show = show_with(tmp_path, read_json(PLAN))
    part = without_preamps(tmp_path, saved, [19, 23])
    whole, some = ({one["mix"]: one for one in report(show, desk)["ears"]} for desk in (saved, part))
    text = flat(run("stage", show, "--saved", part).out)

    assert whole[2]["input"] == 19 and whole[2]["spare_db"] < 0
    assert some[2] == {"player": "guitar", "mix": 2, "why_not": "mix 2 Gtr wedge: a path into it is not known"}
    assert "guitar, mix 2 Gtr wedge: a path into it is not known" in text
    assert "guitar, mix 2 Gtr wedge: 1" not in text


def test_no_player_is_told_of_a_mix_with_a_path_that_is_nowhere(tmp_path, saved):
    plan = read_json(PLAN)
    del plan["microphones"][1]["at"], plan["microphones"][1]["faces"]
    ears = {one["mix"]: one for one in report(show_with(tmp_path, plan), saved)["ears"]}

    assert "the plan does not tell where both ends of an open path into it are" in ears[2]["why_not"]


def test_what_is_known_is_not_the_whole_stage(tmp_path, saved):
    """The first of all to ring is left out: 11 dB more than there is was told of "the whole stage"."""
    show = show_with(tmp_path, read_json(PLAN))
    part = without_preamps(tmp_path, saved, [one for one in range(1, 25) if one != 18])
    text = flat(run("stage", show, "--saved", part).out)
    pages = [flat(run(command, show, "--saved", part, "--format", "html").out) for command in ("stage", "audit")]

    assert "Margin estimated for what is known of the stage, all its paths together: " in text
    assert "the whole stage" not in text and " dB for what is known of the stage" in text
    for page in pages:
        assert "Estimated for what is known of the stage: " in page and "the whole stage" not in page
    assert "Margin estimated for the whole stage, all its paths together: " in flat(run("stage", show, "--saved", saved).out)


def test_a_microphone_that_may_be_open_counts_for_the_house(tmp_path, saved):
    """NOM: 3 dB a doubling, Handbook for Sound Engineers; fewer because nobody heard of them would promise more."""
    show = show_with(tmp_path, read_json(PLAN))
    part = without_preamps(tmp_path, saved, [19, 20, 23])
    house = [[line for line in run("stage", show, "--saved", desk).out.split("\n  ") if line.startswith("House")]
             for desk in (saved, part)]

    assert len(house[0]) == 1 and house[0] == house[1], json.dumps(house)


def test_open_inputs_that_the_plan_lacks_are_counted(tmp_path, saved):
    """Vocals of inputs 19 and 20 leave the plan: two more are open than of the demo's plan."""
    plan = read_json(PLAN)
    before = report(show_with(tmp_path, plan), saved)["not_in_plan"]
    plan["microphones"] = [one for one in plan["microphones"] if one["inputs"] not in ([19], [20])]
    show = show_with(tmp_path, plan)

    assert report(show, saved)["not_in_plan"] == before + 2
    assert f"Not in the plan, and in no figure: {before + 2} open inputs" in flat(run("stage", show, "--saved", saved).out)
    page = flat(run("stage", show, "--saved", saved, "--format", "html").out)
    assert f" {before + 2} open inputs are not in the plan, and in no figure." in page
    plan["microphones"] = [{"inputs": list(range(8 * i + 1, 8 * i + 9)), "at": [i, 2, 1.5]} for i in range(3)]
    assert report(show_with(tmp_path, plan), saved)["not_in_plan"] == 0


def test_one_open_microphone_is_one(tmp_path, saved):
    plan = {"microphones": [{"inputs": [18], "at": [0, 2, 1.5]}],
            "loudspeakers": [{"mixes": [1], "at": [0, 0, 0.3]}, {"house": True, "at": [4, -1, 3]}],
            "listener": {"at": [0, -18, 1.3]}}
    show = show_with(tmp_path, plan)

    assert "possible with 1 open microphone, " in flat(run("stage", show, "--saved", saved).out)
    assert "possible with 1 open microphone: " in flat(run("stage", show, "--saved", saved, "--format", "html").out)


def test_a_desk_that_was_never_heard_is_told_with_what_to_look_at(tmp_path):
    """In the words of the audit; without them there was a list of paths alone."""
    show = show_with(tmp_path, read_json(PLAN))
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as nobody:
        nobody.bind(("127.0.0.1", 0))
        result = run("stage", show, "--desk", f"127.0.0.1:{nobody.getsockname()[1]}", "--within", "1")

    assert result.status == 3
    assert "Is it on, is OSC enabled, are address and port right?" in flat(result.out)
