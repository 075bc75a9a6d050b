# SPDX-License-Identifier: MIT
"""The words on the command line: help, version, check and explain, and that what they list is what the
program takes.
"""
import hashlib
import json
import re

import pytest

from harness import (CHECKS, PROFILE, QUESTIONS, ROOT, SHOW, demo_show, flat, read_json, run, write_json)

COMMANDS = ["audit", "watch", "check", "explain"]


def good(*words):
    """Standard output of a run in which all went well."""
    result = run(*words)
    assert result.err == ""
    assert result.status == 0
    return result.out


# ---- help and version ----

def test_version():
    number = re.search(r"project\(gainwarden VERSION (\d+\.\d+\.\d+)",
                       (ROOT / "CMakeLists.txt").read_text()).group(1)

    assert good("--version") == f"gainwarden {number}\n"


def test_help():
    out = good("--help")

    assert out.startswith("usage: gainwarden COMMAND [options]\n")
    listed = re.findall(r"^  ([a-z]+) .*  \S", out, re.M)
    assert set(COMMANDS) <= set(listed)
    assert ("Exit status: 0 nothing to fix, 1 at least one finding of weight fix or stop, 2 wrong usage "
            "or file, 3 nothing to fix found but something could not be known.") in flat(out)
    assert "It only reads the desk: `gainwarden explain sending`." in flat(out)


def test_no_arguments():
    """The same text, but as an error: nothing was done."""
    result = run()

    assert result.err == good("--help")
    assert result.out == ""
    assert result.status == 2


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_a_command(command):
    out = good(command, "--help")

    assert out.startswith(f"usage: gainwarden {command} [options] ")
    assert re.search(r"^  --help +this text$", out, re.M)
    assert good(command, "--help", "and", "more", "words") == out  # asked for, whatever else is said


def options_of(command):
    """(name, argument) of each option that the command's help lists."""
    return re.findall(r"^  --([a-z-]+)(?:=(\S+))? ", good(command, "--help"), re.M)


@pytest.mark.parametrize("command, expected", [
    ("audit", {"profile", "desk", "format", "within", "all", "help"}),
    ("watch", {"profile", "desk", "still-every", "all", "help"}),
    ("check", {"help"}), ("explain", {"help"})])
def test_the_options_that_are_listed_are_taken(command, expected):
    values = {"FILE": "x", "HOST[:PORT]": "x", "text|json": "json", "SECONDS": "3"}

    assert expected <= {name for name, _ in options_of(command)}
    for name, argument in options_of(command):
        both = [f"--{name}={values[argument]}"] if argument in values else [f"--{name}"]
        assert "unknown option" not in run(command, *both).err
        if argument:
            assert run(command, f"--{name}").err.startswith(
                f"gainwarden: --{name} needs an argument\n")


@pytest.mark.parametrize("words", [("audit", "--form=json"), ("audit", "--format=json", "--desk", "h")])
def test_options_may_be_shortened_and_stand_anywhere(words):
    result = run(*words)

    assert result.err.splitlines()[0] == \
        "gainwarden: no profile: give a show file, or --profile and --desk"


@pytest.mark.parametrize("words, option", [(("audit", "--sav", "x.json"), "--sav"), (("audit", "--sa=x.json"), "--sa"),
                                           (("quiet", "--p", "x"), "--p"), (("watch", "--record-", "1"), None)])
def test_a_short_form_of_several_options_is_none(words, option):
    result = run(*words)

    assert result.status == 2
    assert result.err.startswith(f"gainwarden: unknown option {option}") == (option is not None), result.err


# ---- explain ----

def ids():
    return re.findall(r"^  ([a-z]+(?:-[a-z]+)+)$", good("explain"), re.M)


def test_explain_lists_the_checks():
    out = good("explain")

    assert out.startswith("checks:\n")
    assert set(CHECKS) <= set(ids())
    assert len(ids()) == len(set(ids()))


