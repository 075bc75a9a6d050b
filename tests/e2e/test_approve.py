# SPDX-License-Identifier: MIT
"""The desk as it was approved: stored whole, compared in plain words, refused when it is damaged."""
import json
import os
import re

import pytest

from harness import (PROFILE, SHOW, STATE, MockDesk, audit, begin_watch, demo_show, entries, fader_wire, findings, flat,
                     head_wire, read_json, run, write_json)


def approve(desk, show, *words):
    return run("approve", show, "--desk", desk.at, *words)


def compare(desk, show, *words):
    return run("compare", show, "--desk", desk.at, *words)


def compare_json(desk, show, *words):
    result = compare(desk, show, "--format=json", *words)
    assert result.out, result.err
    return result.json(), result


@pytest.fixture(name="show")
def show_fixture(tmp_path):
    return demo_show(tmp_path)


def saved_of(show):
    return show.with_name("show.approved.json")


def kept_of(show, number=1):
    """What was approved before."""
    return show.with_name(f"show.approved.json.{number}")


def stored(show):
    """Every value of the approved desk."""
    return {name: one["values"] for name, one in read_json(saved_of(show))["values"].items()}


def moves(page):
    return {(one["parameter"], one.get("input"), one.get("mix"), one.get("band")):
            (one["from"], one["to"]) for one in page["moved"]}


def test_approve_stores_the_whole_desk(show):
    desk = MockDesk()
    result = approve(desk, show, "--by", "Mara", "--note", "after line check")
    assert result.status == 0, result.err
    saved = read_json(saved_of(show))
    assert os.stat(saved_of(show)).st_mode & 0o777 == 0o644
    assert saved["saved_format"] == 1
    assert saved["approved"]["by"] == "Mara"
    assert saved["approved"]["note"] == "after line check"
    assert saved["counts"]["input"] == 24
    assert saved["values"]["input.preamp_gain"]["values"][17] == 42
    assert saved["values"]["send.level"]["values"][2][1] == "-inf"
    assert saved["values"]["mix.limiter.on"]["values"][6:] == [True, False]
    assert saved["values"]["mix.name"]["values"][0] == "Ld Vox wedge"
    assert not [one for one in saved["values"].values() if "stale" in one]
    out = flat(result.out)
    assert f"stored in {saved_of(show)}: 24 inputs, 8 mixes, " in out
    assert ", by Mara: after line check" in out
    assert "values, 0 not known" in out
    assert "Approved with 16 findings: 1 stop, 5 fix, 10 note" in out
    assert not [name for name in os.listdir(show.parent) if name.endswith(".new")]


# ---- once more ----

def test_a_second_approval_says_what_changed_and_keeps_the_first(show):
    desk = MockDesk(limited(show.parent))
    assert approve(desk, show, "--by", "Mara", "--note", "after line check").status == 0
    first = saved_of(show).read_bytes()
    assert not kept_of(show).exists()
    desk.move("/in/7/head/gain", "f", head_wire(36))
    desk.move("/mix/2/graphic/14", "f", 0.0)
    desk.move("/mix/3/fader", "f", fader_wire(-7))
    result = approve(desk, show)
    assert result.status == 0, result.err
    out = flat(result.out)
    assert re.search(r"Changed since it was approved 20\S+ by Mara: after line check: \(before -> now\)", out)
    assert "mix 2 Gtr wedge: graphic 400 Hz -3 -> 0 dB" in out
    assert "input 7 Floor Tom: preamp 28 -> 36 dB" in out
    assert "besides, 1 level or mute was moved by hand" in out
    assert f"what was approved before is kept in {kept_of(show)}" in out
    assert kept_of(show).read_bytes() == first
    assert run("compare", show, "--desk", desk.at, "--approved", kept_of(show)).status == 1
    # and a third: nothing that was kept is lost
    second = saved_of(show).read_bytes()
    out = flat(approve(desk, show).out)
    assert "no gain, tap, filter, label or protection" in out
    assert kept_of(show).read_bytes() == second and kept_of(show, 2).read_bytes() == first
    assert not [name for name in os.listdir(show.parent) if name.endswith(".new")]


def limited(folder):
    """A desk on which nothing stands that is stop."""
    state = read_json(STATE)
    state["mixes"][7]["limiter"]["on"] = True
    return write_json(folder / "state.json", state)


