# SPDX-License-Identifier: MIT
"""A saved desk stands in for the desk: the same findings, the same moves, without a network."""
import random
import re

import pytest

from harness import (PROFILE, ROOT, SEED, SHOW, STATE, MockDesk, below_heading, flat, read_json, rounds, run,
                     write_json)



LABELS = ["Kick In", "Snare", "Hat", "OH L", "Bass DI", "Gtr L", "Keys", "Acoustic", "Trumpet", "Ld Vox", "BV 2", "MC",
          "Playback L", "Audience", "Line 7", ""]
MIXES = ["Ld Vox wedge", "Gtr wedge", "Side-fill", "Drum-fill", "Bass IEM", "Keys IEM", "Spare", ""]


def random_level(dice):
    return dice.choice(["-inf", "-inf", 0, 0, dice.randrange(-60, 11), round(dice.uniform(-30, 10), 2)])


def random_input(dice, mixes):
    return {"name": dice.choice(LABELS), "gain": round(dice.uniform(-4, 56), 1), "pad": dice.random() < 0.2,
            "phantom": dice.random() < 0.4, "open": dice.random() < 0.8, "fader": random_level(dice),
            "trim": dice.choice([0, 0, -6, 3.5]), "level": dice.randrange(-60, 0),
            "high_pass": {"on": dice.random() < 0.6, "freq": dice.randrange(20, 400), "slope": dice.choice([6, 12, 18, 24])},
            "eq": {"bands": [{"freq": dice.randrange(60, 12000), "gain": dice.randrange(-12, 13), "q": 1.4}]},
            "comp": {"on": dice.random() < 0.4, "makeup": dice.choice([0, 0, 4, 9])},
            "send_levels": [random_level(dice) for _ in range(mixes)]}


def random_mix(dice):
    bands = dice.sample(["63", "160", "250", "400", "630", "1000", "1600", "2500", "4000", "8000"], dice.randrange(0, 10))
    return {"name": dice.choice(MIXES), "fader": random_level(dice), "open": dice.random() < 0.9,
            "limiter": {"on": dice.random() < 0.5, "threshold": dice.choice([-12, -6, 0])},
            "graphic": {"cuts": {band: dice.choice([-3, -6, -9, -12]) for band in bands}}}


def random_desk(dice, folder):
    """The state file and the profile of a mock desk whose size, labels and every control are random."""
    state, profile = read_json(STATE), read_json(PROFILE)
    inputs, mixes = dice.randrange(1, 9), dice.randrange(1, 5)
    state["counts"].update(inputs=inputs, mixes=mixes)
    state["inputs"] = [random_input(dice, mixes) for _ in range(inputs)]
    state["mixes"] = [random_mix(dice) for _ in range(mixes)]
    profile["counts"].update({"input": inputs, "mix": mixes})
    profile["pace"]["per_second"] = 20000
    if dice.random() < 0.05:  # what the desk never answers is not known
        profile["values"].append({"at": "/mix/{mix}/nowhere", "is": "mix.graphic.band.freq", "each": "band"})
    return write_json(folder / "desk.json", state), write_json(folder / "profile.json", profile)


@pytest.mark.limit(240)
def test_random_desks_give_the_same_findings(tmp_path):
    dice = random.Random(SEED)
    seen, statuses = set(), set()
    for number in range(rounds(40, 200)):
        state, profile = random_desk(dice, tmp_path)
        desk = MockDesk(state=state)
        saved = tmp_path / f"saved-{number}.json"
        words = ("--profile", profile, "--all")
        live = run("audit", *words, "--desk", desk.at, "--save", saved)
        again = run("audit", *words, "--saved", saved)
        desk.stop()

        assert again.status == live.status and live.status in (0, 1, 3), (number, live.err)
        assert below_heading(again.out) == below_heading(live.out), number
        seen.update(re.findall(r"\[([a-z-]+)\]$", live.out, re.MULTILINE))
        statuses.add(live.status)
    assert len(seen) >= 10, seen  # the desks are no empty ones


def test_every_form_of_the_demo_is_the_same(tmp_path):
    desk = MockDesk()
    saved = tmp_path / "saved.json"
    live = run("audit", SHOW, "--desk", desk.at, "--all", "--save", saved)
    again = run("audit", SHOW, "--saved", saved, "--all")
    live_json = run("audit", SHOW, "--desk", desk.at, "--format", "json").json()
    again_json = run("audit", SHOW, "--saved", saved, "--format", "json").json()
    live_page = run("audit", SHOW, "--desk", desk.at, "--format", "html").out
    again_page = run("audit", SHOW, "--saved", saved, "--format", "html").out
    moves = run("retrim", SHOW, "--desk", desk.at)
    moves_again = run("retrim", SHOW, "--saved", saved)
    desk.stop()
    compared = run("compare", SHOW, "--saved", saved, "--reference", saved, "--format", "json").json()

    assert compared["at"] == read_json(saved)["at"] and compared["path_gains"]["differ"] == []
    assert again.status == live.status and below_heading(again.out) == below_heading(live.out)
    assert flat(again.out).startswith("Ostrel Barn, Saturday: Barn monitor desk, as saved at 20")
    assert {key for key in live_json if live_json[key] != again_json[key]} <= {"desk", "link", "at"}
    reading = re.compile(r"<span class=\"when\">[^<]*")  # a minute may have passed
    assert reading.sub("", again_page) == reading.sub("", live_page)
    assert below_heading(moves_again.out) == below_heading(moves.out) and moves_again.status == moves.status


def test_one_that_is_wrong_is_an_error(tmp_path):
    desk = MockDesk()
    saved = tmp_path / "saved.json"
    run("audit", SHOW, "--desk", desk.at, "--save", saved)
    text = saved.read_text()
    for wrong, words in ((text[:len(text) // 2], ".json:"), (text.replace('"Kick In"', '"Kick Out"'), "digest"),
                         ("[]", "object"), ("", "")):
        saved.write_text(wrong)
        result = run("audit", SHOW, "--saved", saved)
        assert result.status == 2 and result.out == "" and str(saved) in result.err and words in result.err
    missing = run("audit", SHOW, "--saved", tmp_path / "none.json")
    assert missing.status == 2 and "cannot read: No such file or directory" in missing.err


def test_one_of_another_desk_is_refused(tmp_path):
    desk = MockDesk()
    saved = tmp_path / "saved.json"
    run("audit", SHOW, "--desk", desk.at, "--save", saved)
    profile = read_json(PROFILE)
    profile["counts"]["mix"] = 6
    result = run("audit", "--profile", write_json(tmp_path / "other.json", profile), "--saved", saved)
    assert result.status == 2 and "mix" in result.err


@pytest.mark.parametrize("words", [("audit", SHOW, "--within", "0.5"),
                                   ("replay", ROOT / "tests" / "reference" / "fault.recording")])
def test_what_is_there_is_never_saved_over(tmp_path, words):
    """--save is one letter from --saved, and a desk that is not there has nothing to save."""
    saved = tmp_path / "saved.json"
    saved.write_text("the only one there is")
    result = run(*words, "--save", saved)
    assert (result.status, result.out) == (2, "")
    assert result.err == (f"gainwarden: --save: {saved} is there already; --save only makes new files, "
                          "--saved looks at one\n")
    assert saved.read_text() == "the only one there is"


def test_where_it_cannot_be_saved_nothing_is_reported(tmp_path):
    desk = MockDesk()
    result = run("audit", SHOW, "--desk", desk.at, "--save", tmp_path / "no" / "such" / "folder.json")
    assert result.status == 2 and result.out == ""
    assert "cannot write: No such file or directory" in result.err