def paragraphs(out):
    """{heading: its text in one line} of an explanation."""
    found = {}
    for part in out.split("\n\n")[1:]:
        heading, _, text = part.partition("\n")
        found[heading] = flat(text)
    return found


def parameters():
    return re.findall(r"^  ([a-z]+\.[a-z_.]+) ", good("explain", "parameters"), re.M)


def test_explain_each_check():
    known = set(parameters())
    for one in ids():
        out = good("explain", one)
        parts = paragraphs(out)

        assert out.startswith(one + "\n")
        for heading in ("Fails when", "Why it matters", "What to do", "Formula", "Source",
                        "Worked example (a desk of our own)", "Where the trade disagrees"):
            assert len(parts[heading]) > 10, (one, heading)
        assert parts["Reads"].split() and set(parts["Reads"].split()) <= known
        assert max(map(len, out.splitlines())) <= 100  # it is read on a terminal


def test_explain_says_where_the_numbers_are_from():
    """A source, or plainly that there is none."""
    for one in ids():
        source = paragraphs(good("explain", one))["Source"]
        assert "common practice" in source.lower() or re.search(r"\.(com|org)|ISO|ANSI|AES|\d{4}", source), one


def test_explain_works_an_example():
    """What the check says of a desk on which it fails, and the sum behind it."""
    worked = paragraphs(good("explain", "unused-preamp-gain"))["Worked example (a desk of our own)"]

    assert worked.startswith("It says: preamp at 42 dB, but its loudest send turns it down again to -14 dB")
    assert "the preamp stands at 42 - 14 = 28 dB" in worked
    for one in ids():
        worked = paragraphs(good("explain", one))["Worked example (a desk of our own)"]
        assert re.match(r"It says: .+\. [A-Z0-9]", worked), one
        assert worked.endswith(".") and "..." not in worked, one
        assert re.search(r" = -?\d", worked), one


def test_explain_says_where_the_trade_disagrees():
    """With somebody named, or plainly that nobody is."""
    said = {one: paragraphs(good("explain", one))["Where the trade disagrees"] for one in ids()}

    assert len(set(said.values())) == len(said)
    for one, text in said.items():
        assert "common practice, no source" in text or re.search(r"\.(com|org)|\d{4}", text), one


def test_the_settings_that_explain_lists_are_taken(tmp_path):
    """Each with the default it names, in a show file; and outside its bounds it is refused."""
    settings = {}
    for one in ids():
        listed = paragraphs(good("explain", one)).get("Settings (show file, under \"checks\")", "")
        settings[one] = {name: float(preset) for name, preset in
                         re.findall(r"([a-z_]+) +(-?[\d.]+): ", listed)}
    show = demo_show(tmp_path, checks=settings)

    assert settings["unused-preamp-gain"] == {"note_db": 6, "fix_db": 12, "raise_after_s": 3, "clear_after_s": 10}
    assert settings["too-many-cuts"]["note_cuts"] == 7 and settings["too-many-cuts"]["fix_cuts"] == 8
    assert settings["master-off-unity"] == {"note_db": 0.5, "fix_db": 6, "raise_after_s": 3, "clear_after_s": 10}
    good("check", show)
    wrong = {one: {name: 1e6 for name in names} for one, names in settings.items() if names}
    wrong = dict(list(wrong.items())[:12])  # of all mistakes the first fifty are printed
    result = run("check", demo_show(tmp_path, checks=wrong))
    assert len(re.findall(r": checks\.[a-z.-]+[a-z_]+: must be (?:a number|seconds) from \S+ to \S+$", result.err,
                          re.M)) == sum(map(len, wrong.values())) == len(result.err.splitlines())


def test_every_check_can_be_switched_off(tmp_path):
    good("check", demo_show(tmp_path, checks={one: "off" for one in ids()}))


