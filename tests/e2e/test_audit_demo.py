# SPDX-License-Identifier: MIT
"""The demo show, read from a running desk: each mistake that was planted in it is found with its
figures, nothing else is, and the report keeps to its contract.

Figures are worked out here from the desk's state file and from published formulas.
"""
import cmath
import functools
import math
import re

import pytest

from harness import (CHECKS, PLAN, PROFILE, QUESTIONS, SHOW, STATE, MockDesk, audit, demo_audit,
                     demo_show, entries, fader_wire, finding, findings, flat, read_json, run, write_json)

PLANTED = [
    ("unused-preamp-gain", "fix", {"input": 18}),
    ("too-many-cuts", "fix", {"mix": 2}),
    ("high-pass-missing", "fix", {"input": 5}),
    ("high-pass-missing", "fix", {"input": 20}),
    ("master-off-unity", "fix", {"mix": 3}),
    ("unused-preamp-gain", "note", {"input": 15}),
    ("too-many-cuts", "note", {"mix": 4}),
    ("high-pass-low", "note", {"input": 19}),
    ("high-pass-high", "note", {"input": 17}),
    ("own-send-off-unity", "note", {"input": 16}),
    ("send-follows-fader", "note", {"mix": 1}),
]

# What the checks besides these eight find. A check that is added finds its mistakes in the demo, too.
PLANTED_FOR_OTHER_CHECKS = [
    ("ears-unprotected", "stop", {"mix": 8}),
    ("open-microphones", "note", {"mix": 5}),
    ("phantom-mismatch", "note", {"input": 23}),
    ("loop-margin", "note", {"mix": 5}),  # the announcer stands before the side-fill, and faces it
    ("microphone-aim", "note", {"input": 23}),
]

STATE_JSON = read_json(STATE)
INPUTS, MIXES = STATE_JSON["inputs"], STATE_JSON["mixes"]


def loudest(input_number):
    return max(level for level in INPUTS[input_number - 1]["send_levels"] if level != "-inf")


def butterworth_loss(corner, frequency, slope):
    """dB that a Butterworth high-pass of slope / 6 dB per octave takes off."""
    return 10 * math.log10(1 + (corner / frequency) ** (2 * slope / 6))


def test_exactly_the_planted_mistakes():
    report, result = demo_audit()

    assert [one for one in findings(report) if one[0] in CHECKS] == PLANTED
    assert [one for one in findings(report) if one[0] not in CHECKS] == PLANTED_FOR_OTHER_CHECKS
    assert result.status == 1
    assert report["not_known"] == []


@pytest.mark.parametrize("number", [18, 15])
def test_unused_preamp_gain(number):
    report, _ = demo_audit()
    found = finding(report, "unused-preamp-gain", input=number)
    gain, send = INPUTS[number - 1]["gain"], loudest(number)
    surplus = -send  # masters, trims at 0 dB, taps pre-fader: what the send takes away again

    assert (number, surplus, gain - surplus) in [(18, 14, 28), (15, 8, 28)]
    assert found["figures"] == {
        "surplus_db": surplus,
        "preamp_db": gain,
        "preamp_after_db": gain - surplus,
        "loudest_send_db": send,
        "loudest_after_preamp_db": send,
        "headroom_regained_db": surplus,
        # the fader law of the profile ends at +10 dB
        "send_to_top_raises_db": 10 - send,
        "send_to_top_raises_after_db": 10,
        "lowest_preamp_db": -4,  # where the profile's law of preamps begins
    }
    assert found["labels"] == {"input": INPUTS[number - 1]["name"]}
    # its card takes it off the preamp and gives it to the sends: the loop gain stays the same
    card = report["cards"][found["card"] - 1]
    assert found["do"] == f"card {card['number']}" and card["gives_db"] == surplus and card["louder_db"] == 0
    moves = {(move["parameter"], move["mix"]): move["set_to"] - move["now"] for move in card["moves"]}
    assert moves["input.preamp_gain", None] == -surplus
    assert {by for (name, mix), by in moves.items() if name == "send.level"} == {surplus}


