# SPDX-License-Identifier: MIT
"""Marks: worked out again here from the audit's findings and the scheme's own file, by another program.

The CSV is read by Python's csv module (RFC 4180), the hash by hashlib, names are hidden as hashlib says.
"""
import collections
import csv
import hashlib
import json
import os
import random
import re
import shutil
import signal
import time
import urllib.parse

import pytest

from harness import (BUILD, PLAN, PROFILE, ROOT, SEED, SHOW, STATE, MockDesk, Process, read_json, flat, rounds, run,
                     until, write_json)
from marking import disagreements, marks, tenths, told
from test_report_html import Page
from test_saved import random_desk

SCHEME = ROOT / "contrib" / "scheme" / "monitor-setup.json"


def save(path, state=STATE, words=(SHOW,)):
    path.unlink(missing_ok=True)
    desk = MockDesk(state=state)
    result = run("audit", *words, "--desk", desk.at, "--save", path)
    desk.stop()
    assert result.status in (0, 1, 3), result.err
    return path


@pytest.fixture(scope="module", name="demo")
def saved_demo(tmp_path_factory):
    return save(tmp_path_factory.mktemp("demo") / "ana.json")


def review(*words, **options):
    result = run("review", *words, "--format", "json", **options)
    assert result.out, result.err
    return result.json()


# ---- the marks, worked out again ----

def check_sums(setup):
    for one in [*setup["groups"], setup["all_settings"]]:
        assert tenths(one["earned"]) + tenths(one["lost"]) + tenths(one["not_assessed"]) == tenths(one["marks"])
    for key in ("earned", "lost", "not_assessed", "marks"):
        assert sum(tenths(one[key]) for one in setup["groups"]) == tenths(setup["all_settings"][key])
    for group in setup["groups"]:
        assert sum(tenths(one["lost"]) for one in setup["findings"] if one["group"] == group["group"]) == \
            tenths(group["lost"])


def worked_out(saved, scheme=SCHEME, show=None, profile=PROFILE):
    """The setup, after its marks were worked out again."""
    words = [show, "--saved", saved] if show else ["--profile", profile, "--saved", saved, "--role", "monitor"]
    report = run("audit", *words, "--format", "json").json()
    setup = review(saved, "--scheme", scheme, *(["--show", show] if show else []))["setups"][0]
    desk = read_json(saved)
    assert list(disagreements(setup, report, desk)) == []
    assert told(setup) == marks(setup, report, desk, read_json(scheme))
    check_sums(setup)
    whole = setup["all_settings"]
    assessed = whole["earned"] + whole["lost"]
    assert (setup["per_cent"] is None) == (assessed == 0)
    if assessed:
        assert setup["per_cent"] == pytest.approx(100 * whole["earned"] / assessed)
    assert setup["assessed_per_cent"] == pytest.approx(100 * assessed / whole["marks"])
    return setup


def test_the_demo(demo):
    report = run("audit", SHOW, "--saved", demo, "--format", "json").json()
    found = review(demo, "--show", SHOW)
    setup = worked_out(demo, show=SHOW)
    assert setup == found["setups"][0]
    assert found["scheme"]["sha256"] == hashlib.sha256(SCHEME.read_bytes()).hexdigest()
    assert (found["scheme"]["version"], setup["id"]) == ("2", "ana")
    # the same findings as the audit's, but for what only the review says of them
    extra = {"group", "lost", "alone", "why_so_much"}
    listed = [{key: value for key, value in one.items() if key not in extra}
              for one in setup["findings"] + setup["wishes"]]
    # what the stage plan says of the demo's stage is in no marks of the built-in scheme
    unmarked = [one for one in report["findings"] if one["check"] in ("loop-margin", "microphone-aim")]
    assert len(unmarked) == setup["findings_without_marks"] == 2
    told = [one for one in report["findings"] if one not in unmarked]
    assert sorted(listed, key=json.dumps) == sorted(told, key=json.dumps)
    assert setup["accepted"] == report["accepted"] and setup["cards"] == report["cards"]


@pytest.mark.limit(120)
def test_random_desks_are_marked_as_worked_out(tmp_path):
    dice = random.Random(SEED)
    scheme = read_json(SCHEME)
    scheme["groups"][0]["most"] = 20
    own = write_json(tmp_path / "scheme.json", scheme)
    full, both = set(), {"has cost the most it may", "same cause"}
    for number in range(200):
        if number >= rounds(15, 40) and full == both:
            break
        state, profile = random_desk(dice, tmp_path)
        desk = read_json(state)
        for mix in desk["mixes"]:
            mix["open"] = dice.random() < 0.8
        saved = save(tmp_path / "s.json", write_json(state, desk), ("--profile", profile))
        for one in worked_out(saved, own, profile=profile)["findings"]:
            full.update(re.findall(r"has cost the most it may|same cause", one.get("why_so_much", "")))
    assert full == both


# ---- what was not there ----

def demo_state(change):
    state = read_json(STATE)
    change(state)
    return state


def saved_as(folder, state, name="s.json", words=(SHOW,)):
    return save(folder / name, write_json(folder / "state.json", state), words)


def group_of(setup, name):
    return next(one for one in setup["groups"] if one["group"] == name)


