# SPDX-License-Identifier: MIT
"""Beside a reference, a trainer's or a tour's: values by kind, path gains, and another preamp offset folded."""
import json
import re

import pytest

from harness import (PROFILE, SHOW, STATE, MockDesk, demo_show, fader_wire, flat, head_wire, read_json,
                     run, write_json)
from test_retrim import follow

KINDS = ("protection", "structure", "filters", "routing", "labels")


def save(desk, path):
    result = run("audit", SHOW, "--desk", desk.at, "--save", path)
    assert result.status in (0, 1), result.err
    return path


def compare(desk, reference, *words):
    return run("compare", SHOW, "--desk", desk.at, "--reference", reference, *words)


def page_of(desk, reference, *words):
    result = compare(desk, reference, "--format=json", *words)
    assert result.out, result.err
    return result.json(), result.status


@pytest.fixture(name="stage")
def stage_fixture(tmp_path):
    """The demo's desk and a reference of it as it stands."""
    desk = MockDesk()
    return desk, save(desk, tmp_path / "reference.json")


def move_head(desk, number, db):
    desk.move(f"/in/{number}/head/gain", "f", head_wire(db))


def move_sends(desk, number, sends):
    for mix, db in sends.items():
        desk.move(f"/in/{number}/to/{mix}/level", "f", fader_wire(db))


def counts(page):
    return tuple(page["kind_counts"][kind] for kind in KINDS + ("folded",))


def digest(text):
    """FNV-1a of 64 bits."""
    number = 0xcbf29ce484222325
    for byte in text.encode():
        number = (number ^ byte) * 0x100000001b3 % (1 << 64)
    return f"{number:016x}"


def forge(path, change):
    """Changes a saved desk by hand and seals it again."""
    saved = read_json(path)
    change(saved)
    saved["digest"] = "0" * 16
    text = json.dumps(saved)
    path.write_text(text.replace('"digest": "' + "0" * 16, '"digest": "' + digest(text)))


# ---- what differs ----

def test_nothing_differs(stage):
    page, status = page_of(*stage)
    assert status == 0
    assert page["moved"] == page["offsets"] == page["path_gains"]["differ"] == page["not_known"] == []
    assert page["path_gains"]["agree"] + page["path_gains"]["closed"] == 24 * 8
    assert counts(page) == (0, 0, 0, 0, 0, 0)
    assert page["reference"]["approved"] is False and "approved" not in page
    out = compare(*stage).out
    assert f"beside the reference {stage[1]}, saved 20" in flat(out)
    assert "Nothing differs in protection, structure, filters or routing. " in flat(out)
    assert f"0 differ, {page['path_gains']['agree']} agree, 0 not known" in flat(out)
    assert "approved" not in out.replace("moved-from-approved", "")


def test_values_by_kind(stage):
    desk, reference = stage
    desk.move("/mix/7/limit/on", "i", 0)
    desk.move("/in/23/head/phantom", "i", 0)
    desk.move("/mix/2/graphic/14", "f", 0.0)
    desk.move("/in/10/hp/on", "i", 0)
    desk.move("/in/3/to/2/tap", "i", 2)
    desk.move("/in/12/open", "i", 0)
    desk.move("/in/3/name", "s", "Snare")
    move_head(desk, 7, 31)
    page, status = page_of(desk, reference)
    assert status == 1
    assert counts(page) == (2, 1, 2, 2, 1, 0)
    kinds = {(one["parameter"], one["kind"], one["folded"]) for one in page["moved"]}
    assert kinds == {("mix.limiter.on", "protection", False), ("input.phantom", "protection", False),
                     ("mix.graphic.band.gain", "filters", False), ("input.high_pass.on", "filters", False),
                     ("send.tap", "routing", False), ("input.mute", "routing", False),
                     ("input.name", "labels", False), ("input.preamp_gain", "structure", False)}
    out = compare(desk, reference).out
    listed = re.findall(r"^  (protection|structure|filters|routing|labels) \((\d)\)$", out, re.M)
    assert listed == [("protection", "2"), ("structure", "1"), ("filters", "2"), ("routing", "2")]
    assert "\nDiffers from the reference (7)\n" in out
    assert "mix 7 Bass IEM: limiter was on, is off" in out
    assert "input 12 Gtr R: mute was off, is on" in out
    assert "Besides: 1 label differs: --all lists them" in out
    full = compare(desk, reference, "--all").out
    assert "\nDiffers from the reference (8)\n" in full
    assert 'input 3 Snare: label was "Snare Top", is "Snare"' in full


