# SPDX-License-Identifier: MIT
"""`gainwarden retrim` on the demo: cards, followed to the letter on the mock desk, leave every path as it was, and
there is nothing left to do."""
import re

import pytest

import harness
from harness import DEMO, MockDesk, SHOW, fader_wire, flat, head_wire, read_json, run, write_json

WIRE = {  # parameter -> address of the mock desk (mocks/README.md), type and how the value travels
    "input.preamp_gain": ("/in/{input}/head/gain", "f", head_wire),
    "input.comp.threshold": ("/in/{input}/comp/threshold", "f", float),
    "input.fader": ("/in/{input}/fader", "f", fader_wire),
    "mix.fader": ("/mix/{mix}/fader", "f", fader_wire),
    "send.level": ("/in/{input}/to/{mix}/level", "f", fader_wire),
}


def cards_of(desk, *words, show=SHOW):
    return run("retrim", show, "--desk", desk.at, "--format=json", *words).json()


def follow(desk, sheet, kinds):
    for card in sheet["cards"]:
        for move in card["moves"] if card["kind"] in kinds else ():
            address, kind, wire = WIRE[move["parameter"]]
            desk.move(address.format(**move), kind, wire(move["set_to"]))
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
    sheet = cards_of(desk)
    assert sheet["retrim_format"] == 2 and not sheet["asks_role"]
    assert [one["why"] for one in sheet["stopped"]] == [
        "mix 3 Keys wedge, master to 0 dB: it would bring own-send-off-unity to input 20 BV 2"]
    assert 5 <= len(sheet["cards"]) <= 8

    follow(desk, sheet, {"re-trim", "master"})
    after = paths(desk)
    assert after.keys() == before.keys() and len(before) > 100
    for path, gain in before.items():
        assert after[path] == pytest.approx(gain, abs=0.001), path
    assert {card["kind"] for card in cards_of(desk)["cards"]} == {"high-pass", "tap"}


def test_cards_of_the_demo():
    desk = MockDesk()
    sheet = cards_of(desk)
    moves = {(move["parameter"], move["input"], move["mix"]): (move["now"], move["set_to"])
             for card in sheet["cards"] for move in card["moves"]}
    for key, (old, new) in {
            ("input.preamp_gain", 18, None): (42, 28),
            ("input.comp.threshold", 18, None): (-16, -30),
            ("send.level", 18, 1): (-14, 0),
            ("send.level", 18, 3): (-20, -6),
            ("input.preamp_gain", 16, None): (22, 27),  # its own send stood at +5
            ("send.level", 16, 4): (5, 0)}.items():
        assert moves[key] == (pytest.approx(old, abs=1e-3), pytest.approx(new, abs=1e-3)), key
    # mix 3's master stands at -8 dB; its sends down by as much would take 20 BV 2 off its own 0 dB for good
    assert ("mix.fader", None, 3) not in moves
    worth = [card["gives_db"] for card in sheet["cards"] if card["gives_db"] is not None]
    assert worth == sorted(worth, reverse=True) and worth[0] == pytest.approx(14, abs=1e-3)
    assert all(card["louder_db"] == 0 for card in sheet["cards"])


def test_softer_comes_first():
    for card in cards_of(MockDesk())["cards"]:
        down = [move["set_to"] < move["now"] for move in card["moves"] if move["parameter"].endswith(("level", "gain"))]
        assert down == sorted(down, reverse=True), card


def test_the_page_can_be_followed_in_the_dark():
    out = run("retrim", SHOW, "--desk", MockDesk().at).out
    assert re.search(r"^  Card 1: input 18 Ld Vox: re-trim; gives 14 dB back$", out, re.M)
    assert re.search(r"^    preamp +42 +28$", out, re.M)
    assert re.search(r"^    send into mix 1 Ld Vox wedge +\u221214 +0$", out, re.M)
    assert "Rest between cards, not inside one." in flat(out)
    assert "Mute" not in out and "between songs" not in out
    assert flat(out).rstrip().endswith("This page does not replace a limiter, a measurement or a qualified person.")


def test_steps_are_rounded_to_the_softer_side(tmp_path):
    """Sends in steps of 0.5 dB and preamps of 1 dB, as a profile tells."""
    profile = read_json(DEMO / "barn-desk.json")
    for entry in profile["values"]:
        if entry.get("is") == "send.level":
            entry["step"] = 0.5
        if entry.get("is") == "input.preamp_gain":
            entry["step"] = 1
    path = write_json(tmp_path / "profile.json", profile)
    desk = MockDesk()
    before = paths(desk)
    sheet = cards_of(desk, "--profile", path)
    follow(desk, sheet, {"re-trim", "master"})
    for path, gain in paths(desk).items():
        assert before[path] - 0.5 - 0.001 <= gain <= before[path] + 0.001, path


def test_a_silent_desk_gives_no_card():
    desk = MockDesk(silent=1)
    result = run("retrim", SHOW, "--desk", desk.at, "--format=json")
    assert result.status == 3 and result.json()["cards"] == []


def test_without_a_role_no_preamp_is_moved(tmp_path):
    show = read_json(SHOW)
    show["desk"].update(profile=str(harness.PROFILE), stage=str(harness.PLAN))
    del show["desk"]["role"]
    path = write_json(tmp_path / "show.json", show)
    desk = MockDesk()
    sheet = cards_of(desk, show=path)
    assert sheet["asks_role"]
    assert not [move for card in sheet["cards"] for move in card["moves"] if move["parameter"] == "input.preamp_gain"]
    assert "--role=monitor or --role=house" in flat(run("retrim", path, "--desk", desk.at).out)
    assert any(card["kind"] == "re-trim" for card in cards_of(desk, "--role=monitor", show=path)["cards"])
    refused = run("retrim", path, "--desk", desk.at, "--role=stage")
    assert refused.status == 2 and "--role=stage: allowed are monitor and house" in refused.err


@pytest.mark.parametrize("key, value, why", [("preamp_owner", "house", "the house desk owns the preamp"),
                                             ("also_feeds", "recording", "a recording or stream hears the preamp")])
def test_who_else_uses_the_preamp(tmp_path, key, value, why):
    show = read_json(SHOW)
    show["desk"].update(profile=str(harness.PROFILE), stage=str(harness.PLAN))
    show["inputs"]["18"][key] = value
    sheet = cards_of(MockDesk(), show=write_json(tmp_path / "show.json", show))
    assert not [card for card in sheet["cards"] if card["kind"] == "re-trim" and card["input"] == 18]
    assert [stop["why"] for stop in sheet["stopped"] if stop["input"] == 18][0].startswith(
        f"input 18 Ld Vox, re-trim: {why}")