def test_what_is_not_known_is_neither_earned_nor_lost(tmp_path):
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"] if "limit" not in json.dumps(one)]
    saved = save(tmp_path / "s.json", words=("--profile", write_json(tmp_path / "p.json", profile)))
    group = group_of(worked_out(saved, show=SHOW), "protection")
    # of 30 marks the limiters have 30 / 39, and nothing is known of them
    assert group["not_assessed"] == round(30 * 30 / 39, 1) and group["not_known"] == 2
    assert run("review", saved, "--show", SHOW).status == 1
    # nothing there to be judged: a scheme of high-passes for a desk without inputs that want one
    state = read_json(STATE)
    for one in state["inputs"]:
        one["name"] = "Playback"
    saved = saved_as(tmp_path, state, words=("--profile", PROFILE))
    group = group_of(worked_out(saved), "high-passes")
    assert (group["earned"], group["lost"], group["not_assessed"]) == (0, 0, 15)


def test_figures_that_the_desk_does_not_publish_are_not_assessed(tmp_path):
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"] if one.get("is") != "input.level"]
    saved = save(tmp_path / "s.json", words=("--profile", write_json(tmp_path / "p.json", profile)))
    setup = worked_out(saved, show=SHOW)
    assert {one["counts_as"] for one in setup["judged"] if one["check"] in ("input-hot", "input-faint")} == {"not_known"}
    assert group_of(setup, "gain structure")["not_assessed"] >= round(30 * 10 / 50, 1)


def test_a_check_with_nothing_to_judge_earns_nothing(demo, tmp_path):
    """Turned off in the show file, or of something this desk has not: the same group's other checks say nothing of it."""
    show = read_json(SHOW)
    show["desk"].update(profile=str(PROFILE), stage=str(PLAN))
    show["checks"] = {"ears-unprotected": "off"}
    off = write_json(tmp_path / "show.json", show)
    state = read_json(STATE)
    for one in state["mixes"]:
        one["name"] = one["name"].replace("IEM", "wedge")
    wedges = saved_as(tmp_path, state, words=("--profile", PROFILE))
    for saved, words in ((demo, {"show": off}), (wedges, {})):
        group = group_of(worked_out(saved, **words), "protection")
        assert group["right"] > 0  # phantom power was judged
        assert group["not_assessed"] == round(30 * 30 / 39, 1)


def test_filters_of_what_is_sent_nowhere_are_not_assessed(tmp_path):
    def change(state):
        state["inputs"][18]["send_levels"] = ["-inf"] * 8
        state["inputs"][19]["open"] = False
    saved = saved_as(tmp_path, demo_state(change))
    setup = worked_out(saved, show=SHOW)
    for number in (19, 20):
        assert {one["counts_as"] for one in setup["judged"] if one["input"] == number} <= {"closed"}
    assert not [one for one in setup["findings"] if one["object"].get("input") in (19, 20)]
    assert group_of(setup, "high-passes")["not_assessed"] > 0
    assert re.search(r"Not assessed: .*\d+ of what is muted, or nothing goes through",
                     flat(run("review", saved, "--show", SHOW).out))


def test_without_a_ring_out_there_is_none_to_judge(tmp_path):
    def flatten(state):
        for one in state["mixes"]:
            one["graphic"] = {"cuts": {}}
        for one in state["inputs"]:
            one["eq"] = {"bands": []}
    setup = worked_out(saved_as(tmp_path, demo_state(flatten)), show=SHOW)
    group = group_of(setup, "equalisers")
    assert (group["earned"], group["lost"], group["not_assessed"], group["untouched"]) == (0, 0, 15, 12)

    def feint(state):  # a hair off flat is no ring-out either
        flatten(state)
        for one in state["mixes"]:
            one["graphic"] = {"cuts": {"1000": -0.5}}
    group = group_of(worked_out(saved_as(tmp_path, demo_state(feint), "feint.json"), show=SHOW), "equalisers")
    assert (group["earned"], group["lost"], group["not_assessed"]) == (0, 0, 15)

    def half(state):
        flatten(state)
        for one in state["mixes"][:3]:
            one["graphic"] = {"cuts": {"1000": -6}}
    group = group_of(worked_out(saved_as(tmp_path, demo_state(half), "half.json"), show=SHOW), "equalisers")
    assert (group["earned"], group["not_assessed"]) == (7.5, 7.5)  # three of six


# ---- ways to game it ----

def muted(state):
    for one in state["mixes"]:
        one["open"] = False


def sends_off(state):
    for one in state["inputs"]:
        one["send_levels"] = ["-inf"] * 8


def inputs_muted(state):
    for one in state["inputs"]:
        one["open"] = False


@pytest.mark.parametrize("hide", [muted, sends_off, inputs_muted])
def test_whoever_hides_everything_has_no_mark(tmp_path, hide):
    setup = worked_out(saved_as(tmp_path, demo_state(hide)), show=SHOW)
    assert setup["all_settings"]["earned"] <= 0.1 * setup["all_settings"]["marks"]
    assert not setup["may_pass"] and "of the marks were assessed, and at least 50 are needed" in setup["why_no_pass"]
    # the ear without limiter is found all the same
    assert [one["check"] for one in setup["findings"] if one["weight"] == "stop"] == ["ears-unprotected"]


