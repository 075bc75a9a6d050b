# SPDX-License-Identifier: MIT
"""`gainwarden retrim` on the demo: followed to the letter on the mock desk, it leaves every path as it was, and
there is nothing left to move."""
import json

import pytest

import harness
from harness import DEMO, MockDesk, SHOW, STATE, fader_wire, flat, head_wire, read_json, run, write_json

WIRE = {  # parameter -> address of the mock desk (mocks/README.md) and how the value travels
    "input.preamp_gain": ("/in/{input}/head/gain", head_wire),
    "input.comp.threshold": ("/in/{input}/comp/threshold", float),
    "input.gate.threshold": ("/in/{input}/gate/threshold", float),
    "input.fader": ("/in/{input}/fader", fader_wire),
    "mix.fader": ("/mix/{mix}/fader", fader_wire),
    "send.level": ("/in/{input}/to/{mix}/level", fader_wire),
}


def retrim(desk, *words):
    result = run("retrim", SHOW, "--desk", desk.at, *words)
    return result


def follow(desk, sheet):
    for move in sheet["moves"]:
        address, wire = WIRE[move["parameter"]]
        desk.move(address.format(**move), "f", wire(move["to_db"]))
    desk.ask("/desk/scene")  # answered after the moves before it


def head_db(wire):
    return -4 + 60 * wire


def fader_db(wire):
    """The straight lines of mocks/README.md, the other way round."""
    points = [(0.04, -70), (0.35, -25), (0.7, 0), (1, 10)]
    if wire == 0:
        return None
    for (left, low), (right, high) in zip(points, points[1:]):
        if wire <= right + 1e-9:
            return low + (wire - left) / (right - left) * (high - low)
    raise AssertionError(wire)


def paths(desk):
    """Preamp + send + master of each open path, asked from the mock itself: the parts a re-trim moves."""
    gains = {}
    masters = {mix: fader_db(desk.ask(f"/mix/{mix}/fader")[0]) for mix in range(1, 9)}
    for number in range(1, 25):
        preamp = head_db(desk.ask(f"/in/{number}/head/gain")[0])
        for mix in range(1, 9):
            send = fader_db(desk.ask(f"/in/{number}/to/{mix}/level")[0])
            if send is not None:
                gains[number, mix] = preamp + send + masters[mix]
    return gains


def test_the_demo_followed_to_the_letter():
    desk = MockDesk()
    before = paths(desk)
    result = retrim(desk, "--format=json")
    assert result.status == 1
    sheet = result.json()
    assert sheet["retrim_format"] == 1
    assert sheet["stops"] == []
    assert sheet["headroom_db"] == pytest.approx(14, abs=1e-3)

    follow(desk, sheet)
    after = paths(desk)
    assert after.keys() == before.keys() and len(before) > 100
    for path, gain in before.items():
        assert after[path] == pytest.approx(gain, abs=0.001), path

    again = retrim(desk, "--format=json")
    assert [move for move in again.json()["moves"]
            if abs(move["to_db"] - move["from_db"]) > 0.001] == []  # float32 on the wire


def test_moves_of_the_demo():
    desk = MockDesk()
    moves = {(move["parameter"], move.get("input"), move.get("mix")): (move["from_db"], move["to_db"])
             for move in retrim(desk, "--format=json").json()["moves"]}
    for key, (old, new) in {
            ("input.preamp_gain", 18, None): (42, 28),
            ("input.comp.threshold", 18, None): (-16, -30),
            ("send.level", 18, 1): (-14, 0),
            ("send.level", 18, 3): (-20, -14),  # 14 up, and 8 down for its master
            ("mix.fader", None, 3): (-8, 0),
            ("input.preamp_gain", 16, None): (22, 27),  # its own send stood at +5
            ("send.level", 16, 4): (5, 0)}.items():
        assert moves[key] == (pytest.approx(old, abs=1e-3), pytest.approx(new, abs=1e-3)), key


def test_the_page_is_a_list_to_follow():
    desk = MockDesk()
    out = retrim(desk).out
    steps = [out.index(step) for step in (
        "1. Mute the mixes", "2. Preamps", "3. Compressor thresholds", "Masters",
        "Sends, mix by mix", "Open the mixes one by one, a hand on the master, ears protected")]
    assert steps == sorted(steps)
    assert "   input 18 Ld Vox: 42 -> 28 dB\n" in out
    assert "the loop gain, stays the same" in flat(out)


def test_a_step_leaves_at_most_half_of_it(tmp_path):
    """Sends in steps of 0.5 dB and preamps of 1 dB, as a profile tells."""
    profile = read_json(DEMO / "barn-desk.json")
    for entry in profile["values"]:
        if entry.get("is") == "send.level":
            entry["step"] = 0.5
        if entry.get("is") == "input.preamp_gain":
            entry["step"] = 1
    state = read_json(STATE)
    state["mixes"][2]["fader"] = -7.8
    path = write_json(tmp_path / "profile.json", profile)
    desk = MockDesk(state=write_json(tmp_path / "state.json", state))
    before = paths(desk)
    result = run("retrim", SHOW, "--profile", path, "--desk", desk.at, "--format=json")
    sheet = result.json()
    residues = [abs(move["residue_db"]) for move in sheet["moves"]]
    assert 0.01 < max(residues) <= 0.25 + 1e-6
    assert sheet["worst_residue_db"] == pytest.approx(max(residues))
    follow(desk, sheet)
    after = paths(desk)
    for path, gain in before.items():
        assert after[path] == pytest.approx(gain, abs=0.25 + 0.001), path


def test_a_silent_desk_gives_no_number():
    desk = MockDesk(silent=1)
    result = run("retrim", SHOW, "--desk", desk.at, "--format=json")
    assert result.status == 3
    assert result.json()["moves"] == []
    assert len(result.json()["stops"]) == 24 + 8
    assert all(stop["why"].startswith("not known: ") or "preamp is not known" in stop["why"]
               for stop in json.loads(result.out)["stops"])


def test_the_house_owns_a_preamp(tmp_path):
    show = read_json(SHOW)
    show["desk"]["profile"] = str(harness.PROFILE)
    show["inputs"]["18"]["preamp_owner"] = "house"
    desk = MockDesk()
    result = run("retrim", write_json(tmp_path / "show.json", show), "--desk", desk.at,
                 "--format=json")
    sheet = result.json()
    assert {"input": 18, "input_label": "Ld Vox",
            "why": "the house desk owns the preamp; agree it there"} in sheet["stops"]
    assert not [move for move in sheet["moves"]
                if move["parameter"] == "input.preamp_gain" and move["input"] == 18]