def cuts(mix):
    return MIXES[mix - 1]["graphic"]["cuts"]


THIRD_OCTAVES = [20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000,
                 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000]


def graphic_power(settings, frequency, rate=48000):
    """What peaking filters a third of an octave wide, one per cut, pass of the power at a frequency.

    R. Bristow-Johnson, Cookbook formulae for audio equalizer biquad filter coefficients; evaluated
    on the unit circle in complex numbers.
    """
    z = cmath.exp(-2j * math.pi * frequency / rate)
    power = 1.0
    for name, gain in settings.items():
        centre = 1000 * 10 ** ((THIRD_OCTAVES.index(float(name)) - 17) / 10)
        w0 = 2 * math.pi * centre / rate
        # alpha from the bandwidth, without the digital correction of the bandwidth
        alpha = math.sin(w0) * math.sinh(math.log(2) / 2 / 3)
        a = 10 ** (gain / 40)
        over = (1 + alpha * a) - 2 * math.cos(w0) * z + (1 - alpha * a) * z * z
        under = (1 + alpha / a) - 2 * math.cos(w0) * z + (1 - alpha / a) * z * z
        power *= abs(over / under) ** 2
    return power


# ANSI S3.5-1997, table 3: standard speech spectrum level at normal effort, 160 Hz to 8 kHz (read in copies)
SPEECH_DB = dict(zip(THIRD_OCTAVES[9:], [
    32.41, 34.48, 34.75, 33.98, 34.59, 34.27, 32.06, 28.3, 25.01, 23.0, 20.15, 17.32, 13.18, 11.55,
    9.33, 5.31, 2.59, 1.13]))


def level_losses(settings):
    """Level that pink noise and speech lose, with each third octave looked at in 60 places."""
    pink = speech = speech_total = 0
    for index, band in enumerate(THIRD_OCTAVES):
        exact = 1000 * 10 ** ((index - 17) / 10)
        # beyond the Nyquist frequency of the filters nothing is defined
        places = [min(exact * 10 ** (((i + 0.5) / 60 - 0.5) / 10), 23500) for i in range(60)]
        passed = sum(graphic_power(settings, place) for place in places) / 60
        pink += passed / len(THIRD_OCTAVES)
        if band in SPEECH_DB:
            share = 10 ** (SPEECH_DB[band] / 10) * exact  # the band is wide as its centre is high
            speech += share * passed
            speech_total += share
    return -10 * math.log10(pink), -10 * math.log10(speech / speech_total)


@pytest.mark.parametrize("mix, count, at_stop", [(2, 9, 1), (4, 7, 0)])
def test_too_many_cuts(mix, count, at_stop):
    report, _ = demo_audit()
    found = finding(report, "too-many-cuts", mix=mix)
    pink, speech = level_losses(cuts(mix))

    assert count == len(cuts(mix))
    assert at_stop == sum(gain == -12 for gain in cuts(mix).values())
    assert found["figures"]["cuts_count"] == count
    assert found["figures"]["at_end_stop_count"] == at_stop
    # a band is looked at in fewer places by the program: a few hundredths of a dB
    assert found["figures"]["pink_level_loss_db"] == pytest.approx(pink, abs=0.05)
    assert found["figures"]["speech_level_loss_db"] == pytest.approx(speech, abs=0.05)
    assert found["says"].startswith(f"{count} cuts" + (", 1 band at the end stop, turned" if at_stop else ""))
    # only so many are to go that fewer than seven stay, the shallowest first
    named = re.findall(r"(\d+) Hz \((-\d+) dB\)", found["do"])
    assert len(named) == count - 6
    assert all(cuts(mix)[name] == int(gain) == -3 for name, gain in named)


def test_masters():
    report, _ = demo_audit()
    found = finding(report, "master-off-unity", mix=3)

    assert MIXES[2]["fader"] == -8
    assert found["figures"] == {"off_unity_db": 8, "master_db": -8}
    assert found["do"].startswith("if a hand slipped, put the master back and move nothing else; if not, ")