def test_who_mutes_the_worst_mix_earns_nothing_by_it(demo, tmp_path):
    whole = worked_out(demo, show=SHOW)
    def hide(state):
        state["mixes"][1]["open"] = False  # nine cuts, one at its end
    hidden = worked_out(saved_as(tmp_path, demo_state(hide)), show=SHOW)
    assert hidden["all_settings"]["earned"] <= whole["all_settings"]["earned"]
    assert hidden["assessed_per_cent"] < whole["assessed_per_cent"]


def test_labels_that_were_unplugged_earn_nothing(tmp_path):
    def unplug(state):
        for one in state["inputs"] + state["mixes"]:
            one["name"] = ""
    bare = worked_out(saved_as(tmp_path, demo_state(unplug), words=("--profile", PROFILE)))
    named = worked_out(save(tmp_path / "named.json", words=("--profile", PROFILE)))
    assert bare["all_settings"]["earned"] < named["all_settings"]["earned"]
    for group in ("protection", "high-passes", "equalisers"):
        assert group_of(bare, group)["earned"] == 0


@pytest.mark.parametrize("limiter, lost", [({"on": False}, 15), ({"on": True, "threshold": -0.5, "ratio": 20}, 15),
                                           ({"on": True, "threshold": -6, "ratio": 1.05}, 15),
                                           ({"on": True, "threshold": -2.5, "ratio": 20}, 12)])
def test_a_limiter_that_protects_nobody_is_none(tmp_path, limiter, lost):
    def change(state):
        state["mixes"][7]["limiter"] = limiter
    setup = worked_out(saved_as(tmp_path, demo_state(change)), show=SHOW)
    [line] = [one for one in setup["findings"] if one["check"] == "ears-unprotected"]
    assert line["lost"] == lost and setup["may_pass"] == (lost < 15)


def accept_all(setup, folder):
    show = read_json(SHOW)
    show["desk"].update(profile=str(PROFILE), stage=str(PLAN))
    show["accept"] = [{"check": one["check"], **{key: number for key, number in one["object"].items()
                                                 if key in ("input", "mix")}, "why": "so be it", "by": "a student"}
                      for one in setup["findings"] + setup["accepted"]]
    return write_json(folder / "accepts.json", show)


def test_who_accepts_everything_earns_nothing_by_it(demo, tmp_path):
    whole = review(demo, "--show", SHOW)["setups"][0]
    show = accept_all(whole, tmp_path)
    setup = worked_out(demo, show=show)
    assert setup["findings"] == [] and setup["all_settings"]["lost"] == 0
    assert setup["all_settings"]["earned"] == whole["all_settings"]["earned"]
    # and the trainer sees it: on the sheet, in the table, in the overview
    assert len(setup["accepted"]) == len(whole["findings"]) + len(whole["accepted"])
    out = flat(run("review", demo, "--show", show).out)
    assert "Accepted in the show file, and neither earned nor lost" in out and "so be it" in out
    run("review", demo, "--show", show, "--to", tmp_path / "class")
    with open(tmp_path / "class" / "marks.csv", newline="", encoding="utf-8") as file:
        [row] = csv.DictReader(file)
    assert (int(row["accepted"]), int(row["accepted stop"]), int(row["stop"])) == (len(setup["accepted"]), 1, 0)
    cells = [cell.text() for cell in Page((tmp_path / "class" / "overview.html").read_text()).root.all("td")]
    assert f"{len(setup['accepted'])}, 1 stop" in cells


# ---- one cause ----

def low_master(state):
    state["mixes"][1]["fader"] = -8
    for one in state["inputs"]:
        level = one["send_levels"][1]
        one["send_levels"][1] = level if level == "-inf" else level + 8


def test_one_cause_costs_once(tmp_path):
    """A master that was turned down, and its sends up: the own sends stand high because of it."""
    setup = worked_out(saved_as(tmp_path, demo_state(low_master)), show=SHOW)
    lines = {(one["check"], json.dumps(one["object"])): one for one in setup["findings"]}
    master = lines["master-off-unity", json.dumps({"mix": 2})]
    assert (master["lost"], master["why_so_much"]) == (4, "8 dB off: 4 marks (1 at 0.5 dB, rising to 4 at 8 dB)")
    for number in (11, 12, 19):
        own = lines["own-send-off-unity", json.dumps({"input": number})]
        assert (own["lost"], own["alone"]) == (0, 2.1) and own["card"] == master["card"]
        assert own["why_so_much"].endswith(
            "; but it has the same cause as master-off-unity of mix 2 Gtr wedge, and one cause costs once")


def test_one_preamp_is_charged_once(tmp_path):
    """Two strips of one microphone, and its 48 V forgotten."""
    def share(state):
        for one in state["inputs"][7:9]:
            one.update(socket=8, phantom=False)
    saved = saved_as(tmp_path, demo_state(share))
    setup = worked_out(saved, show=SHOW)
    lost = [one["lost"] for one in setup["findings"] if one["check"] == "phantom-mismatch" and
            one["object"]["input"] in (8, 9)]
    assert sorted(lost) == [0, 3]