def test_lost_protection_is_not_approved_by_habit(show):
    desk = MockDesk(limited(show.parent))
    assert approve(desk, show).status == 0
    first = saved_of(show).read_bytes()
    desk.move("/mix/7/limit/on", "i", 0)
    result = approve(desk, show)
    assert result.status == 1
    assert "mix 7 Bass IEM: limiter was on, is off" in flat(result.out)
    err = flat(result.err)
    assert "a finding of weight stop stands, and this would become the desk that should stay: mix 7 Bass IEM" in err
    assert "[ears-unprotected]" in err and "nothing was stored (--stop-too stores it all the same)" in err
    assert saved_of(show).read_bytes() == first and not kept_of(show).exists()
    # nor is the mix alone; another one is
    assert approve(desk, show, "--mix", 7).status == 1
    assert approve(desk, show, "--mix", 6).status == 0
    result = approve(desk, show, "--stop-too")
    assert result.status == 0
    assert "mix 7 Bass IEM: limiter was on, is off" in flat(result.out)
    assert stored(show)["mix.limiter.on"][6] is False
    assert kept_of(show, 2).read_bytes() == first


def test_a_first_approval_asks_for_no_extra_word(show):
    """There is nothing that it could replace; its findings are printed."""
    result = approve(MockDesk(), show)
    assert result.status == 0 and "1 stop, 5 fix" in flat(result.out)


def test_what_cannot_be_kept_is_not_replaced(show):
    desk = MockDesk(limited(show.parent))
    assert approve(desk, show).status == 0
    first = saved_of(show).read_bytes()
    saved_of(show).rename(show.with_name("aside"))
    saved_of(show).mkdir()
    result = approve(desk, show)
    assert result.status == 2
    assert "cannot keep what is there: Is a directory; nothing was stored" in flat(result.err)
    saved_of(show).rmdir()
    show.with_name("aside").rename(saved_of(show))
    assert saved_of(show).read_bytes() == first


# ---- "I meant it" ----

def test_one_input_alone(show):
    desk = MockDesk(limited(show.parent))
    assert approve(desk, show, "--by", "Mara", "--note", "after line check").status == 0
    before, first = stored(show), saved_of(show).read_bytes()
    approved_at = read_json(saved_of(show))["approved"]["at"]
    desk.move("/in/18/head/gain", "f", head_wire(36))
    desk.move("/in/18/to/2/tap", "i", 2)
    desk.move("/in/7/head/gain", "f", head_wire(36))
    desk.move("/mix/2/graphic/14", "f", 0.0)
    result = approve(desk, show, "--input", 18, "--by", "Kim")
    assert result.status == 0, result.err
    out = flat(result.out)
    assert "input 18 Ld Vox approved as it is, " in out
    assert "input 18 Ld Vox: preamp 42 -> 36 dB" in out and "Floor Tom" not in out and "graphic" not in out
    after = stored(show)
    changed = {(name, row) for name, values in after.items() for row, value in enumerate(values)
               if value != before[name][row]}
    assert changed == {("input.preamp_gain", 17), ("send.tap", 17)}
    assert after["input.preamp_gain"][17] == pytest.approx(36, abs=1e-3)
    assert after["send.tap"][17][1] == "post-fader"
    assert kept_of(show).read_bytes() == first
    approved = read_json(saved_of(show))["approved"]
    assert approved["by"] == "Kim"
    assert approved["note"] == f"input 18 Ld Vox alone, the rest as of {approved_at}"
    # the rest is still told
    page, _ = compare_json(desk, show)
    assert {one.get("input") or one.get("mix") for one in page["moved"]} == {7, 2}
    assert approve(desk, show, "--mix", 2, "--note", "new wedge").status == 0
    page, _ = compare_json(desk, show)
    assert [one["input"] for one in page["moved"]] == [7]
    assert read_json(saved_of(show))["approved"]["note"] == "new wedge"


def test_one_object_needs_an_approved_desk_that_has_it(show):
    desk = MockDesk(limited(show.parent))
    result = approve(desk, show, "--input", 18)
    assert result.status == 2
    assert "--input: there is no approved desk yet; approve the whole desk first" in flat(result.err)
    assert not saved_of(show).exists()
    assert approve(desk, show).status == 0
    first = saved_of(show).read_bytes()
    for words, told in [(("--input", 25), "--input=25: the desk has 24"), (("--mix", 9), "--mix=9: the desk has 8"),
                        (("--input", 1, "--mix", 1), "--input and --mix exclude each other")]:
        result = approve(desk, show, *words)
        assert result.status == 2 and told in flat(result.err)
    assert saved_of(show).read_bytes() == first and not kept_of(show).exists()