def test_path_gains_are_told_as_such(stage):
    desk, reference = stage
    move_head(desk, 7, 31)  # from 28; its sends are -3, -8 and 0 dB
    desk.move("/in/4/to/8/on", "i", 0)  # 26 - 2
    page, status = page_of(desk, reference)
    assert status == 1
    told = {(one["input"], one["mix"]): (one["from"], one["to"]) for one in page["path_gains"]["differ"]}
    assert told == {(7, 6): (25, pytest.approx(28, abs=2e-3)), (7, 7): (20, pytest.approx(23, abs=2e-3)),
                    (7, 8): (28, pytest.approx(31, abs=2e-3)), (4, 8): (24, "-inf")}
    out = compare(desk, reference).out
    assert "input 7 Floor Tom into mix 8 Drums IEM: path gain 28 -> 31 dB\n" in out
    assert "input 4 Snare Bot into mix 8 Drums IEM: path gain 24 -> off\n" in out
    assert "Path gains, without filters: 4 differ, " in flat(out)


def test_a_master_alone_moves_every_path_of_its_mix(stage):
    """More than the page lists at once: --all lists them."""
    desk, reference = stage
    desk.move("/mix/8/fader", "f", fader_wire(-2))
    desk.move("/mix/7/fader", "f", fader_wire(-2))
    page, _ = page_of(desk, reference)
    differ = page["path_gains"]["differ"]
    assert {one["mix"] for one in differ} == {7, 8} and len(differ) > 20
    for one in differ:
        assert one["to"] - one["from"] == pytest.approx(-2, abs=2e-3)
    out = compare(desk, reference).out
    assert out.count(": path gain ") == 20 and f"  and {len(differ) - 20} more: --all lists them" in out
    assert compare(desk, reference, "--all").out.count(": path gain ") == len(differ)


def test_what_is_off_on_both_sides_is_no_difference(tmp_path):
    desk = MockDesk()
    desk.move("/in/5/hp/on", "i", 0)
    reference = save(desk, tmp_path / "reference.json")
    desk.move("/in/5/hp/freq", "f", 0.5)
    page, status = page_of(desk, reference)
    assert status == 0, page["findings"]
    assert counts(page) == (0, 0, 0, 0, 0, 0) and page["kind_counts"]["asleep"] == 1
    assert [(one["parameter"], one["asleep"]) for one in page["moved"]] == [("input.high_pass.freq", True)]
    assert "Behind switches that are off on both sides: 1, --all lists them" in flat(compare(desk, reference).out)
    assert "input 5 Hat: high-pass corner " in flat(compare(desk, reference, "--all").out)
    # switched on it is one, and so is the switch
    desk.move("/in/5/hp/on", "i", 1)
    page, status = page_of(desk, reference)
    assert status == 1
    assert counts(page)[2] == 2 and page["kind_counts"]["asleep"] == 0


# ---- another offset ----

def test_another_preamp_offset_is_no_difference(stage):
    desk, reference = stage
    move_head(desk, 3, 33)  # from 30
    move_sends(desk, 3, {5: -11, 6: -6, 7: -9, 8: -3})
    page, status = page_of(desk, reference)
    assert status == 0, page["findings"]
    assert counts(page) == (0, 0, 0, 0, 0, 5)
    assert page["path_gains"]["differ"] == []
    [offset] = page["offsets"]
    assert offset["inputs"] == [3] and offset["recognised"] is True and offset["paths"] == 4
    says = "another offset: preamp 30 -> 33 dB, its sends 3 dB lower; all 4 path gains agree"
    assert offset["says"] == says
    assert all(one["folded"] for one in page["moved"]) and len(page["moved"]) == 5
    out = compare(desk, reference).out
    assert "\nAnother offset, no difference (1)\n" in out
    assert f"input 3 Snare Top: {says}" in flat(out)
    assert "Nothing differs in protection, structure, filters or routing." in flat(out)


