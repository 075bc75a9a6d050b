"""A saved state stands in for the desk: the same findings, the same moves, without a network."""
import random

import pytest

from harness import PROFILE, SHOW, STATE, MockDesk, read_json, run, write_json

SEED = random.SystemRandom().randrange(1 << 32)


def shaken_state(dice, folder):
    """The demo's desk with some of its controls moved at random."""
    state = read_json(STATE)
    for one in state["inputs"]:
        for key, value in list(one.items()):
            if isinstance(value, bool) and dice.random() < 0.2:
                one[key] = not value
    for one in state["mixes"]:
        if dice.random() < 0.4:
            one["fader"] = dice.choice([0, -3, -8, 4])
    return write_json(folder / "shaken.json", state)


def lines_of(out, head):
    return out.splitlines()[head:]


@pytest.mark.limit(60)
def test_a_saved_desk_gives_the_same_findings(tmp_path):
    print(f"seed {SEED}")
    dice = random.Random(SEED)
    for number in range(8):
        desk = MockDesk(state=shaken_state(dice, tmp_path) if number else STATE)
        saved = tmp_path / "saved.json"
        live = run("audit", SHOW, "--desk", desk.at, "--all", "--save", saved)
        again = run("audit", SHOW, "--state", saved, "--all")
        live_json = run("audit", SHOW, "--desk", desk.at, "--format", "json").json()
        again_json = run("audit", SHOW, "--state", saved, "--format", "json").json()
        moves = run("retrim", SHOW, "--desk", desk.at)
        moves_again = run("retrim", SHOW, "--state", saved)
        desk.stop()

        assert again.status == live.status
        assert lines_of(again.out, 1) == lines_of(live.out, 2)
        assert again.out.splitlines()[0].startswith("Lantern Yard, Saturday: Yard monitor desk, as saved at 20")
        assert {key for key in live_json if live_json[key] != again_json[key]} <= {"desk", "link", "at"}
        assert moves_again.out == moves.out and moves_again.status == moves.status


def test_a_saved_state_that_is_wrong_is_an_error(tmp_path):
    desk = MockDesk()
    saved = tmp_path / "saved.json"
    run("audit", SHOW, "--desk", desk.at, "--save", saved)
    text = saved.read_text()
    for wrong, words in ((text[:len(text) // 2], ".json:"), (text.replace('"Kick In"', '"Kick Out"'), "digest"),
                         ("[]", "object"), ("", "")):
        saved.write_text(wrong)
        result = run("audit", SHOW, "--state", saved)
        assert result.status == 2 and result.out == "" and str(saved) in result.err and words in result.err
    missing = run("audit", SHOW, "--state", tmp_path / "none.json")
    assert missing.status == 2 and "cannot read: No such file or directory" in missing.err


def test_a_state_of_another_desk_is_refused(tmp_path):
    desk = MockDesk()
    saved = tmp_path / "saved.json"
    run("audit", SHOW, "--desk", desk.at, "--save", saved)
    profile = read_json(PROFILE)
    profile["counts"]["mix"] = 6
    result = run("audit", "--profile", write_json(tmp_path / "other.json", profile), "--state", saved)
    assert result.status == 2 and "mix" in result.err


def test_where_it_cannot_be_saved_nothing_is_reported(tmp_path):
    desk = MockDesk()
    result = run("audit", SHOW, "--desk", desk.at, "--save", tmp_path / "no" / "such" / "folder.json")
    assert result.status == 2 and result.out == ""
    assert "cannot write: No such file or directory" in result.err
