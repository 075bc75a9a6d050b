# SPDX-License-Identifier: MIT
"""The stage plan: its file, its schema, and what `gainwarden stage` makes of it and one reading of the desk."""
import copy
import json
import math
import re

import jsonschema
import pytest

import proving
from harness import (DEMO, PLAN, ROOT, SHOW, MockDesk, below_heading, demo_show, flat, head_wire, read_json, run,
                     write_json)

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
    (changed(WHOLE, "ears", to=[{"at": [0, 0, 0]}]), "ears[0].mix: is missing; only a player of the show file", False),
    (changed(WHOLE, "ears", to=[{"mix": 1}]), "ears[0].at: is missing", True),
    (changed(WHOLE, "listener", to={}), "listener.at: is missing", True),
    (changed(SHORT, "pairs", 0, "metres", to=0), "pairs[0].metres: must be a number from 0.05", True),
    (changed(SHORT, "pairs", 0, "metres", to=None), "pairs[0].metres: is missing", True),
    (changed(SHORT, "pairs", to=SHORT["pairs"] * 2), "pairs[1]: pairs the same two as pairs[0]", False),
    ({"loudspeakers": [{"mixes": list(range(8 * i + 1, 8 * i + 9))} for i in range(9)]},
     "loudspeakers: play 72 mixes, more than 64", False),
    ({"pairs": 7}, "pairs: ", True),
]


@pytest.mark.parametrize("plan, words, seen", BROKEN, ids=[f"{i}" for i in range(len(BROKEN))])
def test_what_is_wrong_is_told_with_its_place(tmp_path, plan, words, seen):
    path = write_json(tmp_path / "plan.json", plan)
    result = run("check", path)

    assert result.status == 2 and result.out == ""
    assert any(line.startswith(f"gainwarden: {path}: {words}") for line in result.err.splitlines()), result.err
    assert bool(list(jsonschema.Draft7Validator(schema()).iter_errors(plan))) == seen


def test_other_files_are_sent_where_they_belong(tmp_path):
    result = run("stage", show_with(tmp_path, read_json(SHOW)), "--saved", "none")

    assert result.status == 2 and "is a show file, must be a stage plan" in result.err


def test_a_plan_of_another_desk_is_refused(tmp_path, saved):
    plan = changed(WHOLE, *MICROPHONE, "inputs", to=[25])
    plan["loudspeakers"][0]["mixes"] = [9]
    plan["ears"] = [{"mix": 12, "at": [0, 1, 1]}]
    show = show_with(tmp_path, plan)

    for result in (run("stage", show, "--saved", saved), run("check", show)):
        assert result.status == 2
        for words in ("microphones[0]: the desk has inputs 1 to 24, none 25",
                      "loudspeakers[0]: the desk has mixes 1 to 8, none 9", "ears[0]: the desk has mixes 1 to 8, none 12"):
            assert f"{tmp_path}/plan.json: {words}" in result.err


def test_a_pair_of_another_desk_is_told_by_its_own_place(tmp_path):
    pair = {**SHORT["pairs"][0], "input": 25, "mix": 9}
    result = run("check", show_with(tmp_path, {"pairs": [SHORT["pairs"][0], pair]}))

    assert result.status == 2
    assert f"{tmp_path}/plan.json: pairs[1]: the desk has inputs 1 to 24, none 25" in result.err
    assert f"{tmp_path}/plan.json: pairs[1]: the desk has mixes 1 to 8, none 9" in result.err
    assert "microphones[" not in result.err and "loudspeakers[" not in result.err


def test_a_show_without_a_plan_is_told(tmp_path, saved):
    show = demo_show(tmp_path, desk={"profile": str(DEMO / "barn-desk.json"), "host": "127.0.0.1"})
    result = run("stage", show, "--saved", saved)

    assert (result.status, result.out) == (2, "")
    assert result.err == "gainwarden: the show file names no stage plan: desk.stage is missing\n"
    gone = run("stage", demo_show(tmp_path, desk={"profile": str(DEMO / "barn-desk.json"), "host": "127.0.0.1",
                                                  "stage": "gone.json"}), "--saved", saved)
    assert gone.status == 2 and f"{tmp_path}/gone.json: cannot read" in gone.err


# ---- what is estimated ----

def first_margin(folder, saved, plan):
    return estimate(folder, saved, plan)["paths"][0]["margin_db"]


