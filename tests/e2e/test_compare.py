# SPDX-License-Identifier: MIT
"""`gainwarden compare` says what a move does, what it weighs and how it goes back: the loudest upwards on top, the
approved value as the only cure, and a re-trim as no difference."""
import re

import pytest

from harness import STATE, MockDesk, demo_show, fader_wire, flat, head_wire, read_json, run, write_json
from test_report_html import Page
from test_retrim import follow

CURES_OF_OLD = r"every send|so that nothing gets louder|send[^;]* up by"  # a compensation, beside a value that is known


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


def card_moves(card):
    return [(place(move), move["set_to"]) for move in card["moves"]]


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
    card = page["cards"][first["card"] - 1]
    assert card["kind"] == "put-back" and card["input"] == 18 and card_moves(card) == [(("input.preamp_gain", 18), 42)]
    assert first["card"] == 1 and card["gives_db"] == near(11.4) and card["louder_db"] == 0
    out = compare(stage).out
    listed = flat(out[out.index("\nMoved ("):])
    assert listed.startswith(f"Moved (9) path gains, the loudest upwards first (2) fix: input 18 Ld Vox: "
                             f"preamp 42 -> 53.4 dB, 11.4 dB louder in mixes 1-5, 7, 8; card {first['card']} ")
    assert "note: input 7 Floor Tom: preamp 28 -> 25 dB, 3 dB softer in mixes 6-8; card " in listed
    assert not re.search(CURES_OF_OLD, flat(out))


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
    assert "fix: input 7 Floor Tom: send into mix 2 Gtr wedge off -> -6 dB, opens the path; card " in out
    assert "note: input 18 Ld Vox: send into mix 8 Drums IEM -18 -> off, closes the path; card " in out
    assert "put it back; opens what was off, so slowly" in out


# ---- the way back ----

def test_the_approved_value_is_the_only_cure(stage):
    """A master and an own send: both are findings with cures of their own, which would move every send."""
    desk, _ = stage
    desk.move("/mix/2/fader", "f", fader_wire(10))   # from 0
    desk.move("/in/18/to/1/level", "f", fader_wire(9))  # from -14
    page, status = page_of(stage)
    assert status == 1
    assert [card_moves(card) for card in page["cards"]] == [[(("send.level", 18, 1), near(-14))],
                                                            [(("mix.fader", 2), near(0))]]
    worse = {one["check"]: one for one in page["findings"]["new"] + page["findings"]["worse"]}
    assert {"master-off-unity", "own-send-off-unity"} <= set(worse)
    assert worse["master-off-unity"]["do"] == "card 2" and worse["master-off-unity"]["card"] == 2
    assert worse["own-send-off-unity"]["do"] == "card 1" and worse["own-send-off-unity"]["card"] == 1
    out = flat(compare(stage, "--all").out)
    assert "Card 2: mix 2 Gtr wedge: put it back" in out and not re.search(CURES_OF_OLD, out)


def test_followed_to_the_letter_nothing_is_left(stage):
    desk, _ = stage
    before = page_of(stage)[0]["findings"]["unchanged"]
    desk.move("/in/18/head/gain", "f", head_wire(50))
    desk.move("/in/18/to/1/level", "f", fader_wire(-9))
    desk.move("/in/18/comp/threshold", "f", -10.0)
    desk.move("/mix/3/fader", "f", fader_wire(-14))
    page, status = page_of(stage)
    assert status == 1
    [whole] = [card for card in page["cards"] if card["input"] == 18]
    assert sorted(card_moves(whole)) == [(("input.comp.threshold", 18), near(-16)), (("input.preamp_gain", 18), near(42)),
                                         (("send.level", 18, 1), near(-14))]
    [louder] = [card["louder_db"] for card in page["cards"] if card["mix"] == 3]
    assert louder == near(6) and "put it back; ends up to 6 dB louder, so slowly" in flat(compare(stage).out)
    follow(desk, page, {"put-back"})
    page, status = page_of(stage)
    assert (status, page["moved"], page["cards"], page["stopped"]) == (0, [], [], [])
    assert page["findings"]["unchanged"] == before


def test_what_no_card_moves(stage):
    desk, _ = stage
    desk.move("/in/19/open", "i", 0)
    desk.move("/in/19/name", "s", "BV left")
    desk.move("/in/19/fader", "f", fader_wire(-20))  # no send follows it
    desk.move("/in/23/head/phantom", "i", 0)
    page, status = page_of(stage)
    assert status == 1  # 48 V
    assert [one["card"] for one in page["moved"]] == [None] * 4 and page["cards"] == []
    assert place(page["moved"][0]) == ("input.phantom", 23) and page["moved"][0]["weight"] == "fix"
    out = flat(compare(stage).out)
    assert ("Moved (1) protection (1) fix: input 23 Talk/MC: 48 V was on, is off; on no card: by hand, with the input "
            "closed") in out and "What to set" not in out
    assert "Besides: 2 levels, 1 label were moved by hand: --all lists them" in out
    assert "note: input 19 BV left: mute was off, is on" in flat(compare(stage, "--all").out)