def test_a_setting_that_was_never_approved_asks_for_the_whole_desk(show):
    """The profile reads the limiter's threshold only since."""
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"] if "mix.limiter.threshold" not in json.dumps(one)]
    path = write_json(show.parent / "profile.json", profile)
    desk = MockDesk(limited(show.parent))
    assert approve(desk, show, "--profile", path).status == 0
    first = saved_of(show).read_bytes()
    result = approve(desk, show, "--mix", 3)
    assert result.status == 2
    assert "the profile reads more of it now than when the desk was approved" in flat(result.err)
    assert saved_of(show).read_bytes() == first and not kept_of(show).exists()
    assert approve(desk, show, "--input", 3).status == 0


def test_what_is_not_known_of_an_object_stays_as_it_was(show):
    desk = MockDesk(limited(show.parent))
    assert approve(desk, show).status == 0
    before = stored(show)
    silent = MockDesk(limited(show.parent), silent=1)
    assert approve(silent, show, "--input", 3).status == 2
    assert approve(silent, show, "--input", 3, "--incomplete").status == 0
    assert stored(show) == before


def test_nothing_moved(show):
    desk = MockDesk()
    assert approve(desk, show).status == 0
    page, result = compare_json(desk, show)
    assert result.status == 0
    assert page["moved"] == page["not_known"] == []
    assert [len(page["findings"][key]) for key in ("new", "worse", "fixed", "not_judged")] == [0] * 4
    assert len(page["findings"]["unchanged"]) == 16
    out = flat(compare(desk, show).out)
    assert "Findings: 0 new, 0 worse, 0 fixed, 16 unchanged " in out
    assert "No gain, tap, filter or protection moved." in out


def test_what_moved_in_plain_words(show):
    desk = MockDesk()
    assert approve(desk, show, "--by", "Mara", "--note", "after line check").status == 0
    desk.move("/in/7/head/gain", "f", head_wire(37))
    desk.move("/mix/7/limit/on", "i", 0)
    desk.move("/mix/2/graphic/14", "f", 0.0)
    desk.move("/in/3/to/2/tap", "i", 2)
    desk.move("/in/3/to/2/level", "f", fader_wire(-6))
    desk.move("/mix/3/fader", "f", fader_wire(0))
    result = compare(desk, show)
    assert result.status == 1
    out = result.out
    assert re.search(r"approved 20\S+ by Mara: after line check", flat(out))
    [protection] = [one for one in entries(out, 0) if one.startswith("Stop: protection is missing ")]
    assert protection.startswith("Stop: protection is missing bass new: mix 7 Bass IEM: an in-ear mix without a limiter")
    assert "fixed: mix 3 Keys wedge: the master stands at -8 dB" in flat(out)
    listed = [one for one in entries(out[out.index("\nMoved (6)\n"):], 4) if re.match("(note|fix|stop): ", one)]
    assert [one.partition("; card ")[0] for one in listed] == [
        "fix: input 3 Snare Top: send into mix 2 Gtr wedge off -> -6 dB, opens the path",
        "fix: input 7 Floor Tom: preamp 28 -> 37 dB, 9 dB louder in mixes 6-8",
        "fix: mix 3 Keys wedge: master -8 -> 0 dB, 8 dB louder",
        "stop: mix 7 Bass IEM: limiter was on, is off",
        "fix: mix 2 Gtr wedge: graphic 400 Hz -3 -> 0 dB",
        "note: input 3 Snare Top: tap into mix 2 Gtr wedge was pre-fader, is post-fader"]
    assert "Besides: " not in out
    full = flat(compare(desk, show, "--all").out)
    assert "unchanged: mix 8 Drums IEM: an in-ear mix without a limiter" in full

    page, _ = compare_json(desk, show)
    assert page["compare_format"] == 1
    assert page["approved"]["by"] == "Mara"
    assert moves(page)[("input.preamp_gain", 7, None, None)] == (28, pytest.approx(37, abs=1e-3))
    assert moves(page)[("mix.limiter.on", None, 7, None)] == (True, False)
    assert moves(page)[("send.tap", 3, 2, None)] == ("pre-fader", "post-fader")
    assert moves(page)[("send.level", 3, 2, None)] == ("-inf", pytest.approx(-6, abs=1e-3))
    assert moves(page)[("mix.graphic.band.gain", None, 2, 14)] == (-3, 0)
    assert page["moved_counts"] == {"protection": 2, "gain": 1, "routing": 1, "filter": 0,
                                    "level": 2, "label": 0}
    assert [one["check"] for one in page["findings"]["new"]] == ["ears-unprotected"]