def test_distance_angle_and_gain_count_as_published(tmp_path, saved):
    """20 log10 of the ratio; a cardioid's 6.02 dB at 90 degrees (DPA dictionary); and each figure's own dB."""
    here = first_margin(tmp_path, saved, WHOLE)
    twice = changed(WHOLE, *MICROPHONE, "at", to=[0, 4, 1.5])
    across = changed(WHOLE, *MICROPHONE, "faces", to=[5, 2, 1.5])
    louder = changed(WHOLE, *LOUDSPEAKER, "amplifier_db", to=23)
    keener = changed(WHOLE, *MICROPHONE, "mv_per_pa", to=4)

    assert math.isclose(first_margin(tmp_path, saved, twice) - here, 20 * math.log10(2), abs_tol=0.002)
    assert math.isclose(first_margin(tmp_path, saved, across) - here, 6.0206, abs_tol=0.002)
    assert math.isclose(first_margin(tmp_path, saved, louder) - here, -3, abs_tol=0.002)
    assert math.isclose(first_margin(tmp_path, saved, keener) - here, -20 * math.log10(2), abs_tol=0.002)


def test_the_desk_counts(tmp_path):
    """6 dB more preamp are 6 dB less margin."""
    show = show_with(tmp_path, WHOLE)
    desk = MockDesk()
    desk.move("/in/18/head/gain", "f", head_wire(20))
    before = run("stage", show, "--desk", desk.at, "--format", "json").json()
    desk.move("/in/18/head/gain", "f", head_wire(26))
    after = run("stage", show, "--desk", desk.at, "--format", "json").json()

    assert before["absolute"] and after["absolute"]
    assert math.isclose(before["paths"][0]["margin_db"] - after["paths"][0]["margin_db"], 6, abs_tol=0.01)
    assert before["paths"][0]["hz"] == after["paths"][0]["hz"]


def test_an_estimate_says_give_or_take(tmp_path, saved):
    """At most 6 dB either way with every figure given; a default makes it wider."""
    across = changed(WHOLE, *MICROPHONE, "faces", to=[5, 2, 1.5])
    given = estimate(tmp_path, saved, across)
    guessed = estimate(tmp_path, saved, changed(changed(across, "space", to=None), *MICROPHONE, "pattern", to=None))

    assert estimate(tmp_path, saved, WHOLE)["random_phases"]["give_or_take_db"] <= 6
    assert guessed["random_phases"]["give_or_take_db"] > given["random_phases"]["give_or_take_db"] + 0.3
    text = flat(run("stage", show_with(tmp_path, WHOLE), "--saved", saved).out)
    assert re.search(r"Margin estimated for the whole stage, all its paths together: \S+ dB, give or take \S+ dB, phases at random; \S+ dB, give or take \S+ dB, "
                     r"with phases at their worst\. May ring first: near \d+ Hz, mix 1 ", text)
    assert re.search(r"The paths that lead, each by itself near \d+ Hz, mix 1 ", text)
    page = run("stage", show_with(tmp_path, WHOLE), "--saved", saved, "--format", "html").out
    assert re.search(r"at their worst it is \S+ dB, give or take \S+\. ", page)
    assert re.search(r"<b>May ring first</b>: .*, near \d+ Hz\.", page) and ">near Hz</th>" in page


def ring_out(folder, saved, **ring):
    """Beside the show: one ring of input 18 into mix 1, and a ceiling half a dB below it."""
    saved = read_json(saved)
    proving.write(folder / "show.proved.json", saved, [proving.ceiling(saved, 6, step_db=0.5)],
                  [{"hz": 1000, "mix": 1, "input": 18, **ring}])


# Direct sound of WHOLE at 0 dB of the desk: amplifier, 97 dB at 2.83 V, 2 m in the open, 2 mV at 93.98 dB SPL.
PLAIN_DB = 20 + 97 - 10 * math.log10(8) - 20 * math.log10(2) + 20 * math.log10(0.002) - 20 * math.log10(1 / 20e-6)