def test_one_send_that_does_not_follow_is_never_hidden(stage):
    desk, reference = stage
    move_head(desk, 3, 33)
    move_sends(desk, 3, {5: -11, 6: -6, 7: -9, 8: -2.8})
    page, status = page_of(desk, reference)
    assert status == 1
    assert page["offsets"] == [] and counts(page)[1] == 5 and counts(page)[-1] == 0
    [path] = page["path_gains"]["differ"]
    assert (path["input"], path["mix"], path["from"]) == (3, 8, 30)
    assert path["to"] == pytest.approx(30.2, abs=2e-3)
    assert path["says"] == "path gain 30 -> 30.2 dB"


def test_trim_instead_of_sends(stage):
    desk, reference = stage
    move_head(desk, 11, 36)  # from 32
    desk.move("/in/11/trim", "f", -4.0)
    page, status = page_of(desk, reference)
    assert status == 0, page["findings"]
    [offset] = page["offsets"]
    assert offset["says"].startswith("another offset: preamp 32 -> 36 dB, trim 0 -> -4 dB; all ")


def test_inputs_of_one_preamp_are_one(tmp_path):
    desk = MockDesk()
    desk.move("/in/4/head/socket", "i", 3)
    move_head(desk, 4, 30)
    reference = save(desk, tmp_path / "reference.json")
    move_head(desk, 3, 31)
    move_head(desk, 4, 31)
    move_sends(desk, 3, {5: -9, 6: -4, 7: -7, 8: -1})
    page, status = page_of(desk, reference)
    assert status == 1 and page["offsets"] == []
    assert [(one["input"], one["mix"]) for one in page["path_gains"]["differ"]] == [(4, 8)]
    move_sends(desk, 4, {8: -3})
    page, status = page_of(desk, reference)
    assert status == 0, page["findings"]
    [offset] = page["offsets"]
    assert offset["inputs"] == [3, 4] and offset["paths"] == 5
    out = flat(compare(desk, reference).out)
    assert ("input 3 Snare Top, one preamp with input 4: another offset: preamp 30 -> 31 dB, its sends 1 dB lower; "
            "all 5 path gains agree") in out


def test_a_retrim_is_nothing_but_offsets(stage):
    """What `retrim` lists leaves every path alone; beside a reference from before it that shows."""
    desk, reference = stage
    follow(desk, run("retrim", SHOW, "--desk", desk.at, "--format", "json").json(), {"re-trim"})
    page, status = page_of(desk, reference)
    assert page["path_gains"]["differ"] == []
    assert counts(page)[:5] == (0, 0, 0, 0, 0)
    assert counts(page)[-1] == len(page["moved"]) > 15
    assert all(one["recognised"] for one in page["offsets"])
    assert sorted(one["inputs"] for one in page["offsets"]) == [[15], [16], [18]]
    vocal = [one["says"] for one in page["offsets"] if one.get("inputs") == [18]]
    assert len(vocal) == 1 and "preamp 42 -> 28 dB, its sends " in vocal[0]
    assert "compressor threshold -16 -> -30 dB" in vocal[0] and "meets a level" not in vocal[0]
    # the unused gain that it gave back is fixed, and nothing else became worse
    assert {one["check"] for one in page["findings"]["fixed"]} == {"unused-preamp-gain", "own-send-off-unity"}
    assert status == (1 if page["findings"]["new"] or page["findings"]["worse"] else 0)