def test_explain_parameters(tmp_path):
    """Each that is listed may be named by a profile, each with the indexes that are listed."""
    out = good("explain", "parameters")
    rows = re.findall(r"^  ([a-z]+\.[a-z_.]+) +(one|input|mix|group)(?:, (mix|group|band))?; (.*)$",
                      out, re.M)
    values = []
    for name, first, second, rest in rows:
        address = "/" + name.replace(".", "/") + "".join(
            f"/{{{kind}}}" for kind in (first, second) if kind and kind != "one")
        entry = {"at": address, "is": name}
        if ".spectrum." in name:  # whole frames, never asked
            entry = {"answer": [address.replace("/{band}", ""), {"each": "band", "is": name}]}
        if "word" in rest:
            word = {"send.tap": "post-fader", "desk.room": "doors"}.get(name, "peak")
            entry["law"] = {"words": [[0, word]]}
        values.append(entry)
    path = write_json(tmp_path / "profile.json", {
        "profile_format": 1, "desk": "All", "link": {"transport": "udp", "port": 9100},
        "counts": {"input": 1, "mix": 1, "group": 1, "input.eq.band": 1, "mix.eq.band": 1,
                   "mix.graphic.band": 1, "input.spectrum.band": 31, "mix.spectrum.band": 31}, "values": values})

    # the parameters that the checks at the heart of the program rest on, and a few more
    assert {"input.preamp_gain", "input.high_pass.slope", "send.level", "send.tap", "mix.fader",
            "mix.graphic.band.gain", "input.preamp", "mix.limiter.on", "desk.scene",
            "group.mute"} <= set(parameters())
    assert len(values) == len(parameters())
    assert good("check", path) == (f"{path}: good profile for All: 1 inputs, 1 mixes, {len(values)} "
                                   f"entries, {sum('at' in entry for entry in values)} questions\n"
                                   "  sends nothing but questions without arguments at the address "
                                   "of their own answer\n")


def test_explain_sources(tmp_path):
    """Each that is listed may be named by a show file."""
    kinds = dict(re.findall(r"^  ([a-z-]+)\n(      lowest note: .*?)(?=\n  \S|\Z)", good("explain", "sources"), re.M | re.S))
    kinds = {name: flat(said) for name, said in kinds.items()}

    assert {"kick", "snare", "hi-hat", "lead-vocal", "backing-vocal", "tenor-sax", "playback"} <= set(kinds)
    assert re.match(r"lowest note: 103\.8 Hz \(.*\) high-pass: 80 to 100 Hz", kinds["tenor-sax"])
    for name in ("kick", "snare", "rack-tom", "floor-tom"):  # where it comes from is said to its end
        assert "(weak)) high-pass:" in kinds[name]
    for name, said in kinds.items():
        assert said.count("(") == said.count(")") > 0, said
        good("check", demo_show(tmp_path, inputs={"1": {"source": name}}))


# ---- what is promised ----

def test_the_promise_is_one_text():
    """explain and man page say the same of what is sent, word by word; README begins so and names explain."""
    def plain(text):
        return " ".join(text.replace("`", "").replace("**", "").split())

    sentences = re.split(r"(?<=[a-z)]\.) (?=[A-Z])", plain(good("explain", "sending")))
    readme = plain((ROOT / "README.md").read_text())

    assert len(sentences) == 8
    assert " ".join(sentences) in plain((ROOT / "contrib/man/gainwarden.1").read_text())
    assert " ".join(sentences[:4]) + " (gainwarden explain sending)" in readme
    assert sentences[0].split(":")[0] in flat(good("--help"))
def test_explain_says_where_each_default_comes_from():
    """Under each setting; the two holds of a watch are in no table of the check's own."""
    settings = 0
    for check in re.findall(r"^  ([a-z-]+)$", good("explain"), re.M):
        part = good("explain", check).split('Settings (show file, under "checks")\n')[1].split("\n\n")[0]
        names = re.findall(r"^  ([a-z_]+) ", part + "\n", re.M)
        froms = [flat(one) for one in re.findall(r"^ {22}from: (.*(?:\n {24}.*)*)", part, re.M)]
        assert len(froms) == len(names), part
        assert set(froms) <= {"common practice, no source", "Sound System Design Reference Manual (1999), p. 4-3",
                              '"IEM Limiters and Hearing Protection", iemrig.com'}, part
        assert part.count("from: ") == len(names)
        settings += len(names)
    assert settings > 60


