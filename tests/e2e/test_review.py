# SPDX-License-Identifier: MIT
"""Marks: worked out again here from the audit's findings and the scheme's own file, by another program.

The CSV is read by Python's csv module (RFC 4180), the hash by hashlib, names are hidden as hashlib says.
"""
import csv
import hashlib
import json
import math
import os
import random
import re
import shutil
import signal
import time
import urllib.parse

import pytest

from harness import (BUILD, PROFILE, ROOT, SHOW, STATE, MockDesk, Process, read_json, rounds, run, until,
                     write_json)
from test_report_html import Page
from test_saved import random_desk

SCHEME = ROOT / "contrib" / "scheme" / "monitor-setup.json"
SEED = random.SystemRandom().randrange(1 << 32)


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

def tenths(marks):
    return round(marks * 10)


def cost(rule, severity):
    if not isinstance(rule["costs"], list):
        return tenths(rule["costs"])
    least, top = map(tenths, rule["costs"])
    share = min(max((severity - rule["from"]) / (rule["to"] - rule["from"]), 0), 1)
    return least + math.floor(share * (top - least) + 0.5)


SEVERITY = {"unused-preamp-gain": "surplus_db", "master-off-unity": "off_unity_db", "own-send-off-unity": "off_unity_db",
            "make-up-into-wedge": "makeup_db", "high-pass-low": "octaves_under", "too-many-cuts": "cuts_count",
            "boost-into-wedge": "boost_db", "open-microphones": "microphones_count"}


def severity_of(one):
    figures = one["figures"]
    if one["check"] == "high-pass-high":
        return figures.get("loss_at_lowest_note_db", figures.get("loss_at_usual_top_db"))
    if one["check"] == "own-send-off-unity" and "off_unity_db" not in figures:
        return 200  # the own send is off
    if one["check"] == "master-off-unity" and "off_unity_db" not in figures:
        return 1e9
    return figures.get(SEVERITY.get(one["check"]), 0)


def same_place(one, other):
    if "input" in one["object"] and "input" in other["object"]:
        return one["object"]["input"] == other["object"]["input"]
    mixes = [each["object"].get("mix", each.get("shows_in_mix")) for each in (one, other)]
    return mixes[0] is not None and mixes[0] == mixes[1]


def marks(report, scheme):
    """{group: (earned, lost, open)} in tenths, from the audit's JSON."""
    result = {}
    unknown = {}
    for one in report["not_known"]:
        unknown[one["check"]] = unknown.get(one["check"], 0) + 1
    for group in scheme["groups"]:
        left = tenths(group.get("most", group["marks"]))
        lost = could = 0
        seen = {check: report["passed"][check] + report["told_by_another"][check] +
                sum(one["check"] == check for one in report["findings"] + report["accepted"])
                for check in group["checks"]}
        spent = {check: tenths(rule.get("most", group["marks"])) for check, rule in group["checks"].items()}
        for one in report["findings"]:
            rule = group["checks"].get(one["check"])
            if rule is None or any(other["check"] in rule.get("not_with", []) and same_place(one, other)
                                   for other in report["findings"]):
                continue
            taken = min(cost(rule, severity_of(one)), spent[one["check"]], left)
            spent[one["check"]] -= taken
            left -= taken
            lost += taken
        for check, rule in group["checks"].items():
            top = rule["costs"][1] if isinstance(rule["costs"], list) else rule["costs"]
            judged = seen[check] + unknown.get(check, 0)
            could += min(unknown.get(check, 0) * tenths(top), spent[check]) if judged else spent[check]
        open_ = min(could, left) if any(seen.values()) else tenths(group["marks"])
        result[group["group"]] = (tenths(group["marks"]) - lost - open_, lost, open_)
    return result


def told(setup):
    return {one["group"]: (tenths(one["earned"]), tenths(one["lost"]), tenths(one["not_assessed"]))
            for one in setup["groups"]}


def check_sums(setup):
    for one in [*setup["groups"], setup["all_settings"]]:
        assert tenths(one["earned"]) + tenths(one["lost"]) + tenths(one["not_assessed"]) == tenths(one["marks"])
    for key in ("earned", "lost", "not_assessed", "marks"):
        assert sum(tenths(one[key]) for one in setup["groups"]) == tenths(setup["all_settings"][key])
    for group in setup["groups"]:
        assert sum(tenths(one["lost"]) for one in setup["findings"] if one["group"] == group["group"]) == \
            tenths(group["lost"])