def test_a_compressor_that_meets_another_level(stage):
    desk, reference = stage
    move_head(desk, 18, 40)
    move_sends(desk, 18, {1: -12, 2: -18, 3: -18, 4: -18, 5: -14, 7: -16, 8: -16})
    page, _ = page_of(desk, reference)
    [offset] = page["offsets"]
    assert offset["says"] == ("another offset: preamp 42 -> 40 dB, its sends 2 dB higher; all 7 path gains agree; "
                              "its compressor meets a level 2 dB lower")


def test_it_stands_in_for_the_desk(stage, tmp_path):
    """A student's saved desk beside the trainer's: no desk, no network."""
    desk, reference = stage
    move_head(desk, 7, 31)
    student = save(desk, tmp_path / "student.json")
    live, _ = page_of(desk, reference)
    desk.stop()
    result = run("compare", SHOW, "--saved", student, "--reference", reference, "--format=json")
    assert result.status == 1
    page = result.json()
    for key in ("reference", "moved", "path_gains", "offsets", "kind_counts", "findings"):
        assert page[key] == live[key], key


# ---- not known ----

def test_what_is_not_known_is_not_recognised(stage):
    desk, reference = stage

    def forget(saved):
        saved["values"]["send.level"]["values"][2][6] = None
        heard = saved["values"]["send.level"]["heard_s"]
        if isinstance(heard, list):
            heard[2][6] = None

    forge(reference, forget)
    page, status = page_of(desk, reference)
    assert status == 3 and page["path_gains"]["not_known"] == 1
    assert page["path_gains"]["first_not_known"] == {"side": "reference",
                                                     "why": "send.level of input 3, mix 7 was never heard"}
    move_head(desk, 3, 33)
    move_sends(desk, 3, {5: -11, 6: -6, 7: -9, 8: -3})
    page, status = page_of(desk, reference)
    assert status == 1 and counts(page)[-1] == 0
    [offset] = page["offsets"]
    assert offset["recognised"] is False and offset["not_known"]["side"] == "reference"
    out = flat(compare(desk, reference).out)
    assert "Perhaps another offset (1)" in out
    assert ("input 3 Snare Top: preamp 30 -> 33 dB; whether it is another offset alone is not known: in the "
            "reference: send.level of input 3, mix 7 was never heard") in out
    assert "send into mix 7 Bass IEM: not known in the reference" in out
    assert "when it was approved" not in out


def test_a_silent_desk_is_not_known(stage):
    silent = MockDesk(silent=1)
    page, status = page_of(silent, stage[1])
    assert status == 3
    assert page["moved"] == page["offsets"] == page["path_gains"]["differ"] == []
    assert page["path_gains"]["not_known"] == 24 * 8 and len(page["not_known"]) > 1000


def test_a_tap_that_no_profile_names_is_not_known(stage, tmp_path):
    """Neither side publishes it, so that no value is missing; yet no path gain is known."""
    desk, reference = stage
    profile = read_json(PROFILE)
    profile["values"] = [one for one in profile["values"] if "send.tap" not in json.dumps(one)]
    bare = demo_show(tmp_path, desk={"profile": str(write_json(tmp_path / "bare.json", profile))})
    reference.unlink()
    assert run("audit", bare, "--desk", desk.at, "--save", reference).status in (0, 1)
    result = run("compare", bare, "--desk", desk.at, "--reference", reference)
    assert result.status == 3
    assert "0 differ, 0 agree, " in result.out
    assert "in the reference: the profile does not name send.tap" in flat(result.out)


# ---- which files ----