def test_a_measured_onset_takes_the_allowances_place(tmp_path, saved):
    allowed = estimate(tmp_path, saved, WHOLE)
    ring_out(tmp_path, saved, gain_db=33)
    measured = estimate(tmp_path, saved, WHOLE)
    before, after = allowed["paths"][0], measured["paths"][0]
    show = show_with(tmp_path, WHOLE)

    assert "measured_db" not in before and before["allowance_db"] == after["allowance_db"]
    assert math.isclose(after["measured_db"], -33 - PLAIN_DB, abs_tol=0.002) and after["measured_at_hz"] == 1000
    assert math.isclose(before["margin_db"] - after["margin_db"], after["measured_db"] - after["allowance_db"],
                        abs_tol=0.002)
    assert after["give_or_take_db"] < before["give_or_take_db"]
    told, allowance = f"{after['measured_db']:.1f}".removesuffix(".0"), f"{after['allowance_db']:g}"
    assert (f"it rang at 1000 Hz in a ring-out: {told} dB above direct sound and room was measured, in place of the "
            f"{allowance} dB allowed") in flat(run("stage", show, "--saved", saved).out)
    for command in ("stage", "audit"):
        page = run(command, show, "--saved", saved, "--format", "html").out
        assert f"rang at 1000 Hz: {told} dB measured, in place of the {allowance} dB allowed" in page


def test_a_ring_without_its_gain_was_a_step_above_its_ceiling(tmp_path, saved):
    """6 dB of master above the desk as it stands, and half a dB: its path's own margin there is as much."""
    ring_out(tmp_path, saved)
    bands = {one["hz"]: one for one in estimate(tmp_path, saved, WHOLE)["loop_gain"]}

    assert math.isclose(bands[1000]["random_phases_db"], -6.5, abs_tol=0.01)


def test_the_short_plan_tells_differences_alone(tmp_path, saved):
    report = estimate(tmp_path, saved, SHORT)
    text = run("stage", show_with(tmp_path, SHORT), "--saved", saved).out

    assert report["absolute"] is False
    assert "margin_db" not in report["random_phases"] and "margin_db" not in report["paths"][0]
    assert [(path["input"], path["mix"]) for path in report["paths"]] == [(18, 1)]
    assert {"turn", "in-ears", "pattern"} >= {one["kind"] for one in report["helps"]} >= {"in-ears"}
    assert "No margin is told" in flat(text) and "Margin estimated" not in text and "give or take" not in text
    assert re.search(r"What follows are differences\. May ring first: near \d+ Hz, ", flat(text))


def test_one_microphone_without_sensitivity_leaves_differences_alone(tmp_path, saved):
    """No margin stands beside a difference, in no form, and every row of the table has its columns."""
    other = {"inputs": [19], "at": [1, 2, 1.5], "faces": [1, 0, 1.5]}
    plan = changed(WHOLE, "microphones", to=WHOLE["microphones"] + [other])
    report = estimate(tmp_path, saved, plan)
    show = show_with(tmp_path, plan)
    page = run("stage", show, "--saved", saved, "--format", "html").out
    rows = re.findall(r"<tr>.*?</tr>", page[page.index('<table class="paths">'):page.index("</table>")], re.S)

    assert report["absolute"] is False and len(report["paths"]) == 2
    assert not [one for one in report["paths"] if "margin_db" in one or "give_or_take_db" in one]
    assert "of margin, give or take" not in flat(run("stage", show, "--saved", saved).out)
    assert [len(re.findall("<t[hd]", row)) for row in rows] == [3, 3, 3]


def test_a_hand_takes_what_the_pattern_gave(tmp_path, saved):
    """A cardioid at 120 degrees in the open takes 12.04 dB (DPA dictionary): a hand takes them away."""
    plan = changed(WHOLE, *MICROPHONE, "in_hand", to=True)
    plan["microphones"][0]["faces"] = [5, 2 + 5 / math.sqrt(3), 1.5]
    report = estimate(tmp_path, saved, plan)

    assert report["hands"][0]["input"] == 18
    assert math.isclose(report["hands"][0]["loss_db"], 12.0412, abs_tol=0.002)
    assert not any(one["kind"] == "turn" for one in report["helps"])


def test_what_helps_is_in_order_and_told(tmp_path, saved):
    report = estimate(tmp_path, saved, read_json(PLAN))
    wins = [one.get("stage_db", math.inf) for one in report["helps"]]
    text = flat(run("stage", show_with(tmp_path, read_json(PLAN)), "--saved", saved).out)

    assert len(wins) == 10 and wins == sorted(wins, reverse=True)
    for one in report["helps"]:
        assert one["says"] in text
    gains = [path["below_first_db"] for path in report["paths"]]
    assert len(gains) == 10 and gains == sorted(gains) and gains[0] == 0