def test_the_demo(demo):
    report = run("audit", SHOW, "--saved", demo, "--format", "json").json()
    found = review(demo, "--show", SHOW)
    setup = found["setups"][0]
    assert told(setup) == marks(report, read_json(SCHEME))
    check_sums(setup)
    assert found["scheme"]["sha256"] == hashlib.sha256(SCHEME.read_bytes()).hexdigest()
    assert (found["scheme"]["version"], setup["id"]) == ("1", "ana")
    # the same findings as the audit's, but for what only the review says of them
    # and for the cards, which a class is not told
    extra = {"group", "lost", "alone", "why_so_much", "why", "by", "card", "do"}
    listed = [{key: value for key, value in one.items() if key not in extra} for one in setup["findings"]]
    audited = [{key: value for key, value in one.items() if key not in extra}
               for one in report["findings"] + report["accepted"]]
    assert sorted(listed, key=json.dumps) == sorted(audited, key=json.dumps)
    assert setup["right"] == {key: value for key, value in report["passed"].items() if key in setup["right"]}


@pytest.mark.limit(90)
def test_random_desks_are_marked_as_worked_out(tmp_path):
    print(f"seed {SEED}")
    dice = random.Random(SEED)
    scheme = read_json(SCHEME)
    scheme["groups"][0]["most"] = 20
    scheme["groups"][1]["checks"]["unused-preamp-gain"]["not_with"] = ["master-off-unity", "make-up-into-wedge"]
    own = write_json(tmp_path / "scheme.json", scheme)
    full, number = set(), 0
    while number < rounds(15, 40) or (len(full) < 2 and number < 100):  # until it met what it is about
        number += 1
        state, profile = random_desk(dice, tmp_path)
        saved = save(tmp_path / "s.json", state, ("--profile", profile))
        report = run("audit", "--profile", profile, "--saved", saved, "--format", "json").json()
        setup = review(saved, "--scheme", own)["setups"][0]
        assert told(setup) == marks(report, scheme), number
        check_sums(setup)
        for one in setup["findings"]:
            full.update(re.findall(r"has cost the most it may|same cause", one.get("why_so_much", "")))
    assert full == {"has cost the most it may", "same cause"}


def test_what_is_not_known_is_neither_earned_nor_lost(tmp_path):
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"] if "limit" not in json.dumps(one)]
    saved = save(tmp_path / "s.json", words=("--profile", write_json(tmp_path / "p.json", profile)))
    setup = review(saved, "--show", SHOW)["setups"][0]
    group = next(one for one in setup["groups"] if one["group"] == "protection")
    assert (group["lost"], group["not_assessed"], group["not_known"]) == (3, 27, 2)
    assert run("review", saved, "--show", SHOW).status == 1
    # nothing there to be judged: a scheme of high-passes for a desk without inputs that want one
    state = read_json(STATE)
    for one in state["inputs"]:
        one["name"] = "Playback"
    saved = save(tmp_path / "p2.json", write_json(tmp_path / "state.json", state), ("--profile", PROFILE))
    group = review(saved)["setups"][0]["groups"][2]
    assert (group["group"], group["earned"], group["not_assessed"]) == ("high-passes", 0, 15)


def test_a_check_with_nothing_to_judge_earns_nothing(demo, tmp_path):
    """Turned off in the show file, or of something this desk has not: the same group's other checks say nothing of it."""
    show = read_json(SHOW)
    show["desk"]["profile"] = str(PROFILE)
    show["checks"] = {"ears-unprotected": "off"}
    off = write_json(tmp_path / "show.json", show)
    state = read_json(STATE)
    for one in state["mixes"]:
        one["name"] = one["name"].replace("IEM", "wedge")
    wedges = save(tmp_path / "s.json", write_json(tmp_path / "state.json", state), ("--profile", PROFILE))
    for words, lost in (((demo, "--show", off), 3), ((wedges,), 0)):
        group = review(*words)["setups"][0]["groups"][0]
        assert group["right"] > 0  # phantom power was judged
        assert (group["earned"], group["lost"], group["not_assessed"]) == (0, lost, 30 - lost)