def test_accepted_master():
    report, _ = demo_audit()
    accept = read_json(SHOW)["accept"][0]
    (found,) = report["accepted"]

    assert MIXES[4]["fader"] == 1.5 <= accept["up_to"]
    assert (found["check"], found["object"]) == ("master-off-unity", {"mix": 5})
    assert found["figures"] == {"off_unity_db": 1.5, "master_db": 1.5}
    assert (found["why"], found["by"]) == (accept["why"], accept["by"])


def test_an_accepted_finding_comes_back_when_it_is_worse(desk):
    desk.move("/mix/5/fader", "f", fader_wire(2.5))  # accepted up to 2 dB

    report, _ = audit(desk)

    assert finding(report, "master-off-unity", mix=5)["figures"]["master_db"] == 2.5
    assert report["accepted"] == []


@pytest.mark.parametrize("number, low, high", [(5, 150, 500), (20, 100, 180)])
def test_high_pass_missing(number, low, high):
    report, _ = demo_audit()
    found = finding(report, "high-pass-missing", input=number)

    assert INPUTS[number - 1]["high_pass"]["on"] is False
    assert found["figures"] == {"usual_corner_low_hz": low, "usual_corner_high_hz": high}
    assert "open into a loudspeaker mix" in found["says"]


def test_high_pass_low():
    report, _ = demo_audit()
    found = finding(report, "high-pass-low", input=19)
    corner = INPUTS[18]["high_pass"]["freq"]
    slope = STATE_JSON["defaults"]["input"]["high_pass"]["slope"]

    assert (corner, slope) == (40, 18)
    assert found["figures"]["corner_hz"] == 40
    assert found["figures"]["octaves_under"] == pytest.approx(math.log2(100 / 40), abs=0.0006)
    for frequency in (40, 63, 100):
        assert found["figures"][f"loss_at_{frequency}_hz_db"] == pytest.approx(
            butterworth_loss(corner, frequency, slope), abs=0.0006)


def test_high_pass_high():
    report, _ = demo_audit()
    found = finding(report, "high-pass-high", input=17)
    high_pass = INPUTS[16]["high_pass"]
    lowest = 440 * 2 ** (-25 / 12)  # the tenor saxophone's A flat 2, 25 half tones under A4
    loss = butterworth_loss(high_pass["freq"], lowest, high_pass["slope"])

    assert (round(lowest, 1), round(loss, 1)) == (103.8, 29.1)
    assert found["figures"]["corner_hz"] == 240
    assert found["figures"]["lowest_note_hz"] == pytest.approx(lowest, abs=0.0006)
    assert found["figures"]["loss_at_lowest_note_db"] == pytest.approx(loss, abs=0.002)
    assert butterworth_loss(found["figures"]["one_db_corner_hz"], lowest,
                            high_pass["slope"]) == pytest.approx(1, abs=0.001)
    assert "takes 29.1 dB off the lowest note of a tenor-sax source (103.8 Hz)" in found["says"]


def test_own_send():
    report, _ = demo_audit()
    found = finding(report, "own-send-off-unity", input=16)

    assert INPUTS[15]["send_levels"][3] == 5
    assert found["figures"] == {"off_unity_db": 5, "own_send_db": 5, "preamp_db": INPUTS[15]["gain"]}
    assert found["shows_in_mix"] == 4


def test_sends_behind_a_fader():
    report, _ = demo_audit()
    found = finding(report, "send-follows-fader", mix=1)
    behind = [one["name"] for one in INPUTS
              if {"mix": 1, "tap": "post-fader"} in one.get("sends", []) and one["fader"] != 0]

    assert behind == ["Keys L", "Keys R"]
    assert found["figures"] == {"sends_count": 2, "one_send_db": INPUTS[12]["send_levels"][0],
                                "its_fader_db": INPUTS[12]["fader"]}
    assert "input 13 Keys L, 14 Keys R" in found["says"]


# ---- the report's contract ----

@functools.cache
def explained():
    """The ids that `explain` lists."""
    ids = re.findall(r"^  ([a-z]+(?:-[a-z]+)+)$", run("explain").out, re.M)
    assert set(CHECKS) <= set(ids)
    return ids