def test_of_two_loudspeakers_it_is_told_which(tmp_path, saved):
    """The side-fill plays from both sides: turned away from the wrong one, a microphone faces the other."""
    says = [one["says"] for one in estimate(tmp_path, saved, read_json(PLAN))["helps"]]

    assert "in-ears in place of the loudspeakers of mix 5 Side-fill" in says
    assert any("away from the loudspeaker of mix 5 Side-fill at x -5.5, y 1 m" in one for one in says)


def mirrored(side):
    """Two microphones that look straight away from their wedges, the second pair at that side."""
    microphones = [{"inputs": [18 + i], "at": [2 * i * side, 2, 1.5], "faces": [2 * i * side, 3, 1.5],
                    "pattern": "supercardioid", "mv_per_pa": 2} for i in range(2)]
    loudspeakers = [{"mixes": [1 + i], "at": [3 * i * side, 1, 1.5], "faces": [0, 2, 1.5], "db_at_1_metre": 97,
                     "amplifier_db": 20} for i in range(2)]
    return {"stage_format": 1, "calibration_db": 0, "microphones": microphones, "loudspeakers": loudspeakers}


def test_a_mirror_changes_no_figure(tmp_path, saved):
    one, other = (estimate(tmp_path, saved, mirrored(side)) for side in (1, -1))

    assert one["helps"] == other["helps"] and one["paths"] == other["paths"]


def test_what_costs_the_stage_is_no_help(tmp_path, saved):
    """On a path that is not the first; the text told a cost as 0 dB."""
    for plan in (mirrored(1), mirrored(-1), read_json(PLAN)):
        assert [one for one in estimate(tmp_path, saved, plan)["helps"] if one.get("stage_db", 0) < -0.05] == []


def test_players_are_told_what_they_can_have(tmp_path, saved):
    report = estimate(tmp_path, saved, read_json(PLAN))
    ears = {one["mix"]: one for one in report["ears"]}
    text = flat(run("stage", show_with(tmp_path, read_json(PLAN)), "--saved", saved).out)

    for one in ears.values():
        if "spare_db" in one:
            assert math.isclose(one["level_db"] - one["needed_db"], one["spare_db"], abs_tol=0.002)
    assert ears[1]["input"] == 18 and ears[1]["needed_db"] == 90
    assert "spare_db" not in ears[4]  # nobody said how loud the stage is there
    assert "which is enough, " in text and "dB to spare" in text and " dB short" in text and "House loudspeakers: " in text
    assert "Care: loud stages damage hearing." in text


def test_all_forms_tell_of_the_house(tmp_path, saved):
    """JSON had nothing of it; and where the plan has a listener alone, a heading stood over nothing."""
    plan = read_json(PLAN)
    house = estimate(tmp_path, saved, plan)["house"]
    needed, potential = (f"{house[key]:.1f}".removesuffix(".0") for key in ("needed_db", "potential_db"))
    words = f"House loudspeakers: {needed} dB of gain needed, {potential} possible with 10 open microphones"
    assert house["open_microphones"] == 10
    assert words in flat(run("stage", show_with(tmp_path, plan), "--saved", saved).out)

    plan["loudspeakers"] = [one for one in plan["loudspeakers"] if not one.get("house")]
    why = "the plan places no house loudspeaker, or no microphone"
    assert estimate(tmp_path, saved, plan)["house"] == {"why_not": why}
    assert f"House loudspeakers: {why}" in flat(run("stage", show_with(tmp_path, plan), "--saved", saved).out)
    assert f"House loudspeakers</b>: {why}" in run("stage", show_with(tmp_path, plan), "--saved", saved, "--format", "html").out
    del plan["listener"]
    assert estimate(tmp_path, saved, plan)["house"] == {}
    assert "House" not in run("stage", show_with(tmp_path, plan), "--saved", saved).out