def test_without_a_show_file_it_is_a_monitor_desk(demo, tmp_path):
    said = "No show file: marked, and advised, as a monitor desk"
    setup = worked_out(demo)
    assert not setup["show_file"] and setup["cards"] and not setup["asks_role"]
    assert said in flat(run("review", demo).out) and said not in flat(run("review", demo, "--show", SHOW).out)
    run("review", demo, demo_copy(demo, tmp_path), "--to", tmp_path / "class")
    sheets = list((tmp_path / "class").glob("sheet-*.html"))
    assert len(sheets) == 2 and all(said in Page(sheet.read_text()).root.text() for sheet in sheets)


def demo_copy(demo, folder, name="ben.json"):
    return shutil.copy(demo, folder / name)


# ---- a stop, and a wish ----

def test_a_stop_forbids_a_pass(demo, tmp_path):
    said = "No pass: 1 finding of weight stop, by which somebody can be hurt."
    setup = worked_out(demo, show=SHOW)
    assert (setup["stops"], setup["may_pass"], setup["why_no_pass"]) == (1, False, said)
    assert said in flat(run("review", demo, "--show", SHOW).out)
    assert said in Page(run("review", demo, "--show", SHOW, "--format", "html").out).root.text()
    [row] = csv.DictReader(run("review", demo, "--show", SHOW, "--format", "csv").out.splitlines())
    assert (row["stop"], row["no pass"]) == ("1", "stop")
    run("review", demo, "--show", SHOW, "--to", tmp_path / "class")
    cells = [cell.text() for cell in Page((tmp_path / "class" / "overview.html").read_text()).root.all("td")]
    assert "1, no pass" in cells
    # it is a key of the scheme
    scheme = read_json(SCHEME)
    del scheme["stop_forbids_pass"]
    setup = worked_out(demo, write_json(tmp_path / "scheme.json", scheme), SHOW)
    assert (setup["stops"], setup["may_pass"], setup["why_no_pass"]) == (1, True, "")


def test_too_little_assessed_forbids_a_pass(demo, tmp_path):
    scheme = read_json(SCHEME)
    scheme.update(stop_forbids_pass=False, least_assessed=99.9)
    setup = worked_out(demo, write_json(tmp_path / "scheme.json", scheme), SHOW)
    assert not setup["may_pass"] and setup["why_no_pass"].endswith("and at least 99.9 are needed.")
    [row] = csv.DictReader(run("review", demo, "--scheme", tmp_path / "scheme.json", "--show", SHOW, "--format",
                               "csv").out.splitlines())
    assert row["no pass"] == "too little assessed"


def test_a_wish_is_no_fault(demo, tmp_path):
    """The drummer wants no bottom snare in the own ears: no cost, not among the costs, and said."""
    def change(state):
        state["inputs"][3]["send_levels"] = ["-inf"] * 6 + [0, "-inf"]
    before = worked_out(demo, show=SHOW)
    saved = saved_as(tmp_path, demo_state(change))
    setup = worked_out(saved, show=SHOW)
    assert [one["object"] for one in setup["wishes"]] == [{"input": 4}]
    assert setup["all_settings"]["lost"] == before["all_settings"]["lost"]
    out = flat(run("review", saved, "--show", SHOW).out)
    cost, _, rest = out.partition("What is right")
    assert "Snare Bot: the player's own send" not in cost.partition("What a player wants")[0]
    assert "What a player wants in the own ears is no fault" in out
    # into a loudspeaker it is one
    def wedge(state):
        state["inputs"][18]["send_levels"][1] = "-inf"
    setup = worked_out(saved_as(tmp_path, demo_state(wedge)), show=SHOW)
    assert setup["wishes"] == [] and [one["lost"] for one in setup["findings"] if one["object"] == {"input": 19} and
                                      one["check"] == "own-send-off-unity"] == [3]


def test_what_is_accepted_is_not_among_the_costs(demo):
    setup = worked_out(demo, show=SHOW)
    [accepted] = setup["accepted"]
    assert accepted["check"] == "master-off-unity" and accepted["object"] == {"mix": 5}
    assert not [one for one in setup["findings"] if one["object"] == {"mix": 5} and one["check"] == "master-off-unity"]
    cost = flat(run("review", demo, "--show", SHOW).out).partition("Next time")[0]
    assert "mix 5 Side-fill: the master" not in cost


def test_the_same_input_gives_the_same_marks(demo, tmp_path):
    for form in ("text", "json", "html", "csv"):
        first = run("review", demo, "--show", SHOW, "--format", form)
        time.sleep(0.01)
        again = run("review", demo, "--show", SHOW, "--format", form)
        assert first.out == again.out and first.status == again.status == 1
    # a finding that is accepted until a day is accepted when the desk was read, whenever it is marked
    show = read_json(SHOW)
    show["desk"].update(profile=str(PROFILE), stage=str(PLAN))
    show["accept"][0]["until"] = "2026-01-01"
    late = review(demo, "--show", write_json(tmp_path / "show.json", show))["setups"][0]
    assert any(one["lost"] == 1.4 for one in late["findings"] if one["check"] == "master-off-unity")


# ---- the sheet ----

def sheet_of(saved):
    """Its parts by their titles."""
    parts = re.split(r"^(What it cost|Next time, first things first|What is right|What to set .*|What settings cannot show)$",
                     run("review", saved, "--show", SHOW).out, flags=re.MULTILINE)
    return dict(zip([title.split(" (")[0] for title in parts[1::2]], map(flat, parts[2::2])))