def check_object(item):
    assert set(item) <= {"input", "mix", "band"}
    assert all(type(number) is int and number >= 1 for number in item.values())


def check_worked(item):
    """The worked example is of this case: it holds a number that the report names as a figure."""
    assert item["worked"].endswith(".") and "..." not in item["worked"]
    written = {abs(float(number)) for number in re.findall(r"\d+(?:\.\d+)?", item["worked"])}
    assert {round(abs(number), 1) for number in item["figures"].values()} & written, item


def check_finding(item):
    assert {"check", "weight", "object", "labels", "figures", "says", "do", "worked"} <= set(item)
    assert set(item) <= {"check", "weight", "object", "labels", "figures", "says", "do", "card", "worked",
                         "inferred", "shows_in_mix", "player", "player_inferred", "why", "by"}
    assert item["check"] in explained()
    assert item["weight"] in ("note", "fix", "stop")
    check_object(item["object"])
    assert set(item["labels"]) <= {"input", "mix"}
    assert all(type(label) is str for label in item["labels"].values())
    for name, number in item["figures"].items():
        assert re.search(r"_(db|hz|count|v|m|input|degrees)(_|$)|octaves|ratio|filter_order", name), name
        assert type(number) in (int, float)
    assert item["says"] and item["do"]
    check_worked(item)
    assert item.get("inferred", True) is True


def check_contract(report):
    assert report["report_format"] == 1
    for key in ("desk", "show", "at"):
        assert type(report[key]) is str
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)", report["at"])
    for item in report["findings"] + report["accepted"]:
        check_finding(item)
    for item in report["not_known"]:
        assert set(item) == {"check", "object", "why"}
        check_object(item["object"])
        assert item["why"]
    assert list(report["passed"]) == explained()
    assert all(type(count) is int for count in report["passed"].values())
    assert {"asked", "heard", "asked_again", "asked_beside", "never_came", "rejected", "unread",
            "took_ms"} <= set(report["link"])
    assert set(report["link"]) <= {"asked", "heard", "asked_again", "asked_beside", "never_came", "rejected", "unread",
                                   "took_ms", "error"}
    assert all(type(report["link"][key]) is int for key in
               ("asked", "heard", "asked_again", "asked_beside", "never_came", "took_ms"))
    assert all(type(count) is int for count in report["link"]["rejected"].values())
    for place, card in enumerate(report["cards"]):
        assert set(card) == {"number", "kind", "input", "mix", "moves", "gives_db", "louder_db", "rests_on",
                             "watch_meter"}
        assert card["number"] == place + 1 and card["moves"] and all(rest <= place for rest in card["rests_on"])
    # what is there besides the contract; others may count on it not changing unseen
    assert set(report) == {"report_format", "desk", "show", "at", "findings", "accepted",
                           "not_known", "passed", "link", "told_by_another", "muted_or_sent_nowhere",
                           "accepts_without_effect", "taken_as_absent", "without_end_stops",
                           "cards", "stopped", "small_cards", "asks_role"}


@pytest.mark.parametrize("half", [0, 1])
def test_json_contract(half):
    desk = MockDesk(half=half)
    report, result = audit(desk, "--within", "2")

    check_contract(report)
    # json() has read all of standard output: the report stands alone on it
    assert result.out.startswith("{") and result.out.endswith("}\n")
    assert report["desk"] == f"Barn monitor desk at 127.0.0.1 port {desk.port}"
    assert report["show"] == "Ostrel Barn, Saturday"
    assert bool(report["not_known"]) == bool(half)


def test_at_carries_the_local_zone(desk):
    report, _ = audit(desk, env={"TZ": "XYZ-5:30"})  # POSIX: 5:30 east of Greenwich

    assert report["at"].endswith("+05:30")