def test_an_approved_desk_is_a_reference_too(tmp_path):
    desk = MockDesk()
    show = demo_show(tmp_path)
    assert run("approve", show, "--desk", desk.at, "--by", "Mara", "--note", "tour").status == 0
    approved = show.with_name("show.approved.json")
    move_head(desk, 7, 31)
    page = run("compare", show, "--desk", desk.at, "--reference", approved, "--format=json").json()
    assert page["reference"]["approved"] is True and page["reference"]["by"] == "Mara"
    out = run("compare", show, "--desk", desk.at, "--reference", approved).out
    assert re.search(r"beside the reference \S+, saved 20\S+, approved 20\S+ by Mara: tour", flat(out))
    # the page beside the approved desk lists no path gains
    page = run("compare", show, "--desk", desk.at, "--format=json").json()
    assert page["approved"]["by"] == "Mara" and not {"reference", "path_gains", "kind_counts"} & set(page)
    assert page["moved"][0]["kind"] == "structure" and page["moved"][0]["class"] == "gain"
    # a saved desk was not approved, and only a reference need not be
    saved = save(desk, tmp_path / "saved.json")
    result = run("compare", show, "--desk", desk.at, "--approved", saved)
    assert result.status == 2 and "saved, not approved" in result.err


def test_one_file_at_a_time(stage):
    desk, reference = stage
    result = compare(desk, reference, "--approved", reference)
    assert result.status == 2 and result.out == ""
    assert "--reference and --approved exclude each other: one page compares with one file" in result.err


def test_only_compare_takes_a_reference(stage):
    result = run("audit", SHOW, "--reference", stage[1])
    assert result.status == 2 and "unknown option --reference" in result.err
    assert "--reference=FILE" in run("compare", "--help").out


@pytest.mark.parametrize("damage, told", [
    (lambda text: text[:len(text) // 2], r":\d+:\d+: "),
    (lambda text: text.replace('"Kick In"', '"Kick Out"'), "digest: does not fit the text"),
    (lambda text: text.replace('"saved_format": 1', '"saved_format": 2'), "this version reads format 1"),
    (lambda text: "[]", "must be an object"),
    (lambda text: "", ""),
    (lambda text: "\0" * 100, ""),
    (lambda text: PROFILE.read_text(), "is a profile, must be a saved desk"),
    (lambda text: STATE.read_text(), "saved_format: is missing"),
    (lambda text: "[" * 100000, ""),
])
def test_a_damaged_or_foreign_reference_is_an_error(stage, damage, told):
    desk, reference = stage
    reference.write_text(damage(reference.read_text()))
    for words in ((), ("--format=json",)):
        result = compare(desk, reference, *words)
        assert result.status == 2 and result.out == ""
        assert re.search(re.escape(str(reference)) + ".*" + told, result.err), result.err
        assert "nothing to compare with; `gainwarden audit --save=FILE` stores it" in result.err


def test_a_reference_that_is_not_there(stage, tmp_path):
    desk, _ = stage
    missing = compare(desk, tmp_path / "none.json")
    assert missing.status == 2 and "none.json: cannot read: No such file or directory" in missing.err
    folder = compare(desk, tmp_path)
    assert folder.status == 2 and f"{tmp_path}: cannot read" in folder.err


def test_each_count_that_differs_is_named(stage, tmp_path):
    desk, reference = stage
    profile = read_json(PROFILE)
    profile["counts"].update({"mix": 6, "mix.graphic.band": 10, "group": 2})
    other = write_json(tmp_path / "other.json", profile)
    result = run("compare", "--profile", other, "--desk", desk.at, "--reference", reference)
    assert result.status == 2 and result.out == ""
    for told in ("counts.mix: is 8, but the profile has 6", "counts.group: is 4, but the profile has 2",
                 "counts.mix.graphic.band: is 31, but the profile has 10"):
        assert f"{reference}: {told}" in result.err, result.err


def test_names_of_another_desk_are_told_and_escaped(stage):
    desk, reference = stage

    def rename(saved):
        saved["desk"] = "Tour desk \x1b[31m <script>"
        saved["values"]["input.name"]["values"][0] = "\x1b]0;x\x07"

    forge(reference, rename)
    result = compare(desk, reference, "--all")
    assert result.status == 0  # a label alone is no difference
    assert "the reference is of another desk: Tour desk " in result.out
    assert "\x1b" not in result.out and "\x07" not in result.out
    page, _ = page_of(desk, reference)
    assert page["reference"]["desk"] == "Tour desk \x1b[31m <script>"