def test_a_student_understands_the_sheet(demo):
    setup = review(demo, "--show", SHOW)["setups"][0]
    parts = sheet_of(demo)
    assert list(parts) == ["What it cost", "Next time, first things first", "What is right", "What to set",
                           "What settings cannot show"]
    # what each mark is for, in words
    for words in ("14 dB not used: 4.7 marks (2 at 6 dB, rising to 6 at 18 dB)",
                  "8 dB off: 4 marks (1 at 0.5 dB, rising to 4 at 8 dB)",
                  "9 cuts: 3.2 marks (2 at 7 cuts, rising to 5 at 12 cuts)"):
        assert words in parts["What it cost"]
    assert not re.search(r"\w_(db|hz|count)\b", parts["What it cost"])
    # three things, the dearest check first
    by_check = {}
    for one in setup["findings"]:
        by_check[one["check"]] = round(by_check.get(one["check"], 0) + one["lost"], 1)
    dearest = sorted(by_check.values(), reverse=True)[:3]
    said = re.findall(r"\b([123])\. ([\d.]+) marks? to win at", parts["Next time, first things first"])
    assert [(int(number), float(marks_)) for number, marks_ in said] == list(enumerate(dearest, start=1))
    # what was right, counted
    right = collections.Counter()
    every = collections.Counter()
    for one in setup["judged"]:
        right[one["check"]] += one["counts_as"] == "right"
        every[one["check"]] += one["counts_as"] in ("right", "wrong", "told_by_another", "accepted")
    for check, words in (("master-off-unity", "masters stand at 0 dB"),
                         ("high-pass-missing", "inputs that want a high-pass have one"),
                         ("ears-unprotected", "in-ear mixes have a limiter that protects")):
        assert f"{right[check]} of {every[check]} {words}" in parts["What is right"]
    # the planner's cards are the model answer
    assert len(setup["cards"]) == parts["What to set"].count("Card ")
    for one in setup["findings"]:
        if one["card"]:
            assert one["do"] == f"card {one['card']}"
    assert parts["What settings cannot show"].count("____ of ") == 5



def test_the_sheet_tells_the_whole(demo):
    out = run("review", demo, "--show", SHOW).out
    digest = hashlib.sha256(SCHEME.read_bytes()).hexdigest()
    assert digest in out and "version 2" in out
    for words in ("What it cost", "What is right", "What settings cannot show", "____ of 20: Tone and balance",
                  "Care: loud stages damage hearing", "14 of 16 inputs that want a high-pass have one",
                  "Next time, first things first"):
        assert words in out
    page = Page(run("review", demo, "--show", SHOW, "--format", "html").out).root
    ids = [one.attributes["id"] for one in page.all("section") if "id" in one.attributes]
    assert ids[:7] == ["marks", "findings", "next", "not-known", "accepted", "right", "by-hand"]
    setup = review(demo, "--show", SHOW)["setups"][0]
    assert page.one("h1").text() == f"{setup['id']}: {setup['per_cent']:.1f} per cent of what was assessed, no pass."
    cells = [[cell.text() for cell in row.all("td")][:4] for row in list(page.all("tbody"))[0].all("tr")]
    assert cells == [[f"{one[key]:g}" for key in ("earned", "lost", "not_assessed", "marks")]
                     for one in setup["groups"]]
    assert digest in page.text() and len(list(page.all("span", "blank"))) == 5
    bars = [[float(box.attributes["width"]) for box in bar.all("rect")] for bar in page.all("svg", "bar")]
    for bar, one in zip(bars, setup["groups"]):
        assert bar[0] == pytest.approx(100 * one["earned"] / one["marks"], abs=0.01)
        assert bar[1] == pytest.approx(100 * one["lost"] / one["marks"], abs=0.01)


def test_the_built_in_scheme_can_be_had(demo):
    assert run("explain", "scheme").out == SCHEME.read_text()
    assert review(demo) == review(demo, "--scheme", SCHEME)


# ---- a class ----

def make_class(folder, demo):
    """Three students, one of them on two dates and one with a name that is none."""
    (folder / "one").mkdir()
    (folder / "two").mkdir()
    shutil.copy(demo, folder / "one" / "ana.json")
    state = read_json(STATE)
    state["mixes"][7]["limiter"] = {"on": True}
    time.sleep(1.1)  # the saved desk's time has seconds
    save(folder / "two" / "ana.json", write_json(folder / "state.json", state))
    state["inputs"][4]["high_pass"] = {"on": True, "freq": 200}
    save(folder / "two" / "=1+1,\"x\".json", write_json(folder / "state.json", state))
    save(folder / "two" / "<b>eve & co.json", write_json(folder / "state.json", state))
    return sorted(folder.glob("one/*.json")) + sorted(folder.glob("two/*.json"))