def test_what_passed_is_counted():
    report, _ = demo_audit()
    # inputs and mixes that the show file gives a kind to which the check applies
    sources = [one["source"] for one in read_json(SHOW)["inputs"].values()]
    free = {"kick", "floor-tom", "bass", "keys", "playback"}  # may go without a high-pass
    wanting = sum(source not in free for source in sources)

    # inputs 13 and 14 have 6 dB too much because of the master of mix 3, which is told instead
    assert report["passed"]["unused-preamp-gain"] == 24 - 2 - 2
    assert report["told_by_another"]["unused-preamp-gain"] == 2
    assert report["passed"]["too-many-cuts"] == 6 - 2  # not the two in-ear mixes
    assert report["passed"]["high-pass-missing"] == wanting - 2
    assert report["passed"]["high-pass-low"] == wanting - 2 - 1  # those that are on
    assert report["passed"]["high-pass-high"] == wanting - 2 - 1
    assert report["passed"]["master-off-unity"] == 8 - 2
    assert report["passed"]["send-follows-fader"] == 8 - 1


def test_the_same_desk_gives_the_same_report_twice(desk):
    reports = [audit(desk)[0] for _ in range(3)]
    for report in reports:  # how long it took, and what was asked once more when the desk was slow
        for word in ("took_ms", "asked_again", "asked_beside"):
            del report["link"][word]
        del report["at"]

    assert reports[0] == reports[1] == reports[2]


def test_the_order_of_the_answers_changes_nothing(desk):
    still, _ = audit(desk)
    shuffled, _ = audit(MockDesk(reorder=0.5, duplicate=0.3, seed=7))

    for key in ("findings", "accepted", "passed", "not_known"):
        assert shuffled[key] == still[key]


# ---- the page ----

def page(desk, *words):
    result = run("audit", SHOW, "--desk", desk.at, *words)
    assert result.err == ""
    return result.out, result.status


def test_the_page_leads_with_what_is_to_fix(desk):
    out, status = page(desk)

    assert status == 1
    assert re.match(rf"Ostrel Barn, Saturday: Barn monitor desk at 127.0.0.1 port {desk.port}, \S+ "
                    rf"{QUESTIONS} of {QUESTIONS} questions answered in ", flat(out))
    weights = [weight for _, weight, _ in findings(demo_audit()[0])]
    fix, note = weights.count("fix"), weights.count("note")
    assert out.index(f"\nFix before doors ({fix})\n") < out.index(f"\nNote ({note})\n")
    # grouped by player, the two vocal inputs of one player under one heading in each part
    assert out.count("\n  lead vocal\n") == 2
    assert out.index("\nNote (") < out.index("\nAccepted in the show file\n")
    assert [one for one in entries(out, 4) if one.startswith("input 18 Ld Vox: preamp at 42 dB")]
    assert "Loud stages damage hearing".lower() in flat(out).lower()


def told_on(out):
    return re.findall(r"\[([a-z-]+)\]", out)


def test_at_most_nine_findings(desk):
    out, _ = page(desk)

    assert len(told_on(out)) == 9
    assert f"\nand {len(demo_audit()[0]['findings']) - 9} more: --all lists them\n" in out


def test_all_of_them(desk):
    out, status = page(desk, "--all")

    assert sorted(told_on(out)) == sorted(check for check, _, _ in findings(demo_audit()[0]))
    assert "more: --all" not in out
    assert status == 1


def test_the_page_says_what_was_accepted(desk):
    out, _ = page(desk)

    assert ("mix 5 Side-fill, master-off-unity (off_unity_db 1.5): the side-fill amplifier is 1.5 dB "
            "short of the other side") in flat(out)


# ---- no show file ----

def test_without_a_show_file(desk):
    report, result = audit(desk, "--profile", PROFILE, show=None)
    by_label = {(one["check"], *one["object"].items()): one for one in report["findings"]}

    assert result.status == 1
    assert report["show"] == ""
    assert report["not_known"] == []
    # the same mistakes, but the master that nobody accepts now, and the taps asked about once
    expected = [one for one in PLANTED if one[0] != "send-follows-fader"]
    expected += [("master-off-unity", "fix", {"mix": 5}), ("send-follows-fader", "note", {})]
    found = [one for one in findings(report) if one[0] in CHECKS]
    assert sorted(map(str, found)) == sorted(map(str, expected))
    assert by_label["send-follows-fader",]["figures"] == {
        "sends_count": 4 // 2, "mixes_count": 1, "one_send_db": INPUTS[12]["send_levels"][0],
        "its_fader_db": INPUTS[12]["fader"]}
    # what rests on a label says so; what does not rest on one does not
    for key, one in by_label.items():
        if key[0] in CHECKS:
            assert one.get("inferred", False) == (
                key[0].startswith("high-pass") or
                key[0] in ("too-many-cuts", "own-send-off-unity")), key
    assert by_label["too-many-cuts", ("mix", 2)]["player"] == "Gtr"
    assert by_label["too-many-cuts", ("mix", 2)]["player_inferred"] is True