def test_a_finding_that_is_worse(show):
    desk = MockDesk()
    assert approve(desk, show).status == 0
    desk.move("/mix/3/fader", "f", fader_wire(-14))
    page, result = compare_json(desk, show)
    assert result.status == 1
    [worse] = page["findings"]["worse"]
    assert worse["check"] == "master-off-unity" and worse["object"] == {"mix": 3}
    assert worse["was"]["says"].startswith("the master stands at -8 dB")
    assert "was: the master stands at -8 dB" in flat(compare(desk, show).out)


def test_ridden_faders_alone_are_no_difference(show):
    desk = MockDesk()
    assert approve(desk, show).status == 0
    desk.move("/in/18/fader", "f", fader_wire(-20))
    desk.move("/in/18/to/1/level", "f", fader_wire(-13))
    page, result = compare_json(desk, show)
    assert result.status == 0, page["findings"]
    assert page["moved_counts"]["level"] == 2


def test_the_audit_knows_moved_from_approved(show):
    desk = MockDesk()
    before, _ = audit(desk, show=show)
    assert approve(desk, show).status == 0
    same, _ = audit(desk, show=show)
    assert findings(same) == findings(before)
    assert before["passed"]["moved-from-approved"] == 0
    assert same["passed"]["moved-from-approved"] == 24 + 8
    desk.move("/mix/7/limit/threshold", "f", -5.0)
    desk.move("/in/7/head/gain", "f", head_wire(30))
    report, _ = audit(desk, show=show)
    drift = {tuple(one["object"].items()): one["weight"] for one in report["findings"]
             if one["check"] == "moved-from-approved"}
    assert drift == {(("mix", 7),): "fix", (("input", 7),): "note"}
    off = demo_show(show.parent, checks={"moved-from-approved": "off"})
    assert findings(audit(desk, show=off)[0]) == findings(before)


def test_an_incomplete_desk_is_stored_only_when_told(show):
    """The desk says nothing of one mix's limiter."""
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"]
                         if "mix.limiter.threshold" not in json.dumps(one)]
    profile["values"].append({"at": "/no/such/{mix}", "is": "mix.limiter.threshold"})
    path = write_json(show.parent / "profile.json", profile)
    desk = MockDesk()
    words = ["--profile", path, "--within", 3]
    result = approve(desk, show, *words)
    assert result.status == 2
    assert "8 values are not known; nothing was stored (--incomplete" in result.err
    assert "mix.limiter.threshold (8): mix 1 Ld Vox wedge, mix 2 Gtr wedge" in result.err
    assert "and 5 more" in result.err
    assert not saved_of(show).exists()
    result = approve(desk, show, "--incomplete", *words)
    assert result.status == 0
    assert "8 values are not known:" in result.err
    assert ", 8 not known" in flat(result.out)
    assert read_json(saved_of(show))["values"]["mix.limiter.threshold"]["values"] == [None] * 8
    # with the whole profile they are known now, and how they stood nobody can say
    result = compare(desk, show)
    assert result.status == 3
    out = flat(result.out)
    assert "Not known whether they moved (8)" in out
    assert "mix 1 Ld Vox wedge: limiter threshold: not known when it was approved" in out
    assert " and 2 more: --all lists them" in out


def test_a_silent_desk_is_not_known(show):
    desk = MockDesk()
    assert approve(desk, show).status == 0
    silent = MockDesk(silent=1)
    page, result = compare_json(silent, show)
    assert result.status == 3
    assert page["moved"] == [] and page["findings"]["new"] == page["findings"]["fixed"] == []
    assert len(page["not_known"]) > 1000
    before = saved_of(show).read_bytes()
    assert approve(silent, show).status == 2
    assert saved_of(show).read_bytes() == before


def damage(path, old, new):
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


