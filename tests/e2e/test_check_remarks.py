# SPDX-License-Identifier: MIT
"""What `gainwarden check` says of a profile that is good and may yet be wrong, or poorer than it need be."""
import functools
import re

import pytest

from harness import PROFILE, ROOT, read_json, run, write_json

STARTER = ROOT / "contrib" / "demo" / "starter.json"


def profile_of(folder, *values, **more):
    return write_json(folder / "p.json", {
        "profile_format": 1, "desk": "Small", "link": {"transport": "udp", "port": 9100},
        "counts": {"input": 3, "mix": 2}, "values": list(values), **more})


def remarks(path):
    """The lines behind what is sent; a good profile stays one."""
    result = run("check", path)
    assert result.err == "" and result.status == 0
    return [line for line in result.out.splitlines()[1:] if not re.match(r"    |  sends|  agreed", line)]


def said(path):
    """The same without what is not given."""
    return [line for line in remarks(path) if not re.match("  (not given|taken as absent)", line)]


# ---- entries in vain ----

TRIM = {"at": "/in/{input}/trim", "is": "input.trim"}


def test_a_second_entry_for_the_same_message(tmp_path):
    path = profile_of(tmp_path, TRIM, {"at": "/m/{mix}", "is": "mix.fader"}, {**TRIM, "range": [-10, 10]})

    assert said(path) == ["  values[2] can never be reached: values[0] takes the same message for the same value"]


def test_a_copy_with_its_old_address(tmp_path):
    """The commonest slip: an entry copied, its parameter changed, its address forgotten."""
    path = profile_of(tmp_path, TRIM, {**TRIM, "is": "input.fader"})

    assert said(path) == ["  values[1] takes the same argument of the same message as values[0]: "
                          "here it is input.fader, there input.trim"]


def test_texts_that_are_no_texts(tmp_path):
    path = profile_of(tmp_path, {"answer": ["/v", "trim", "{input}", {"is": "input.trim"}], "untyped": "iif"})

    assert said(path) == ["  values[0] can never be reached: a text that must be in its answer is no text by "
                          "\"untyped\", or a number no number"]


@pytest.mark.parametrize("path", [PROFILE, STARTER, *sorted((ROOT / "contrib" / "dialects").glob("*.json"))],
                         ids=lambda path: path.stem)
def test_what_ships_has_no_entry_in_vain(path):
    assert said(path) == (["  no answer's address begins with /: few desks speak so, see that yours does"]
                          if path.stem == "bare-addresses" else [])


# ---- addresses ----

def test_one_address_lost_its_slash(tmp_path):
    path = profile_of(tmp_path, TRIM, {"at": "in/{input}/fader", "is": "input.fader"},
                      {"ask": ["/ask", "{mix}"], "answer": ["m/{mix}", {"is": "mix.fader"}]})

    assert said(path) == ["  values[1] in/{input}/fader <input.fader>: its address has no / before it, and others have one",
                          "  values[2] m/{mix} <mix.fader>: its address has no / before it, and others have one"]


def test_many_addresses_without_a_slash_are_counted(tmp_path):
    names = ["trim", "pad", "fader", "mute", "level", "phantom", "polarity"]
    path = profile_of(tmp_path, {"at": "/m/{mix}", "is": "mix.fader"},
                      *[{"at": f"in/{{input}}/{name}", "is": f"input.{name}"} for name in names])
    lines = said(path)

    assert len(lines) == 6
    assert lines[5] == "  and 2 more addresses without /"


# ---- what the checks need ----

@functools.cache
def reads():
    """Parameter -> the checks that read it on a desk without spectra, from what is explained of each."""
    found = {}
    for check in set(re.findall(r"^  ([a-z]+(?:-[a-z]+)+)$", run("explain").out, re.M)) - {"mix-ringing"}:
        listed = re.search(r"^Reads\n((?:  .*\n)+)", run("explain", check).out, re.M).group(1)
        for name in set(re.findall(r"[a-z]+\.[a-z_.]+", listed)):
            found.setdefault(name, set()).add(check)
    return found


def told(path, lead):
    line = next(line for line in remarks(path) if line.startswith(f"  {lead}"))
    return {name: int(count) for name, count in re.findall(r"([a-z]+\.[a-z_.]+) \((\d+)\)", line)}


def test_what_is_not_given_is_all_that_is_read():
    """Of the profile to start from: each parameter that a check reads is given or told, with the number of
    the checks; on top what most of them rest on."""
    given = {entry["is"] for entry in read_json(STARTER)["values"]}
    missing, absent = told(STARTER, "not given"), told(STARTER, "taken as absent")
    known = {"mix.graphic.band.freq"}  # 31 bands stand where they always do
    groups = {name for name in reads() if name.startswith("group.") or name == "input.group"}  # it counts none

    assert missing.keys() | absent.keys() == reads().keys() - given - known - groups
    assert not missing.keys() & absent.keys()
    assert all(count == len(reads()[name]) for name, count in (missing | absent).items())
    assert list(missing)[:3] == ["input.fader", "send.tap", "input.mute"]


def test_spectra_that_are_counted_have_their_check(tmp_path):
    """It reads the delay of a mix as one check more."""
    starter = read_json(STARTER)
    without = told(STARTER, "taken as absent")["mix.delay"]
    starter["counts"]["mix.spectrum.band"] = 31

    assert told(write_json(tmp_path / "p.json", starter), "taken as absent")["mix.delay"] == without + 1


def test_what_is_given_is_not_told(tmp_path):
    starter = read_json(STARTER)
    starter["values"].append({"at": "/in/{input}/fader", "is": "input.fader", "law": "fader"})
    starter["fixed"] = {"send.tap": "post-fader"}
    missing = told(write_json(tmp_path / "p.json", starter), "not given")

    assert missing.keys() == told(STARTER, "not given").keys() - {"input.fader", "send.tap"}


def test_groups_that_are_counted_are_needed(tmp_path):
    starter = read_json(STARTER)
    starter["counts"]["group"] = 2
    path = write_json(tmp_path / "p.json", starter)

    assert "group.fader" in told(path, "not given")
    assert "input.group" in told(path, "taken as absent")