def test_explain_sources_says_where_each_preset_comes_from():
    said = good("explain", "sources")
    kinds = re.findall(r"^  [a-z-]+$", said, re.M)
    flat_said = flat(said)
    assert flat_said.count("high-pass: ") == flat_said.count("48 V: ") == len(kinds) > 40
    assert len(re.findall(r"48 V: (?:either|needed|not needed) \(common practice, no source\)", flat_said)) == len(kinds)
    assert len(re.findall(r"high-pass: (?:off|.*? Hz) \([^()]*(?:common practice, no source|prosoundweb\.com)\)", flat_said)) \
        == len(kinds)
    assert '(500 Hz: "Mighty High Pass Filter", prosoundweb.com; 150 Hz: common practice, no source)' in flat_said
    assert '(150 Hz: "Mighty High Pass Filter", prosoundweb.com; 80 Hz: common practice, no source)' in flat_said


def test_the_disputed_threshold_of_a_limiter_has_both_sources():
    said = flat(good("explain", "ears-unprotected"))
    assert said.count('"Protecting Your Hearing While Wearing In-Ear Monitors", 64audio.com') == 2
    assert said.count('"Safe In-Ear Monitoring", sweetwater.com') == 2 and "110 to 120 dB SPL" in said


# ---- check ----

def sends(travels, rows):
    """The list of what a profile sends; its hash is that of what stands there."""
    text = "".join(f"{line}\n" for line in [f"over {travels}", *rows])
    return (f"  sends, besides questions without arguments at the address of their own answer, over {travels}:\n"
            + "".join(f"    {row}\n" for row in rows) +
            '  agreed to by --yes, or in the show file by "desk": { "agreed": "'
            f'{hashlib.sha256(text.encode()).hexdigest()}" }}\n')


def test_check_of_good_files():
    assert good("check", PROFILE, SHOW) == (
        f"{PROFILE}: good profile for Barn monitor desk: 24 inputs, 8 mixes, "
        f"{len(read_json(PROFILE)['values'])} entries, {QUESTIONS} questions\n"
        + sends("UDP", ["/get/eq {input} {band}, input 1 to 24, band 1 to 4, asked as needed",
                        "/get/mix-eq {mix} {band}, mix 1 to 8, band 1 to 4, asked as needed",
                        "/stay, every 8 s (each second while the desk is away)"]) +
        "  not given, most useful first (how many checks read it): mix.limiter.attack (2), mix.limiter.release (2)\n"
        "  taken as absent, because it is not named: input.delay (2), mix.delay (2)\n"
        f"{SHOW}: good show file, Ostrel Barn, Saturday, with {PROFILE}\n")


def test_check_shows_what_is_sent_with_an_argument(tmp_path):
    path = write_json(tmp_path / "profile.json", {
        "profile_format": 1, "desk": "Odd", "link": {"transport": "udp", "port": 9100},
        "counts": {"input": 1, "mix": 1}, "first": {"mix": 0},
        "renew": [{"send": ["/keep", "me \"now\"", 1.5, 2], "every_s": 0.75, "this_only_asks": True}],
        "values": [{"ask": ["/ask/{mix:2}", "the level", 3, False, "3"], "this_only_asks": True,
                    "answer": ["/a/{mix}", {"is": "mix.fader"}]},
                   {"ask": ["/all/off"], "answer": ["/is/{mix}", {"is": "mix.mute"}]},
                   {"ask": ["/same", "{input}"], "answer": ["/same", "{input}", {"is": "input.fader"}],
                    "this_only_asks": True},
                   {"at": "/plain/{mix}", "is": "mix.trim"}]})

    only = " (the profile says: this only asks)"
    assert good("check", path).split("\n", 1)[1].split("  not given", 1)[0] == sends("UDP", [
        "/all/off, asked as needed",
        f'/ask/{{mix:2}} "the level" 3 false "3", mix 0 to 0, asked as needed{only}',
        f'/keep "me \\"now\\"" 1.5 2, every 0.75 s{only}',
        f"/same {{input}}, input 1 to 1, asked as needed{only}"])