def test_a_loudspeaker_for_an_in_ear_mix_is_asked_about(tmp_path, saved):
    """Mix 8 feeds the drummer's ears: who meant 6 had the figures of another mix, and no word of it."""
    words = "mix 8 Drums IEM: the plan has a loudspeaker for it, and the show file or its label says in-ears."
    for plan, told in ((changed(SHORT, "pairs", 0, "mix", to=8), True), (SHORT, False), (read_json(PLAN), False)):
        show = show_with(tmp_path, plan)
        pages = [run(command, show, "--saved", saved, "--format", "html").out for command in ("stage", "audit")]
        assert (words in flat(run("stage", show, "--saved", saved).out)) == told
        assert [words in re.sub("<[^>]*>", "", page) for page in pages] == [told, told]


def test_ears_are_found_by_their_player(tmp_path, saved):
    """The show file's mix for the lead vocal is 1; the bass hears mix 7, which no loudspeaker plays."""
    plan = read_json(PLAN)
    del plan["ears"][0]["mix"]
    plan["ears"].append({"player": "bass", "at": [-2, 4, 1.6]})
    given = estimate(tmp_path, saved, read_json(PLAN))
    report = estimate(tmp_path, saved, plan)
    show = show_with(tmp_path, plan)
    why = "mix 7 Bass IEM: no loudspeaker of the plan plays it"

    assert report["ears"][0] == given["ears"][0]
    assert report["ears"][-1] == {"player": "bass", "mix": 7, "why_not": why}
    assert f"bass, {why}" in flat(run("stage", show, "--saved", saved).out)
    assert why in run("stage", show, "--saved", saved, "--format", "html").out
    assert run("check", show).status == 0


def test_ears_of_nobody_are_told(tmp_path, saved):
    plan = read_json(PLAN)
    plan["ears"] = [{"player": "harp", "at": [0, 1, 1.6]}]
    show = show_with(tmp_path, plan)

    for result in (run("stage", show, "--saved", saved), run("check", show), run("audit", show, "--saved", saved)):
        assert result.status == 2
        assert f'{tmp_path}/plan.json: ears[0]: the show file has no mix for player "harp": give the mix' in flat(result.err)


def test_the_singers_own_microphone_stays_open(tmp_path, saved):
    """Input 18 is the lead vocal's, 19 and 20 are sung into by guitar and keys; the announcer's may close."""
    helps = estimate(tmp_path, saved, read_json(PLAN))["helps"]

    assert {one["input"] for one in helps if one["kind"] == "close"} == {23}


def test_another_pattern_is_told_with_what_it_costs_behind(tmp_path, saved):
    """Supercardioid: 11.7 dB behind, null at 126; hypercardioid: 6 dB, 109 degrees (DPA dictionary)."""
    plan = changed(WHOLE, *MICROPHONE, "faces", to=[5, 2 + 5 / math.tan(math.radians(70)), 1.5])  # 110 degrees off
    told = [one for one in estimate(tmp_path, saved, plan)["helps"] if one["kind"] == "pattern"]

    assert [one["says"] for one in told] == [
        "a hypercardioid in place of the cardioid of input 18 Ld Vox: it hears least at 109 degrees, and a wedge straight "
        "behind it only 6 dB below the front"]


# Where the microphone, the wedge, a house loudspeaker, the ears and the listener are.
AT_ONE_PLACE = [{"house": [0, 2, 1.5]}, {"house": [0, -9, 1.5]}, {"listener": [0, 2, 1.5]},
                {"wedge": [0, 2, 1.5], "ears": [0, 2, 1.5], "house": [0, 2, 1.5], "listener": [0, 2, 1.5]}]


@pytest.mark.parametrize("places", AT_ONE_PLACE, ids=["house and microphone", "house and listener", "listener", "all"])
def test_two_things_at_one_place_are_figures_still(tmp_path, saved, places):
    wedge = {key: value for key, value in WHOLE["loudspeakers"][0].items() if key != "faces"}
    plan = changed(WHOLE, "loudspeakers", to=[{**wedge, "at": places.get("wedge", [0, 0, 1.5])},
                                              {"house": True, "at": places.get("house", [4, -1, 3])}])
    plan["ears"] = [{"mix": 1, "at": places.get("ears", [0, 2.1, 1.6]), "noise_db": 80}]
    plan["listener"] = {"at": places.get("listener", [0, -9, 1.5])}
    show = show_with(tmp_path, plan)
    assert "House loudspeakers: " in run("stage", show, "--saved", saved).out
    for form in ("text", "html", "json"):
        result = run("stage", show, "--saved", saved, "--format", form)
        assert result.status == 0
        assert not re.search(r"[^a-z](nan|inf)[^a-z]", result.out, re.I)


