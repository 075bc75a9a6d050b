# SPDX-License-Identifier: MIT
"""`gainwarden compare` says what a move does and what it weighs: the loudest upwards on top, and a re-trim as no
difference."""
import pytest

from harness import STATE, MockDesk, demo_show, fader_wire, flat, head_wire, read_json, run, write_json
from test_retrim import follow


@pytest.fixture(name="stage")
def stage_fixture(tmp_path):
    """The demo's desk with every in-ear mix protected, and its show with that desk approved."""
    state = read_json(STATE)
    state["mixes"][7]["limiter"]["on"] = True
    desk = MockDesk(write_json(tmp_path / "state.json", state))
    show = demo_show(tmp_path)
    assert run("approve", show, "--desk", desk.at).status == 0
    return desk, show


def compare(stage, *words):
    desk, show = stage
    return run("compare", show, "--desk", desk.at, *words)


def page_of(stage, *words):
    result = compare(stage, "--format=json", *words)
    assert result.out and not result.err, result.err
    return result.json(), result.status


def place(entry):
    return (entry["parameter"], *(entry[kind] for kind in ("input", "mix", "band", "group") if entry.get(kind)))


def near(number):
    return pytest.approx(number, abs=2e-3)


# ---- what moved ----

def test_a_slip_upwards_stands_on_top(stage):
    """11.4 dB more of the lead vocal in every mix it is sent to, below a dozen harmless moves."""
    desk, _ = stage
    for number in range(1, 9):
        desk.move(f"/in/{number}/hp/freq", "f", 0.5)
    desk.move("/in/7/head/gain", "f", head_wire(25))
    desk.move("/in/18/head/gain", "f", head_wire(53.4))
    page, status = page_of(stage)
    assert status == 1
    first = page["moved"][0]
    assert place(first) == ("input.preamp_gain", 18)
    assert (first["louder_db"], first["softer_db"], first["weight"]) == (near(11.4), 0, "fix")
    assert first["mixes"] == [1, 2, 3, 4, 5, 7, 8]
    second = page["moved"][1]
    assert place(second) == ("input.preamp_gain", 7) and second["weight"] == "note"
    assert (second["louder_db"], second["softer_db"], second["mixes"]) == (0, near(3), [6, 7, 8])
    assert [place(one) for one in page["moved"] if one["asleep"]] == [("input.high_pass.freq", 5)]  # it is off
    page["moved"] = [one for one in page["moved"] if not one["asleep"]]
    assert all(one["weight"] in ("note", "fix", "stop") for one in page["moved"])
    assert all(one["louder_db"] == one["softer_db"] == 0 and one["mixes"] == [] for one in page["moved"][2:])
    out = compare(stage).out
    listed = flat(out[out.index("\nMoved ("):])
    assert listed.startswith("Moved (9) path gains, the loudest upwards first (2) fix: input 18 Ld Vox: "
                             "preamp 42 -> 53.4 dB, 11.4 dB louder in mixes 1-5, 7, 8 ")
    assert "note: input 7 Floor Tom: preamp 28 -> 25 dB, 3 dB softer in mixes 6-8 " in listed


@pytest.mark.parametrize("address, tags, values, weight", [
    ("/in/19/head/gain", "f", (head_wire(37),), "fix"),     # 3 dB up, into wedges
    ("/in/19/head/gain", "f", (head_wire(31),), "note"),    # and down
    ("/in/19/to/1/level", "f", (fader_wire(5),), "note"),   # 11 dB more of him: a normal wish
    ("/in/19/to/1/level", "f", (fader_wire(9),), "fix"),    # 15 dB
    ("/mix/2/fader", "f", (fader_wire(6),), "fix"),
    ("/mix/2/fader", "f", (fader_wire(-5),), "note"),
    ("/mix/7/limit/on", "i", (0,), "stop"),                 # ears
    ("/mix/7/limit/threshold", "f", (0.0,), "stop"),        # from -8 dB
    ("/in/19/hp/on", "i", (0,), "fix"),
    ("/mix/2/graphic/14", "f", (0.0,), "fix"),              # a ring cut of 3 dB
    ("/in/19/open", "i", (0,), "note"),
    ("/in/19/name", "s", ("BV left",), "note"),
])
def test_what_a_move_weighs(stage, address, tags, values, weight):
    desk, _ = stage
    desk.move(address, tags, *values)
    page, _ = page_of(stage)
    [moved] = page["moved"]
    assert moved["weight"] == weight


def test_a_send_that_opens(stage):
    desk, _ = stage
    desk.move("/in/7/to/2/level", "f", fader_wire(-6))
    desk.move("/in/18/to/8/level", "f", 0.0)
    page, _ = page_of(stage)
    opened, closed = page["moved"]
    assert place(opened) == ("send.level", 7, 2) and place(closed) == ("send.level", 18, 8)
    assert (opened["louder_db"], opened["softer_db"], opened["mixes"], opened["weight"]) == ("inf", 0, [2], "fix")
    assert (closed["louder_db"], closed["softer_db"], closed["mixes"], closed["weight"]) == (0, "inf", [8], "note")
    out = flat(compare(stage).out)
    assert "fix: input 7 Floor Tom: send into mix 2 Gtr wedge off -> -6 dB, opens the path" in out
    assert "note: input 18 Ld Vox: send into mix 8 Drums IEM -18 -> off, closes the path" in out


# ---- another offset ----

def test_a_retrim_since_is_no_difference(stage):
    desk, show = stage
    follow(desk, run("retrim", show, "--desk", desk.at, "--format=json").json(), {"re-trim"})
    page, status = page_of(stage)
    assert len(page["moved"]) > 15 and all(one["folded"] and "weight" not in one for one in page["moved"])
    assert sorted(one["inputs"] for one in page["offsets"] if one["recognised"]) == [[15], [16], [18]]
    assert page["findings"]["new"] == page["findings"]["worse"] == []
    assert status == 0
    out = flat(compare(stage).out)
    assert "No path gain, tap, filter or protection moved." in out
    assert "Another offset, no difference (3)" in out
    # what slips besides is told
    desk.move("/in/18/hp/on", "i", 0)
    page, status = page_of(stage)
    assert status == 1
    assert place(page["moved"][0]) == ("input.high_pass.on", 18) and not page["moved"][0]["folded"]


def test_what_is_off_on_both_sides_is_no_difference(stage, tmp_path):
    desk, show = stage
    desk.move("/in/5/hp/on", "i", 0)
    assert run("approve", show, "--desk", desk.at).status == 0
    desk.move("/in/5/hp/freq", "f", 0.5)
    page, status = page_of(stage)
    assert status == 0
    assert [(one["asleep"], "weight" in one) for one in page["moved"]] == [(True, False)]
    assert "Behind switches that are off on both sides: 1, --all lists them" in flat(compare(stage).out)