def test_the_list_follows_what_is_sent_alone(tmp_path):
    """Whatever is sent otherwise has another hash; what is not sent does not change it."""
    def hash_of(**changes):
        profile = {**read_json(PROFILE), **changes}
        out = good("check", write_json(tmp_path / "profile.json", profile))
        return re.search(r'"agreed": "([0-9a-f]{64})"', out)[1]

    profile = read_json(PROFILE)
    same = [{}, {"desk": "Another name"}, {"values": profile["values"][::-1]}, {"pace": {"in_flight": 1}},
            {"values": profile["values"][:-1]},
            {"renew": profile["renew"] * 2}, {"link": {"transport": "udp", "port": 9101}}]
    other = [{"renew": []}, {"renew": [{"send": ["/stay"], "every_s": 8.001}]},
             {"renew": [{"send": ["/stay/here"], "every_s": 8}]}, {"first": {"input": 0}},
             {"first": {"input.eq.band": 0}}, {"counts": {**profile["counts"], "mix": 9}},
             {"link": {"transport": "udp", "port": 9100, "type_tags": False}},
             {"link": {"transport": "tcp", "framing": "size", "port": 9100}},
             {"link": {"transport": "tcp", "framing": "slip", "port": 9100}},
             {"values": [{**entry, "ask": ["/get/EQ", *entry["ask"][1:]]} if "ask" in entry else entry
                         for entry in profile["values"]]}]

    assert len({hash_of(**changes) for changes in same}) == 1
    assert len({hash_of(**changes) for changes in [{}, *other]}) == 1 + len(other)


def test_check_of_good_and_broken_files(tmp_path):
    """The good ones are named as good, the broken ones are told in full, and the status is an error's."""
    broken = tmp_path / "broken.json"
    broken.write_text('{ "profile_format": 1,\n  "desk": "x",\n  "link" { } }\n')
    misspelt = write_json(tmp_path / "misspelt.json", {**read_json(PROFILE), "renwe": []})
    neither = write_json(tmp_path / "neither.json", {"format": 1})
    listed = write_json(tmp_path / "listed.json", [1, 2])
    result = run("check", broken, SHOW, misspelt, neither, listed, tmp_path / "gone.json")

    assert result.out == f"{SHOW}: good show file, Ostrel Barn, Saturday, with {PROFILE}\n"
    what = 'neither "profile_format": 1 nor "show_format": 1 nor "scheme_format": 1 nor "stage_format": 1 says what it is'
    assert result.err == "".join(f"gainwarden: {line}\n" for line in [
        f"{broken}:3:10: expected : before this",
        f'{misspelt}: renwe: unknown key, did you mean "renew"?',
        f"{neither}: {what}", f"{listed}: {what}",
        f"{tmp_path}/gone.json: cannot read: No such file or directory"])
    assert result.status == 2


def test_check_names_the_mistake_of_a_show_files_profile(tmp_path):
    profile = write_json(tmp_path / "p.json", {**read_json(PROFILE), "lnik": {}})
    show = demo_show(tmp_path, desk={"profile": "p.json"})
    result = run("check", show)

    assert result.err == f'gainwarden: {profile}: lnik: unknown key, did you mean "link"?\n'
    assert result.status == 2


def test_check_of_a_show_file_without_a_profile(tmp_path):
    show = demo_show(tmp_path, desk={"host": "127.0.0.1"})
    result = run("check", show)

    assert result.err == (f"gainwarden: {show}: desk.profile: is missing; the numbers of inputs and mixes "
                          "come from the profile\n")
    assert result.status == 2