def test_what_the_show_accepts_stays(stage):
    desk, show = stage
    accepts = read_json(show)["accept"]
    accepts.append({"check": "moved-from-approved", "input": 19, "why": "a new microphone", "by": "Kim"})
    shown = read_json(show)
    write_json(show, {**shown, "accept": accepts})
    desk.move("/in/19/head/gain", "f", head_wire(37))
    desk.move("/in/7/head/gain", "f", head_wire(31))
    page, _ = page_of(stage)
    assert [card["input"] for card in page["cards"]] == [7]


def test_what_has_outgrown_its_accept_goes_back(stage):
    """The side-fill's master is accepted up to 2 dB, and was approved at 1.5."""
    desk, _ = stage
    desk.move("/mix/5/fader", "f", fader_wire(6))
    page, status = page_of(stage)
    assert status == 1
    assert [card_moves(card) for card in page["cards"]] == [[(("mix.fader", 5), near(1.5))]] and page["stopped"] == []
    [master] = page["findings"]["new"]
    assert (master["check"], master["do"]) == ("master-off-unity", "card 1")
    # within what is accepted it stays
    desk.move("/mix/5/fader", "f", fader_wire(-1))
    page, status = page_of(stage)
    assert (status, page["cards"], len(page["stopped"])) == (0, [], 1)
    assert "mix 5 Side-fill, put it back: the master is accepted as it stands" in flat(compare(stage).out)


def test_what_a_slip_brings_to_light_points_to_its_card(stage):
    """The guitar's own send is at -8 dB as approved, and was told as unused preamp gain: a loud master unfolds it."""
    desk, _ = stage
    desk.move("/mix/3/fader", "f", fader_wire(10))
    page, _ = page_of(stage)
    told = {(one["check"], *one["object"].values()): one["do"] for one in page["findings"]["new"]}
    assert told.pop(("own-send-off-unity", 15)) == "card 1"
    assert list(told) == [("loop-margin", 3)]  # and by the plan the keys' wedge is near its first ring
    assert not re.search(CURES_OF_OLD, flat(compare(stage).out))


# ---- another offset ----

def test_a_retrim_since_is_no_difference(stage):
    desk, show = stage
    follow(desk, run("retrim", show, "--desk", desk.at, "--format=json").json(), {"re-trim"})
    page, status = page_of(stage)
    assert len(page["moved"]) > 15 and all(one["folded"] and "weight" not in one for one in page["moved"])
    assert sorted(one["inputs"] for one in page["offsets"] if one["recognised"]) == [[15], [16], [18]]
    assert page["cards"] == [] and page["findings"]["new"] == page["findings"]["worse"] == []
    assert status == 0
    out = flat(compare(stage).out)
    assert "No path gain, tap, filter or protection moved." in out
    assert "Another offset, no difference (3)" in out and "What to set" not in out
    # what slips besides is told and goes back alone
    desk.move("/in/18/hp/on", "i", 0)
    page, status = page_of(stage)
    assert status == 1
    assert [card_moves(card) for card in page["cards"]] == [[(("input.high_pass.on", 18), True)]]
    assert place(page["moved"][0]) == ("input.high_pass.on", 18) and not page["moved"][0]["folded"]


def test_what_is_off_on_both_sides_is_no_difference(stage):
    desk, show = stage
    desk.move("/in/5/hp/on", "i", 0)
    assert run("approve", show, "--desk", desk.at).status == 0
    desk.move("/in/5/hp/freq", "f", 0.5)
    page, status = page_of(stage)
    assert status == 0 and page["cards"] == []
    assert [(one["asleep"], "weight" in one) for one in page["moved"]] == [(True, False)]
    assert "Behind switches that are off on both sides: 1, --all lists them" in flat(compare(stage).out)


def test_an_offset_that_a_slip_balances_goes_back_with_it(stage):
    """Trim 6 dB down in the one input whose master went up by 6: it is as loud as it was, and the others are louder."""
    desk, show = stage
    for mix in (5, 6, 7):
        desk.move(f"/in/3/to/{mix}/level", "f", 0.0)
    assert run("approve", show, "--desk", desk.at).status == 0
    desk.move("/mix/8/fader", "f", fader_wire(6))
    desk.move("/in/3/trim", "f", -6.0)
    page, status = page_of(stage)
    assert status == 1
    assert [(place(one), one["folded"], one["card"]) for one in page["moved"]] == [
        (("mix.fader", 8), False, 1), (("input.trim", 3), False, 2)]
    assert "Another offset" not in compare(stage).out


# ---- beside a reference ----