def test_a_class_is_a_table_an_overview_and_sheets(demo, tmp_path):
    paths = make_class(tmp_path, demo)
    to = tmp_path / "class"
    result = run("review", *paths, "--show", SHOW, "--to", to)
    assert result.status == 1 and re.fullmatch(r"(gainwarden: \d of 4 setups\n)*", result.err)  # slow machines
    assert result.out == f"4 setups: {to}/overview.html, {to}/marks.csv\n"
    raw = (to / "marks.csv").read_bytes()
    assert raw.count(b"\r\n") == 5 and raw.count(b"\n") == 5
    with open(to / "marks.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file, strict=True))
    assert len(rows) == 5 and all(len(row) == len(rows[0]) for row in rows)
    assert [row[0] for row in rows[1:]] == ["<b>eve & co", "'=1+1,\"x\"", "ana", "ana"]
    with open(to / "marks.csv", newline="", encoding="utf-8") as file:
        table = list(csv.DictReader(file, strict=True))
    found = {(one["id"], one["at"]): one for one in review(*paths, "--show", SHOW)["setups"]}
    for row in table:
        setup = found[row["id"].lstrip("'"), row["read"]]
        for group in setup["groups"]:
            for key in ("earned", "lost", "not_assessed"):
                assert float(row[f"{group['group']} {key.replace('_', ' ')}"]) == group[key]
        assert float(row["all earned"]) == setup["all_settings"]["earned"]
        assert row["sha256"] == hashlib.sha256(SCHEME.read_bytes()).hexdigest()
        weights = [one["weight"] for one in setup["findings"] if "accepts" not in one.get("why_so_much", "")]
        assert [int(row[weight]) for weight in ("stop", "fix", "note")] == \
            [weights.count("stop"), weights.count("fix"), weights.count("note") + setup["findings_without_marks"]]
    overview = Page((to / "overview.html").read_text()).root
    assert overview.one("h1").text() == f"4 setups, {sum(row['stop'] != '0' for row in table)} with a stop."
    assert [cell.text() for cell in overview.one("table", "marks").one("thead").all("th")][:7] == [
        "setup", "per cent", "assessed", "stop", "accepted", "change", "all settings"]
    links = [link.attributes["href"] for link in overview.all("a")]
    assert len(links) == 4 and len(list(to.iterdir())) == 6
    for link in links:
        sheet = Page((to / urllib.parse.unquote(link)).read_text()).root
        assert "What it cost" in sheet.text()
    lines = [row.text() for row in list(overview.all("tbody"))[0].all("tr")]
    assert "+15" in lines[3] and "+15" not in lines[2]  # ana's limiter, a lesson later
    common = [[cell.text() for cell in row.children] for row in list(overview.all("tbody"))[1].all("tr")]
    assert ["ears-unprotected", "1 of 4", "15"] in common
    # a folder that holds a review stays as it is: marks by hand may stand in its table
    before = {path.name: path.read_bytes() for path in to.iterdir()}
    again = run("review", *paths, "--show", SHOW, "--to", to)
    assert (again.status, again.out) == (2, "")
    assert f"--to={to}: holds a review already; name another folder" in again.err
    assert {path.name: path.read_bytes() for path in to.iterdir()} == before


def test_dates_go_on_whatever_the_zone(tmp_path):
    """The setup that was read first comes first, though its clock showed a later hour."""
    desk = MockDesk()
    paths = []
    for folder, zone in (("first", "Pacific/Chatham"), ("then", "America/Anchorage")):
        (tmp_path / folder).mkdir()
        paths.append(tmp_path / folder / "ana.json")
        run("audit", SHOW, "--desk", desk.at, "--save", paths[-1], env={"TZ": zone})
        time.sleep(1.1)
    rows = list(csv.DictReader(run("review", *reversed(paths), "--format", "csv").out.splitlines()))
    assert [row["read"] for row in rows] == [read_json(path)["at"] for path in paths]
    assert rows[0]["read"] > rows[1]["read"]  # as text it would be the other way round


def test_a_page_has_no_table_without_rows(demo, tmp_path):
    """Which readers of HTML throw away: of a class that lost nothing."""
    scheme = read_json(SCHEME)
    scheme["groups"] = [{"group": "routing", "marks": 10, "checks": {"open-unused-input": {"costs": 2}}}]
    to = tmp_path / "class"
    assert run("review", demo, "--scheme", write_json(tmp_path / "scheme.json", scheme), "--to", to).status == 1
    text = (to / "overview.html").read_text()
    assert not re.search(r"<tbody>\s*</tbody>", text) and "<h2>What cost most</h2>\n<p>Nothing.</p>" in text


def test_one_setup_counts_once(demo, tmp_path):
    copy = tmp_path / "ana.json"
    shutil.copy(demo, copy)
    result = run("review", demo, copy, "--to", tmp_path / "class")
    at = read_json(demo)["at"]
    assert (result.status, result.out) == (2, "")
    assert f"{copy}: the same student and time as {demo}, read {at}" in result.err
    assert list((tmp_path / "class").iterdir()) == []


def test_names_can_be_hidden(demo, tmp_path):
    paths = make_class(tmp_path, demo)
    to = tmp_path / "class"
    assert run("review", *paths, "--to", to, "--anonymous", "autumn").status == 1
    text = "".join(path.name + path.read_text() for path in to.iterdir())
    ana = "student-" + hashlib.sha256(b"autumn\0ana").hexdigest()[:10]
    assert text.count(ana) > 4 and not re.search(r"\b(ana|eve)\b", text)
    assert "Ostrel" not in text  # the show's name may tell who it was
    setups = review(*paths, "--anonymous", "autumn")["setups"]
    assert [one["id"] for one in setups].count(ana) == 2 and "show" not in setups[0]
    other = review(*paths, "--anonymous", "spring")["setups"]
    assert not {one["id"] for one in setups} & {one["id"] for one in other}


def test_the_place_in_the_class_gives_no_name_away(demo, tmp_path):
    """Named in the order of the alphabet, they are told in that of their hidden ids, in every form."""
    names = [f"{letter}-student" for letter in "abcdefgh"]
    paths = [shutil.copy(demo, tmp_path / f"{name}.json") for name in names]
    ids = ["student-" + hashlib.sha256(f"autumn\0{name}".encode()).hexdigest()[:10] for name in names]
    assert ids != sorted(ids)
    to = tmp_path / "class"
    assert run("review", *paths, "--to", to, "--anonymous", "autumn").status == 1
    assert sorted(path.name for path in to.glob("sheet-*")) == [
        f"sheet-{number}-{one}.html" for number, one in enumerate(sorted(ids), start=1)]
    assert [one["id"] for one in review(*paths, "--anonymous", "autumn")["setups"]] == sorted(ids)
    told_ids = re.findall(r"^(student-\w+): ", run("review", *paths, "--anonymous", "autumn").out, re.MULTILINE)
    assert told_ids == sorted(ids)
    assert [one["id"] for one in review(*paths)["setups"]] == names


def test_long_names_stay_apart(demo, tmp_path):
    names = ["é" * 120 + end for end in "ab"]
    paths = [shutil.copy(demo, tmp_path / f"{name}.json") for name in names]
    to = tmp_path / "class"
    assert run("review", *paths, "--to", to).status == 1
    with open(to / "marks.csv", newline="", encoding="utf-8") as file:
        assert [row["id"] for row in csv.DictReader(file)] == names
    assert (to / ("sheet-2-" + "é" * 50 + ".html")).exists()
    hidden = review(*paths, "--anonymous", "autumn")["setups"]
    assert hidden[0]["id"] != hidden[1]["id"]


def test_a_master_that_is_off_has_no_figure_made_up(tmp_path):
    state = read_json(STATE)
    state["mixes"][1]["fader"] = "-inf"
    saved = save(tmp_path / "s.json", write_json(tmp_path / "state.json", state))
    line = next(one for one in review(saved, "--show", SHOW)["setups"][0]["findings"]
                if one["check"] == "master-off-unity" and one["object"] == {"mix": 2})
    assert line["why_so_much"] == "off altogether: 4 marks (1 at 0.5 dB, rising to 4 at 8 dB)"
    assert line["lost"] == 4


def test_every_form_is_text_whatever_a_file_is_called(demo, tmp_path):
    names = [b"Jos\xe9", b"Jos\xe8", "\u202eana".encode(), b"a\nb", "Jos\u00e9".encode()]
    paths = [os.fsencode(tmp_path) + b"/" + name + b".json" for name in names]
    for path in paths:
        shutil.copy(demo, path)
    words = [os.fsdecode(path) for path in paths]
    wanted = ["Jos\\xe9", "Jos\\xe8", "\\xe2\\x80\\xaeana", "a\\x0ab", "Jos\u00e9"]
    assert [one["id"] for one in review(*words)["setups"]] == wanted
    table = csv.reader(run("review", *words, "--format", "csv").out.splitlines(), strict=True)
    assert [row[0] for row in table][1:] == sorted(wanted, key=os.fsencode)


def test_what_a_scheme_does_not_mark_may_be_not_known(tmp_path):
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"] if "limit" not in json.dumps(one)]
    saved = save(tmp_path / "s.json", words=("--profile", write_json(tmp_path / "p.json", profile)))
    scheme = read_json(SCHEME)
    del scheme["groups"][0]
    out = run("review", saved, "--scheme", write_json(tmp_path / "scheme.json", scheme)).out
    assert re.search(r"\nNot known, and so neither earned nor lost \(2\)\n.*ears-unprotected", out)


# ---- bad input ----

def test_a_folder_that_holds_something_else_is_left_as_it_is(demo, tmp_path):
    (tmp_path / "class" / "marks.csv").mkdir(parents=True)
    result = run("review", demo, "--to", tmp_path / "class")
    assert (result.status, result.out) == (2, "")
    assert "holds a review already; name another folder" in result.err
    assert [path.name for path in (tmp_path / "class").iterdir()] == ["marks.csv"]


def test_one_broken_desk_and_nothing_is_written(demo, tmp_path):
    paths = make_class(tmp_path, demo)
    text = paths[1].read_text()
    to = tmp_path / "class"
    for wrong, words in ((text[:9000], ""), (text.replace('"saved_format": 1', '"saved_format": 2'), "saved_format"),
                         (text.replace('"Kick In"', '"Kick Out"'), "digest"), ("{}", "saved_format"), ("", "")):
        paths[1].write_text(wrong)
        missing = tmp_path / "none.json"
        result = run("review", *paths, missing, "--show", SHOW, "--to", to)
        assert (result.status, result.out) == (2, "")
        assert str(paths[1]) in result.err and words in result.err
        assert f"{missing}: cannot read: No such file or directory" in result.err
        assert list(to.iterdir()) == []
        for form in ("csv", "text", "json"):
            assert run("review", *paths, "--format", form).out == ""


def test_a_show_of_another_desk(demo, tmp_path):
    show = write_json(tmp_path / "show.json", {"show_format": 1, "inputs": {"25": {"player": "x"}}})
    result = run("review", demo, "--show", show)
    assert (result.status, result.out) == (2, "")
    assert f"{show}: inputs.25: the desk has inputs 1 to 24" in result.err


def changed(**changes):
    def change(scheme):
        scheme.update(changes)
    return change


def in_check(check, value, group=0):
    def change(scheme):
        scheme["groups"][group]["checks"][check] = value
    return change


@pytest.mark.parametrize("change, message", [
    (changed(scheme_format=2), "scheme_format: is 2; this version reads format 1"),
    (changed(extra=1), "extra: unknown key"),
    (changed(version=""), "version: is empty"),
    (changed(groups=[]), "groups: is empty: a scheme marks something"),
    (in_check("ears-unprotectd", {"costs": 1}),
     "groups[0].checks.ears-unprotectd: no check is called so, did you mean \"ears-unprotected\"?"),
    (in_check("left-on", {"costs": 1}), "groups[0].checks.left-on: is a check of the watch alone"),
    (in_check("too-many-cuts", {"costs": 1}), "groups[3].checks.too-many-cuts: stands in the scheme already"),
    (in_check("ears-unprotected", {"costs": [5, 2], "from": 1, "to": 2}), "the first must not be the larger one"),
    (in_check("ears-unprotected", {"costs": [1, 2], "from": 2, "to": 2}), "\"from\" must be below \"to\""),
    (in_check("ears-unprotected", {"costs": [1, 2]}), "groups[0].checks.ears-unprotected.from: is missing"),
    (in_check("ears-unprotected", {"costs": [1, 2], "from": 1, "to": 1e300}), "to: must be from -1000000 to 1000000"),
    (in_check("ears-unprotected", {"costs": 1, "from": 1, "to": 2}), "must be [least, top] where"),
    (in_check("ears-unprotected", {"costs": 0.25}), "must be marks from 0 to 1000, with at most one decimal"),
    (in_check("ears-unprotected", {"costs": -1}), "costs: must be marks"),
    (in_check("ears-unprotected", {"costs": "1"}), "costs: must be marks"),
    (in_check("ears-unprotected", {"costs": 1, "not_with": ["x"]}), "ears-unprotected.not_with: unknown key"),
    (changed(stop_forbids_pass="yes"), "stop_forbids_pass: is a string, must be true or false"),
    (changed(least_assessed=101), "least_assessed: must be"),
    (in_check("ears-unprotected", {}), "costs: is missing"),
    (lambda scheme: scheme["groups"][2].update(group="routing"), "groups[4].group: is the name of groups[2] already"),
    (lambda scheme: scheme["groups"][2].update(group="all"), "groups[2].group: \"all\" is what the table calls the sum"),
    (lambda scheme: scheme["groups"][1].update(most=31), "\"most\" must not be more than the marks of the group"),
    (lambda scheme: scheme["groups"].extend(scheme["groups"] * 3), "groups: has more than 12 groups"),
    (lambda scheme: (scheme["groups"].insert(0, 7), scheme["groups"][2].update(marks="x")), "groups[2].marks: "),
    (lambda scheme: scheme["by_hand"].append({"what": 1, "marks": 3}), "by_hand[5].what: "),
])
def test_a_scheme_that_is_wrong(demo, tmp_path, change, message):
    scheme = read_json(SCHEME)
    change(scheme)
    path = write_json(tmp_path / "scheme.json", scheme)
    result = run("review", demo, "--scheme", path, "--to", tmp_path / "class")
    assert (result.status, result.out) == (2, "")
    assert f"{path}: " in result.err and message in result.err, result.err
    assert not (tmp_path / "class").exists()


@pytest.mark.parametrize("text", ["", "[]", "{", "nonsense", "{\"scheme_format\": \"1\"}", "\xff"])
def test_a_scheme_that_is_none(demo, tmp_path, text):
    path = tmp_path / "scheme.json"
    path.write_bytes(text.encode("latin-1"))
    result = run("review", demo, "--scheme", path)
    assert (result.status, result.out) == (2, "") and str(path) in result.err


def test_words_that_do_not_fit_together(demo):
    assert "no saved desk: name one or more files" in run("review").err
    result = run("review", demo, STATE, "--format", "html")
    assert result.status == 2 and "name a folder for them with --to" in result.err
    result = run("review", demo, "--to", demo)
    assert result.status == 2 and f"--to={demo}: cannot write there: Not a directory" in result.err
    result = run("review", demo, "--format", "pdf")
    assert "allowed are text, json, html and csv" in result.err


def test_an_interrupted_review_leaves_nothing(demo, tmp_path):
    to = tmp_path / "class"
    paths = [tmp_path / f"student-{number}.json" for number in range(2000)]
    for path in paths:
        path.symlink_to(demo)
    process = Process(BUILD / "gainwarden", "review", *paths, "--to", to)
    until(lambda: to.exists() and len(list(to.glob(".review-*/sheet-*"))) > 3)
    assert process.stop(signal.SIGINT) == 2
    assert list(to.iterdir()) == []
    assert "gainwarden: interrupted" in "\n".join(process.err.texts())


def test_a_full_disk_is_told(demo):
    with open("/dev/full", "wb") as full:
        result = run("review", demo, "--format", "html", stdout=full)
    assert result.status == 2 and "cannot write to standard output: No space left on device" in result.err