@pytest.mark.parametrize("change, line", [
    ({"profile_format": 2}, "profile_format: is 2; this version reads format 1"),
    ({"link": {"transport": "udp", "port": 0}}, "link.port: must be a whole number from 1 to 65535"),
    ({"pace": {"tries": 0}}, "pace.tries: must be a whole number from 1 to 20"),
    ({"pace": {"per_second": 0}}, "pace.per_second: must be a number above 0, at most 1e+06"),
    ({"pace": {"stale_after_s": 10}},
     "pace: stale_after_s must be longer than reread_every_s (60 s), or every value would go stale "
     "between two readings"),
    ({"counts": {"input": 2, "mix": 0}}, "counts.mix: is missing or 0; a desk has at least one"),
    ({"counts": {"input": 2, "mix": 1, "graphic": 31}}, "counts.graphic: unknown index"),
    ({"values": []}, "values: is empty: nothing would be read"),
    ({"values": [{"at": "/", "is": "desk.scene"}]},
     "values[0].at: an address begins with '/' or a name, found \"/\""),
    ({"values": [{"at": "/mix", "is": "mix.fader"}]},
     "values[0]: mix.fader needs {mix} in the address or among the arguments"),
    ({"values": [{"at": "/m/{mix}", "is": "mix.fader", "law": {"line": [[0, 0]]}}]},
     "values[0].law.line: must be an array of at least two [wire, value] points"),
    ({"values": [{"ask": ["/x"]}]},
     'values[0].answer: is missing; an entry is either "at" with "is", or "ask" with "answer"'),
    ({"fixed": {"send.tap": "post-fade"}}, "fixed.send.tap: is no value of send.tap, which is word"),
    ({"fixed": {"mix.fadder": 0}}, 'fixed.mix.fadder: unknown parameter, did you mean "mix.fader"?'),
])
def test_mistakes_in_a_profile(tmp_path, change, line):
    """One mistake, one line."""
    path = write_json(tmp_path / "profile.json", {
        "profile_format": 1, "desk": "Small", "link": {"transport": "udp", "port": 9100},
        "counts": {"input": 2, "mix": 1}, "values": [{"at": "/scene", "is": "desk.scene"}], **change})
    result = run("check", path)

    assert result.err == f"gainwarden: {path}: {line}\n"
    assert (result.status, result.out) == (2, "")