def test_what_is_muted_is_said_to_be_unjudged(tmp_path):
    state = read_json(STATE)
    state["inputs"][17]["open"] = False
    saved = save(tmp_path / "s.json", write_json(tmp_path / "state.json", state))
    groups = {one["group"]: one for one in review(saved, "--show", SHOW)["setups"][0]["groups"]}
    assert groups["gain structure"]["muted_or_sent_nowhere"] >= 1 and groups["high-passes"]["muted_or_sent_nowhere"] >= 1
    assert re.search(r"Not judged: \d+ checks of inputs that are muted", run("review", saved, "--show", SHOW).out)


def test_one_cause_is_counted_once(tmp_path):
    """Where the scheme says that a surplus in a mix whose master is off is the master's fault."""
    state = read_json(STATE)
    for one in state["mixes"]:
        one["fader"] = -8
    saved = save(tmp_path / "s.json", write_json(tmp_path / "state.json", state))
    scheme = read_json(SCHEME)
    scheme["groups"][1]["checks"]["unused-preamp-gain"]["not_with"] = ["master-off-unity"]
    own = write_json(tmp_path / "scheme.json", scheme)
    for words, lost, why in (((), 6, ""), (("--scheme", own), 0, "master-off-unity tells the same cause")):
        setup = review(saved, "--show", SHOW, *words)["setups"][0]
        line = next(one for one in setup["findings"] if one["object"] == {"input": 18})
        assert (line["check"], line["lost"], line["alone"]) == ("unused-preamp-gain", lost, 6)
        assert why in line["why_so_much"]


def test_the_same_input_gives_the_same_marks(demo, tmp_path):
    for form in ("text", "json", "html", "csv"):
        first = run("review", demo, "--show", SHOW, "--format", form)
        time.sleep(0.01)
        again = run("review", demo, "--show", SHOW, "--format", form)
        assert first.out == again.out and first.status == again.status == 1
    # a finding that is accepted until a day is accepted when the desk was read, whenever it is marked
    show = read_json(SHOW)
    show["desk"]["profile"] = str(PROFILE)
    show["accept"][0]["until"] = "2026-01-01"
    late = review(demo, "--show", write_json(tmp_path / "show.json", show))["setups"][0]
    assert any(one["lost"] == 1.4 for one in late["findings"] if one["check"] == "master-off-unity")


# ---- the sheet ----

def test_the_sheet_tells_the_whole(demo):
    out = run("review", demo, "--show", SHOW).out
    digest = hashlib.sha256(SCHEME.read_bytes()).hexdigest()
    assert digest in out and "version 1" in out
    for words in ("What it cost", "What is right", "What settings cannot show", "____ of 20: Tone and balance",
                  "Care: loud stages damage hearing", "high-pass-missing 14"):
        assert words in out
    page = Page(run("review", demo, "--show", SHOW, "--format", "html").out).root
    ids = [one.attributes["id"] for one in page.all("section") if "id" in one.attributes]
    assert ids[:6] == ["marks", "findings", "accepted", "not-known", "right", "by-hand"]
    setup = review(demo, "--show", SHOW)["setups"][0]
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
            [weights.count(weight) for weight in ("stop", "fix", "note")]
    overview = Page((to / "overview.html").read_text()).root
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
    assert line["why_so_much"] == "off_unity_db is without end; it costs 1 up to 0.5, 4 from 8 on"
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
    (in_check("ears-unprotected", {"costs": 1, "not_with": ["x"]}), "not_with[0]: no check is called so"),
    (in_check("ears-unprotected", {"costs": 1, "not_with": ["ears-unprotected"]}), "not_with[0]: is the check itself"),
    (in_check("ears-unprotected", {}), "costs: is missing"),
    (lambda scheme: scheme["groups"][1]["checks"].pop("unused-preamp-gain"),
     "groups[1].checks.own-send-off-unity.not_with[0]: the scheme does not mark unused-preamp-gain: what both"),
    (in_check("unused-preamp-gain", {"costs": 1, "not_with": ["own-send-off-unity"]}, 1),
     "unused-preamp-gain.not_with[0]: own-send-off-unity is not counted beside unused-preamp-gain either"),
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