@pytest.mark.parametrize("old, new, told", [
    ('"Ld Vox"', '"Ld Vux"', "digest: does not fit the text: the file was damaged or edited"),
    ('"saved_format": 1', '"saved_format": 2', "saved_format: is 2; this version reads format 1"),
    ('}\n', '', r"the file ends too early: the . of line \d+, column \d+ is not closed"),
    ('"input": 24', '"input": 25', "values.input.name.values: has 24 elements, must have 25"),
])
def test_a_damaged_desk_is_an_error(show, old, new, told):
    desk = MockDesk()
    assert approve(desk, show).status == 0
    damage(saved_of(show), old, new)
    for command in ("compare", "audit", "watch"):
        result = run(command, show, "--desk", desk.at)
        assert result.status == 2, command
        assert result.out == ""
        assert re.search(re.escape(str(saved_of(show))) + ".*(" + told + ")", result.err), result.err
    # approving anew is the cure, and what was broken is kept as well
    broken = saved_of(show).read_bytes()
    assert approve(desk, show, "--stop-too").status == 0
    assert kept_of(show).read_bytes() == broken
    assert compare(desk, show).status == 0


def test_a_missing_file(show, tmp_path):
    desk = MockDesk()
    result = compare(desk, show)
    assert result.status == 2
    assert "show.approved.json: cannot read: No such file" in result.err
    assert "`gainwarden approve` stores it" in result.err
    # beside the show file it may be missing; one that is named must be there
    assert run("audit", show, "--desk", desk.at).status == 1
    assert run("audit", show, "--desk", desk.at, "--approved", tmp_path / "none.json").status == 2
    named = demo_show(tmp_path, desk={"profile": str(PROFILE), "host": "127.0.0.1",
                                      "role": "monitor", "approved": "kept/monday.json"})
    result = run("audit", named, "--desk", desk.at)
    assert result.status == 2
    assert "kept/monday.json: cannot read" in result.err
    (tmp_path / "kept").mkdir()
    assert approve(desk, named).status == 0
    assert (tmp_path / "kept" / "monday.json").exists()
    assert run("audit", named, "--desk", desk.at).status == 1


def test_one_of_another_desk(show, tmp_path):
    desk = MockDesk()
    assert approve(desk, show).status == 0
    profile = read_json(PROFILE)
    profile["counts"]["input"] = 23
    path = write_json(tmp_path / "profile.json", profile)
    shown = read_json(show)
    del shown["inputs"]["24"]
    write_json(show, shown)
    result = compare(desk, show, "--profile", path)
    assert result.status == 2
    assert "counts.input: is 24, but the profile has 23" in result.err


def test_where_and_by_whom(show, tmp_path):
    desk = MockDesk()
    assert run("approve", "--profile", PROFILE, "--desk", desk.at).status == 2
    other = tmp_path / "other.json"
    assert run("approve", "--profile", PROFILE, "--desk", desk.at, "--approved", other).status == 0
    assert run("compare", "--profile", PROFILE, "--desk", desk.at, "--approved", other).status == 0
    result = approve(desk, show, "--by", "x" * 64)
    assert result.status == 2 and "--by: is longer than 63 bytes" in result.err
    result = approve(desk, show, "--approved", tmp_path / "no" / "where.json")
    assert result.status == 2
    assert "where.json: cannot write: No such file or directory; nothing was stored" in result.err


def test_it_is_explained():
    out = run("explain", "moved-from-approved").out
    for word in ("note_db", "fix_db", "approve", "Faders", "common practice, no source"):
        assert word in flat(out), word


def test_the_demo_has_no_approved_desk():
    assert not SHOW.with_name("ostrel-barn.approved.json").exists()


def test_the_watch_tells_drift_and_its_end(show):
    desk = MockDesk()
    assert approve(desk, show).status == 0
    quick = demo_show(show.parent, checks={"moved-from-approved": {"raise_after_s": 0.2,
                                                                   "clear_after_s": 0.2}})
    watcher, at = begin_watch(desk, show=quick)
    desk.move("/in/7/head/gain", "f", head_wire(36))
    at, _, _ = watcher.expect(r"raised fix \[moved-from-approved\] input 7 .*preamp 28 -> 36 dB",
                             start=at)
    desk.move("/in/7/fader", "f", fader_wire(-20))
    desk.move("/in/7/head/gain", "f", head_wire(28))
    watcher.expect(r"cleared \[moved-from-approved\] input 7 Floor Tom", start=at)
    assert watcher.stop() == 0