def test_long_names_cut_off_no_figure(tmp_path):
    """What a player has to spare stands last, behind three names."""
    desk = MockDesk()
    desk.move("/in/18/name", "s", "L" * 60)
    desk.move("/mix/1/name", "s", "W" * 60)
    plan = changed(WHOLE, "ears", to=[{"mix": 1, "player": "P" * 60, "at": [0, 2.1, 1.6], "noise_db": 20}])
    text = flat(run("stage", show_with(tmp_path, plan), "--desk", desk.at).out)

    assert re.search(r"; needed: 30, which is enough, [\d.]+ dB to spare", text), text


def test_a_value_never_heard_is_not_guessed(tmp_path, saved):
    """The preamp of the path: the estimate leaves the path out, says why, and the status says so."""
    desk = read_json(saved)
    text = json.dumps(desk)
    assert '"input.preamp_gain"' in text
    profile = read_json(DEMO / "barn-desk.json")
    profile["values"] = [one for one in profile["values"] if one.get("is") != "input.preamp_gain"]
    write_json(tmp_path / "profile.json", profile)
    show = show_with(tmp_path, WHOLE)
    write_json(show, changed(read_json(show), "desk", "profile", to="profile.json"))
    mock = MockDesk()
    result = run("stage", show, "--desk", mock.at, "--format", "json", "--yes")

    assert result.status == 3
    assert result.json()["not_known"]["paths"] == 1 and result.json()["paths"] == []
    assert "preamp" in result.json()["not_known"]["why"]


NO_LOOP = "No loop is closed"


def test_what_is_not_known_is_no_quiet_stage(tmp_path, saved):
    """Where the one path is not known, nobody says that nothing can ring."""
    desk = read_json(saved)
    preamp = desk["values"]["input.preamp_gain"]
    preamp["values"][17] = None
    if isinstance(preamp["heard_s"], list):
        preamp["heard_s"][17] = None
    part = proving.sign(tmp_path / "part.json", desk)
    for form in ("text", "html"):
        result = run("stage", show_with(tmp_path, WHOLE), "--saved", part, "--format", form)
        assert result.status == 3
        assert NO_LOOP not in result.out and "Nothing can be estimated" in flat(result.out)


@pytest.mark.parametrize("unplaced", ["microphone", "loudspeaker", "pairs", "one of two loudspeakers"])
def test_what_the_plan_does_not_place_is_counted(tmp_path, saved, unplaced):
    plan = {"microphone": {"microphones": [{"inputs": [18]}], "loudspeakers": [{"mixes": [1], "at": [0, 0, 0]}]},
            "loudspeaker": {"microphones": [{"inputs": [18], "at": [0, 0, 0]}], "loudspeakers": [{"mixes": [1]}]},
            "pairs": {"pairs": [SHORT["pairs"][0], {**SHORT["pairs"][0], "input": 19, "mix": 2},
                                {**SHORT["pairs"][0], "input": 19}]},
            "one of two loudspeakers": changed(WHOLE, "loudspeakers", to=WHOLE["loudspeakers"] + [{"mixes": [1]}])}[unplaced]
    show = show_with(tmp_path, plan)
    text = flat(run("stage", show, "--saved", saved).out)
    page = run("stage", show, "--saved", saved, "--format", "html").out

    assert run("stage", show, "--saved", saved, "--format", "json").json()["not_placed"] == 1
    assert "because the plan does not tell where both ends are: 1 path that is open" in text
    assert "1 open path is left out because the plan does not tell where both ends are" in page
    assert NO_LOOP not in text + page and "nothing else rings" not in text.replace("of what is known nothing else", "")


def test_without_a_plan_nothing_changes(tmp_path, saved):
    """The audit with and without one is the same, but for what the checks of a plan have to say."""
    with_plan = show_with(tmp_path, WHOLE)
    audits = [run("audit", with_plan, "--saved", saved)]
    write_json(with_plan, changed(read_json(with_plan), "desk", "stage", to=None))
    audits.append(run("audit", with_plan, "--saved", saved))

    assert flat(below_heading(audits[0].out)).replace(", loop-margin 1, microphone-aim 1", "") == \
        flat(below_heading(audits[1].out))
    assert audits[0].status == audits[1].status
    assert "stage plan" not in audits[1].out