def test_the_page_marks_what_was_inferred(desk):
    result = run("audit", "--profile", PROFILE, "--desk", desk.at, "--all")
    assert result.out.startswith("Barn monitor desk at 127.0.0.1 port ")

    assert result.status == 1
    assert "\n  Gtr (name taken from the label)\n" in result.out
    assert "and it is open into a loudspeaker mix. (Kind taken from the label.) [high-pass-missing]" in flat(result.out)


# ---- everything mended ----

def mended():
    """The demo's state with each planted mistake put right the way the report says."""
    state = read_json(STATE)
    inputs, mixes = state["inputs"], state["mixes"]
    for number, surplus in ((18, 14), (15, 8)):
        one = inputs[number - 1]
        one["gain"] -= surplus
        one["send_levels"] = [level if level == "-inf" else level + surplus
                              for level in one["send_levels"]]
    mixes[1]["graphic"]["cuts"] = {"250": -6, "630": -6, "1000": -6, "1600": -6, "4000": -6}
    del mixes[3]["graphic"]["cuts"]["200"]
    mixes[2]["fader"] = 0
    for one in inputs:  # down by as much, so that nothing gets louder
        if one["send_levels"][2] != "-inf" and one["name"] not in ("Keys L", "Keys R", "BV 2"):
            one["send_levels"][2] -= 8
    inputs[4]["high_pass"]["on"] = True
    inputs[19]["high_pass"]["on"] = True
    inputs[18]["high_pass"]["freq"] = 100
    inputs[16]["high_pass"]["freq"] = 100
    inputs[15]["gain"] += 5
    inputs[15]["send_levels"] = [level if level == "-inf" else level - 5
                                 for level in inputs[15]["send_levels"]]
    inputs[12]["fader"] = inputs[13]["fader"] = 0
    mixes[7]["limiter"]["on"] = True
    inputs[22]["phantom"] = False
    for number in (1, 3):  # two microphones less in the side-fill
        inputs[number - 1]["send_levels"][4] = "-inf"
    return state


def mended_stage(folder):
    """The demo's show on its stage with the announcer turned away from a softer side-fill."""
    plan = read_json(PLAN)
    plan["microphones"][-1]["faces"] = [-4.45, 0.65, 1.6]
    for one in plan["loudspeakers"]:
        if not one.get("house"):
            one["amplifier_db"] -= 8 if one["mixes"] == [5] else 2
    write_json(folder / "plan.json", plan)
    return demo_show(folder, desk={"profile": str(PROFILE), "host": "127.0.0.1", "role": "monitor", "stage": "plan.json"})


def test_a_mended_desk_is_clean(tmp_path):
    desk = MockDesk(write_json(tmp_path / "state.json", mended()))
    show = mended_stage(tmp_path)
    report, result = audit(desk, show=show)

    assert findings(report) == []
    assert report["not_known"] == []
    assert [one["object"] for one in report["accepted"]] == [{"mix": 5}]
    assert result.status == 0

    text = run("audit", show, "--desk", desk.at)
    assert text.status == 0
    assert "\nNo findings.\n" in text.out


def test_notes_alone_are_not_a_failure(tmp_path):
    state = mended()
    state["inputs"][15]["send_levels"][3] = 4
    report, result = audit(MockDesk(write_json(tmp_path / "state.json", state)), show=mended_stage(tmp_path))

    assert findings(report) == [("own-send-off-unity", "note", {"input": 16})]
    assert result.status == 0