@pytest.mark.parametrize("change, line", [
    ({"inputs": {"0": {}}}, "inputs.0: the desk has inputs 1 to 24"),
    ({"inputs": {"1x": {}}}, "inputs.1x: the desk has inputs 1 to 24"),
    ({"inputs": {"1": {"preamp_owner": "nobody"}}},
     'inputs.1.preamp_owner: is "nobody"; allowed are "house" and "monitor"'),
    ({"inputs": {"1": {"lowest_hz": 5}}}, "inputs.1.lowest_hz: must be a frequency from 10 to 5000 Hz"),
    ({"accept": [{"check": "too-many-cuts", "why": ""}]}, "accept[0].why: is empty"),
    ({"accept": [{"check": "too-many-cuts"}]}, "accept[0].why: is missing; it must be a string"),
    ({"accept": [{"check": "too-many-cuts", "mix": 9, "why": "x"}]},
     "accept[0].mix: the desk has mixes 1 to 8"),
    ({"accept": [{"check": "too-many-cuts", "why": "x", "until": "2026-02-30"}]},
     'accept[0].until: is "2026-02-30"; a last day is written YYYY-MM-DD'),
    ({"checks": {"too-many-cuts": "on"}}, 'checks.too-many-cuts: must be "off" or an object of settings'),
    ({"show_format": "1"}, "show_format: is a string, must be a number"),
    ({"room": {"begin": "soundcheck"}},
     'room.begin: is "soundcheck"; allowed are line-check, doors, show, changeover'),
    ({"room": {"zone": "Europe/Atlantis"}},
     'room.zone: no time zone "Europe/Atlantis"; zones are named like "Europe/Lisbon"'),
    # files among the zones that are none, and ways out of their folder
    ({"room": {"zone": "zone.tab"}}, 'room.zone: no time zone "zone.tab"; zones are named like '
     '"Europe/Lisbon"'),
    ({"room": {"zone": "Europe"}}, 'room.zone: no time zone "Europe"; zones are named like "Europe/Lisbon"'),
    ({"room": {"zone": "/usr/share/zoneinfo/Europe/Lisbon"}}, 'room.zone: no time zone '
     '"/usr/share/zoneinfo/Europe/Lisbon"; zones are named like "Europe/Lisbon"'),
    ({"room": {"zone": "../zoneinfo/Europe/Lisbon"}}, 'room.zone: no time zone '
     '"../zoneinfo/Europe/Lisbon"; zones are named like "Europe/Lisbon"'),
    ({"room": {"at": []}}, "room.zone: is missing; it must be a string"),
    ({"room": {"zone": "UTC", "at": [{"time": "7:30", "room": "doors"}]}},
     'room.at[0].time: is "7:30"; a time of day is written HH:MM'),
    ({"room": {"zone": "UTC", "at": 65 * [{"time": "17:30", "room": "doors"}]}},
     "room.at: has more than 64 times"),
    ({"tell": {"osc": {"host": "127.0.0.1", "port": 9200, "address": "lamp"}}},
     "tell.osc.address: is no address of Open Sound Control: it begins with /, is plain ASCII and holds none of "
     "space # * , ? [ ] { }"),
    ({"tell": {"osc": {"host": "127.0.0.1", "port": 65536}}},
     "tell.osc.port: must be a whole number from 1 to 65535"),
    ({"tell": {"heartbeat": {"file": "x", "every_s": 0.5}}},
     "tell.heartbeat.every_s: must be a number from 1 to 3600"),
])
def test_mistakes_in_a_show_file(tmp_path, change, line):
    show = demo_show(tmp_path, **change)
    result = run("check", show)

    assert result.err == f"gainwarden: {show}: {line}\n"
    assert (result.status, result.out) == (2, "")


A_PROFILE = "a profile stands behind --profile, or in a show file under desk.profile"
A_SHOW = "a show file stands alone, without an option, or behind --show"


@pytest.mark.parametrize("words, path, line", [
    (("audit", PROFILE), PROFILE, f"is a profile, must be a show file; {A_PROFILE}"),
    (("audit", "--profile", SHOW, "--desk", "127.0.0.1"), SHOW, f"is a show file, must be a profile; {A_SHOW}"),
    (("audit", "--profile", SHOW, PROFILE), PROFILE, f"is a profile, must be a show file; {A_PROFILE}"),
    (("audit", SHOW, "--saved", PROFILE), PROFILE, f"is a profile, must be a saved desk; {A_PROFILE}"),
    (("review", SHOW), SHOW, f"is a show file, must be a saved desk; {A_SHOW}"),
    (("review", SHOW, "--scheme", PROFILE), PROFILE, f"is a profile, must be a scheme; {A_PROFILE}"),
])
def test_a_file_in_the_place_of_another_is_named_once(words, path, line):
    result = run(*words)
    assert (result.status, result.out) == (2, "")
    assert result.err == f"gainwarden: {path}: {line}\n"


def test_more_mistakes_than_are_listed(tmp_path):
    """Fifty are told, the others are counted."""
    show = demo_show(tmp_path, inputs={str(number): {} for number in range(25, 95)})
    lines = run("check", show).err.splitlines()

    assert len(lines) == 51
    assert lines[-1] == "gainwarden: and 20 more"


def test_a_profile_is_the_same_in_any_order_of_keys(tmp_path):
    """JSON objects have no order: laws may stand behind the values that use them."""
    profile = read_json(PROFILE)
    path = tmp_path / "turned.json"
    path.write_text(json.dumps(dict(reversed(profile.items()))))

    assert good("check", path).splitlines()[1:] == good("check", PROFILE).splitlines()[1:]