def test_a_reference_plays_the_part_of_the_approved_desk(stage, tmp_path):
    desk, show = stage
    reference = tmp_path / "reference.json"
    assert run("audit", show, "--desk", desk.at, "--save", reference).status in (0, 1)
    desk.move("/in/7/head/gain", "f", head_wire(31))
    desk.move("/in/18/head/gain", "f", head_wire(53.4))
    desk.move("/mix/7/limit/on", "i", 0)
    assert run("approve", show, "--desk", desk.at, "--stop-too").status == 0  # the wrong one, by the way
    page, status = page_of(stage, "--reference", reference)
    assert status == 1
    assert [place(one) for one in page["moved"]] == [("input.preamp_gain", 18), ("input.preamp_gain", 7),
                                                     ("mix.limiter.on", 7)]
    assert [one["weight"] for one in page["moved"]] == ["fix", "fix", "stop"]
    assert [(card["input"], card["mix"]) for card in page["cards"]] == [(18, None), (7, None), (None, 7)]
    assert [card_moves(page["cards"][one["card"] - 1])[0][0] for one in page["moved"]] == \
        [place(one) for one in page["moved"]]
    rises = [one["to"] - one["from"] for one in page["path_gains"]["differ"]]
    assert rises == [near(11.4)] * 7 + [near(3)] * 3
    out = flat(compare(stage, "--reference", reference).out)
    assert "fix: input 18 Ld Vox: preamp 42 -> 53.4 dB, 11.4 dB louder in mixes 1-5, 7, 8; card 1" in out
    assert "stop: mix 7 Bass IEM: limiter was on, is off; card 3" in out


def test_inputs_of_one_preamp_share_the_card(tmp_path):
    desk = MockDesk()
    desk.move("/in/4/head/socket", "i", 3)
    desk.move("/in/4/head/gain", "f", head_wire(30))
    show = demo_show(tmp_path)
    assert run("approve", show, "--desk", desk.at).status == 0
    for number in (3, 4):
        desk.move(f"/in/{number}/head/gain", "f", head_wire(36))
    page, _ = page_of((desk, show))
    assert [place(one) for one in page["moved"]] == [("input.preamp_gain", 3), ("input.preamp_gain", 4)]
    assert [one["card"] for one in page["moved"]] == [1, 1] and len(page["cards"]) == 1


# ---- the page to look at ----

def test_the_page_says_what_the_other_forms_say(stage):
    desk, _ = stage
    for number in (1, 2):
        desk.move(f"/in/{number}/hp/freq", "f", 0.5)
    desk.move("/in/18/head/gain", "f", head_wire(53.4))
    desk.move("/mix/7/limit/on", "i", 0)
    report, status = page_of(stage)
    result = compare(stage, "--format=html")
    assert result.status == status == 1 and result.err == ""
    root = Page(result.out).root
    counts = {one: len(report["findings"][one]) for one in ("new", "worse")}
    assert root.one("h1").text() == "Not as approved: 4 values moved, 2 findings are new or worse."
    assert sum(counts.values()) == 2  # the limiter, and the margin that the preamp took
    moved = [one.text() for one in root.all("li", "moved")]
    assert len(moved) == len(report["moved"]) == 4
    text = flat(compare(stage).out)
    for line in moved:
        weight, words = line.split(" ", 1)
        assert f"{weight}: {words}" in text, line
    weights = [line.split(" ", 1)[0] for line in moved]
    weights += [one["weight"] for kind in counts for one in report["findings"][kind]]
    assert root.one("p", "badges").text().split() == flat(" ".join(
        f"{weights.count(weight)} {weight}" for weight in ("stop", "fix", "note") if weight in weights)).split()
    assert moved[0].startswith("fix input 18 Ld Vox: preamp 42 -> 53.4 dB, 11.4 dB louder in mixes 1-5, 7, 8; card ")
    assert any("mix 7 Bass IEM" in one.text() and one.text().startswith("new: stop") for one in root.all("li", "finding"))
    cards = list(root.one("ul", "cards").children)
    assert len(cards) == len(report["cards"])
    for shown, card in zip(cards, report["cards"]):
        assert len(list(shown.one("tbody").all("tr"))) == len(card["moves"])
    assert "approved " in root.one("header").text() and "damage hearing" in root.text()


def test_the_page_of_a_desk_as_approved(stage):
    result = compare(stage, "--format=html")
    assert result.status == 0
    root = Page(result.out).root
    assert root.one("h1").text() == "As approved: nothing that matters moved."
    assert not list(root.all("li", "moved")) and not list(root.all("ul", "cards"))


def test_the_page_beside_a_reference(stage, tmp_path):
    desk, show = stage
    saved = tmp_path / "saved.json"
    assert run("audit", show, "--desk", desk.at, "--save", saved).status == 1
    desk.move("/in/18/head/gain", "f", head_wire(53.4))
    report, _ = page_of(stage, "--reference", saved)
    root = Page(compare(stage, "--reference", saved, "--format=html").out).root
    paths = [item.text() for section in root.all("section") if section.attributes["id"] == "paths"
             for item in section.all("li")]
    assert len(paths) == len(report["path_gains"]["differ"]) == 7
    for line, path in zip(paths, report["path_gains"]["differ"]):
        assert line.startswith(f"input {path['input']} ") and line.endswith(path["says"])
    assert root.one("h1").text().startswith("Not as the reference: 7 path gains and ")