def test_accepts_that_do_nothing_are_listed(desk, tmp_path):
    show = demo_show(tmp_path, accept=[
        {"check": "master-off-unity", "mix": 1, "why": "nothing there"},
        {"check": "master-off-unity", "mix": 3, "why": "was agreed", "until": "2001-01-31"}])
    report, _ = audit(desk, show=show)

    assert report["accepts_without_effect"] == [
        {"accept": 0, "check": "master-off-unity", "because": "matches-nothing"},
        {"accept": 1, "check": "master-off-unity", "because": "ended"}]
    assert finding(report, "master-off-unity", mix=3)["weight"] == "fix"
    text = run("audit", show, "--desk", desk.at)
    assert "accept[0] master-off-unity: nothing matches this accepted item any more (nothing there)" in flat(text.out)
    assert "accept[1] master-off-unity: has ended; its findings count again (was agreed)" in flat(text.out)


def test_show_file_settings_move_the_bounds(desk, tmp_path):
    show = demo_show(tmp_path, checks={"unused-preamp-gain": {"note_db": 9, "fix_db": 20},
                                       "own-send-off-unity": "off"})
    report, _ = audit(desk, show=show)

    told = findings(report)
    assert ("unused-preamp-gain", "note", {"input": 18}) in told  # 14 dB: a note now
    assert ("unused-preamp-gain", "note", {"input": 15}) not in told  # 8 dB: under 9
    assert not any(check == "own-send-off-unity" for check, _, _ in told)


def test_profile_on_the_command_line_wins(desk, tmp_path):
    """--profile in place of the show file's, which does not exist here."""
    show = demo_show(tmp_path, desk={"profile": "not-there.json", "host": "127.0.0.1",
                                     "role": "monitor", "stage": str(PLAN)})
    report, _ = audit(desk, "--profile", PROFILE, show=show)

    assert findings(report) == findings(demo_audit()[0])


def test_host_and_port_of_the_show_file(desk, tmp_path):
    show = demo_show(tmp_path, desk={"profile": str(PROFILE), "host": "127.0.0.1",
                                     "port": desk.port, "role": "monitor", "stage": str(PLAN)})
    result = run("audit", show, "--format=json")

    assert findings(result.json()) == findings(demo_audit()[0])


def test_a_desk_of_house_role(desk, tmp_path):
    show = demo_show(tmp_path, desk={"profile": str(PROFILE), "host": "127.0.0.1", "role": "house"})
    report, _ = audit(desk, show=show)
    found = finding(report, "send-follows-fader", mix=1)

    assert found["weight"] == "fix"
    assert "follow the house fader" in found["says"]


def test_what_the_show_declares_of_microphone_limiter_and_tuning(tmp_path):
    """A dynamic microphone with 48 V, a limiter in the transmitter, a wedge tuned on the desk."""
    show = read_json(SHOW)
    show["desk"].update(profile=str(SHOW.parent / "barn-desk.json"), stage=str(PLAN))
    show["mixes"]["8"]["limiter"] = "transmitter"
    del show["inputs"]["23"]["microphone"]
    report, _ = audit(MockDesk(), show=write_json(tmp_path / "show.json", show))
    assert not [one for one in findings(report) if one[0] in ("ears-unprotected", "phantom-mismatch")]

    show["mixes"]["8"]["limiter"] = "none"
    show["mixes"]["1"]["tuned_in"] = "room"
    show["inputs"]["23"]["microphone"] = "condensor"
    path = write_json(tmp_path / "bad.json", show)
    result = run("check", path)
    assert result.status == 2
    assert result.err.splitlines() == [
        f"gainwarden: {path}: inputs.23.microphone: is \"condensor\"; allowed are dynamic, ribbon, "
        "condenser, active-di, line",
        f"gainwarden: {path}: mixes.1.tuned_in: is \"room\"; allowed are \"desk\" and \"amplifier\"",
        f"gainwarden: {path}: mixes.8.limiter: is \"none\"; allowed are \"transmitter\" and \"desk\""]
