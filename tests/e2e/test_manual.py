# SPDX-License-Identifier: MIT
"""The man pages describe every command, option, key and default of the program, and nothing that it has not.

The program's side comes from its own tables: --help, the schemas of `check --schema`, `explain`, and, for files
whose schema it does not print, keys_probe.c.
"""
import json
import re
import shutil
import subprocess

import pytest

import manual
from harness import BUILD, entries, flat, run

SEE_ALSO = sorted(path.name for path in manual.PAGES.iterdir())


def good(*words):
    result = run(*words)
    assert (result.status, result.err) == (0, ""), words
    return result.out


# ---- the program's side ----

def commands():
    """{command: the words behind it}"""
    listed = good("--help").partition("commands:\n")[2].partition("\n\n")[0]
    return dict(re.findall(r"^  ([a-z-]+) +(\S+(?: [^ ]+)*)", listed, re.M))


def options():
    """{option: (its arguments, its default, the commands that take it)}"""
    found = {"version": ({None}, None, set())}
    for command in commands():
        for row in entries(good(command, "--help"), 2):
            name, argument, help = re.match(r"--([a-z-]+)(?:\[?=([^\s\]]+)\]?)? (.*)", row).groups()
            preset = re.search(r"\(default: (\S+)\)", help)
            arguments, default, takers = found.setdefault(name, (set(), preset and preset.group(1), set()))
            arguments.add(argument or None)
            takers.add(command)
    found["help"] = ({None}, None, set())  # all take it
    return found


def walk(schema, root, path, found):
    """{path of a key: its default} of a schema; "[]" for an element, N for a number's key, NAME for any."""
    if "$ref" in schema:
        name = schema["$ref"].rpartition("/")[2]
        if name in ("parameter", "each", "desk") or name.startswith(("is.", "brings.", "gives.", "value.rules")):
            return
        walk(root["definitions"][name], root, path, found)
    for key, inner in schema.get("properties", {}).items():
        here = f"{path}.{key}" if path else key
        if here not in found or inner.get("default") is not None:
            found[here] = inner.get("default")
        if here not in ("fixed", "checks"):  # by parameter, by check: other sections of the page
            walk(inner, root, here, found)
    for inner in schema.get("patternProperties", {}).values():
        walk(inner, root, f"{path}.N", found)
    for keyword, step in (("items", "[]"), ("additionalItems", "[]"), ("additionalProperties", ".NAME")):
        inner = schema.get(keyword)
        for one in inner if isinstance(inner, list) else [inner]:
            if isinstance(one, dict):
                walk(one, root, path + step, found)
    for keyword in ("oneOf", "anyOf"):
        for inner in schema.get(keyword, []):
            walk(inner, root, path, found)


def schema_keys(kind):
    schema = json.loads(good("check", f"--schema={kind}"))
    found = {}
    walk(schema, schema, "", found)
    return found, schema


def probed():
    """{kind of file: its schema}, and the keys of a recording's lines"""
    return json.loads(subprocess.run([BUILD.resolve() / "tests" / "keys_probe"], capture_output=True, text=True,
                                     check=True).stdout)


def probed_keys(kind):
    found, schema = {}, probed()[kind]
    walk(schema, schema, "", found)
    return found


def parameters():
    """{parameter: (indexes, unit and range, words, may be left out)}"""
    found = {}
    for name, indexes, unit, help in re.findall(r"^  ([a-z]\S+) +([a-z, ]+?); (.*)\n((?: {6}\S.*\n)+)",
                                                good("explain", "parameters"), re.M):
        help = flat(help)
        found[name] = (indexes, unit, help.replace(" (may be left out)", ""), "may be left out" in help)
    return found


def topics():
    """What `explain` explains besides checks: the completion offers them behind the checks."""
    offered = re.search(r"words=\('([^']*) parameters ([^']*)'\)", good("explain", "completion"))
    return ["parameters", *offered.group(2).split()]


def rooms():
    return parameters()["desk.room"][2].partition(": ")[2].rpartition(": ")[2].split(", ")


def settings():
    """{check: {setting: default}}, holds only where they are not 3 and 10."""
    found = {}
    usual = {"raise_after_s": 3, "clear_after_s": 10}
    for check in re.findall(r"^  ([a-z]+(?:-[a-z]+)+)$", good("explain"), re.M):
        listed = re.findall(r"^  ([a-z_]+) +(-?[\d.]+): ", good("explain", check), re.M)
        found[check] = {name: float(preset) for name, preset in listed if usual.get(name) != float(preset)}
    return found


def sources():
    return re.findall(r"^  ([a-z-]+)\n +lowest note: ", good("explain", "sources"), re.M)


# ---- the two beside each other ----

def differences(described, real):
    """What is missing on the page, and what it invents; then defaults (of both) that differ."""
    wrong = [f"{key} is not described" for key in real if key not in described]
    wrong += [f"{key} is described, but does not exist" for key in described if key not in real]
    return wrong


def key_differences(page, real, begin=""):
    described = manual.items(page, "Ic")
    described = {key: lines for key, lines in described.items() if key.startswith(begin)}
    wrong = differences(described, real)
    for key in described:
        told = manual.default(described[key])
        preset = real.get(key)
        if isinstance(preset, bool):
            preset = "true" if preset else "false"
        if preset is not None and told is not None and not same(told, preset):
            wrong.append(f"{key}: the page says {told}, the program {preset}")
        if preset is not None and told is None:
            wrong.append(f"{key}: the page does not say the default {preset}")
    return wrong


def same(told, preset):
    if isinstance(preset, (int, float)):
        return f"{preset:g}" in told.split() or str(preset) in re.findall(r"-?[\d.]+", told)
    return told == preset


def test_commands():
    described = manual.items(manual.part(manual.source("gainwarden.1"), "COMMANDS"), "Cm")
    synopsis = re.findall(r"^\.Nm\n\.Cm (\S+)", "\n".join(manual.part(manual.source("gainwarden.1"), "SYNOPSIS")),
                          re.M)

    assert differences(described, commands()) == []
    assert synopsis == list(commands())
    for command, words in commands().items():
        shown = set(described[command][0].replace("|", " ").split()[3:]) - {"Op", "Ar", "Cm", "..."}
        meant = set(re.findall(r"[A-Z]+", words))
        for word, those in (("TOPIC", topics()), ("ROOM", rooms())):
            meant = meant - {word} | set(those) if word in meant else meant
        assert shown == meant, command


def described_options():
    page = manual.part(manual.source("gainwarden.1"), "OPTIONS")
    return {name.lstrip("-"): lines for name, lines in manual.items(page, "Fl").items()}


def test_options():
    described, real = described_options(), options()

    assert differences(described, real) == []
    for name, (arguments, default, takers) in real.items():
        first, last = described[name][0], described[name][-1]
        words = {word for argument in arguments - {None} for word in re.findall(r"[A-Za-z]+", argument)}

        assert set(re.findall(r"[A-Za-z]+", first.partition(f"-{name}")[2])) - {
            "Ns", "Ar", "Cm", "Op"} == words, name
        assert manual.default(described[name]) == default, name
        assert set(re.findall(r"[a-z-]+", last.partition(".Pq Cm ")[2])) == takers, name


def test_profile_keys():
    real, _ = schema_keys("profile")
    packed = r"(\.fields(\[\])+)|(\.(labels|json)\.NAME(\[\])*)"
    real = {re.sub(rf"^(values\[\]\.answer)(\[\])+({packed})?", r"\1[]", key): preset for key, preset in
            real.items() if not key.startswith("fixed.")}
    real = {key: preset for key, preset in real.items() if ".law." not in key}  # a law itself, as in laws.NAME

    assert key_differences(manual.source("gainwarden-profile.5"), real) == []


def test_parameters():
    described = manual.items(manual.part(manual.source("gainwarden-profile.5"), "PARAMETERS"), "Cm")
    real = parameters()

    assert differences(described, real) == []
    for name, (indexes, unit, help, absent) in real.items():
        told = manual.text(described[name][1:])
        where = "whole desk" if indexes == "one" else indexes
        assert told == f"{where}; {unit}; {help}{'; may be left out' if absent else ''}", name


def test_show_keys():
    real, schema = schema_keys("show")
    page = manual.source("gainwarden-show.5")
    checks = manual.items(manual.part(page, "CHECKS"), "Cm")
    del real["checks"]  # a section of its own

    assert key_differences(page, real) == []
    assert differences(checks, schema["properties"]["checks"]["properties"]) == []


def test_stage_keys():
    real, _ = schema_keys("stage")

    assert key_differences(manual.source("gainwarden-stage.5"), real) == []


def test_checks_and_their_settings():
    described = manual.items(manual.part(manual.source("gainwarden-show.5"), "CHECKS"), "Cm")
    told = {check: {name: float(preset) for name, preset in
                    re.findall(r"^\.Ic (\S+) No (\S+) :$", "\n".join(lines), re.M)}
            for check, lines in described.items()}

    assert told == settings()


def test_sources():
    page = manual.part(manual.source("gainwarden-show.5"), "SOURCES")

    assert [line.split()[1] for line in page if line.startswith(".Cm ")] == sources()


def test_scheme_keys():
    real = {key.replace("checks.NAME", "checks.ID"): None for key in probed_keys("scheme")}

    assert differences(manual.items(manual.source("gainwarden-scheme.5"), "Ic"), real) == []


def test_saved_keys():
    page = manual.part(manual.source("gainwarden-saved.5"), "SAVED DESKS")

    assert differences(manual.items(page, "Ic"), probed_keys("saved")) == []


def test_proved_keys():
    page = manual.part(manual.source("gainwarden-saved.5"), "PROVED CEILINGS")

    assert differences(manual.items(page, "Ic"), probed_keys("proved")) == []


def test_recording_keys():
    page = manual.source("gainwarden-saved.5")

    assert differences(manual.items(manual.part(page, "The first line"), "Ic"), probed_keys("head")) == []
    assert differences(manual.items(manual.part(page, "Every other line"), "Ic"), dict.fromkeys(probed()["line"])) == []


# ---- that the test itself can fail ----

def test_a_missing_and_an_invented_word_are_told():
    """One line taken out of each page, and one put in: both are named."""
    real, _ = schema_keys("show")
    del real["checks"]
    page = manual.source("gainwarden-show.5")
    at = page.index(".It Ic desk.host")
    changed = page[:at] + [".It Ic desk.hostname"] + page[at + 1:]
    first = manual.items(manual.part(manual.source("gainwarden.1"), "COMMANDS"), "Cm")

    assert key_differences(changed, real) == ["desk.host is not described",
                                              "desk.hostname is described, but does not exist"]
    assert differences({**first, "fix": []}, commands()) == ["fix is described, but does not exist"]
    del first["review"]
    assert differences(first, commands()) == ["review is not described"]


def test_another_default_is_told():
    real, _ = schema_keys("show")
    del real["checks"]
    page = manual.source("gainwarden-show.5")
    changed = [line.replace("Default: 1200.", "Default: 600.") for line in page]
    without = [line for line in page if line != "Default: 1200."]

    assert key_differences(changed, real) == ["room.changeover_s: the page says 600, the program 1200"]
    assert key_differences(without, real) == [
        "room.changeover_s: the page does not say the default 1200"]


# ---- the pages as pages ----

@pytest.mark.parametrize("page", SEE_ALSO)
def test_mandoc_has_nothing_to_say(page):
    """Two things it says are not so: our pages are not installed where it looks, and CAUTIONS is no misspelt
    AUTHORS."""
    assert shutil.which("mandoc"), "mandoc is missing; contrib/packages names it"
    said = subprocess.run(["mandoc", "-Tlint", manual.PAGES / page], capture_output=True, text=True).stdout
    others = [line for line in said.splitlines()
              if not re.search(r"referenced manual not found: Xr (gainwarden\S* \d|sd_notify 3|systemd.exec 5)", line)
              and "Sh CAUTIONS instead of AUTHORS" not in line]

    assert others == []


@pytest.mark.parametrize("page", SEE_ALSO)
def test_pages_name_only_pages_that_are_there(page):
    for name, section in re.findall(r"^\.Xr (gainwarden\S*) (\d)", "\n".join(manual.source(page)), re.M):
        assert f"{name}.{section}" in SEE_ALSO
    assert "\n.Sh SEE ALSO\n" in "\n".join(manual.source(page))


def rendered(page, width):
    told = subprocess.run(["mandoc", "-Tutf8", "-O", f"width={width}", manual.PAGES / page], capture_output=True,
                          text=True, check=True).stdout
    return re.sub(".\b", "", told)  # bold and underlined as on a typewriter


@pytest.mark.parametrize("page", SEE_ALSO)
def test_examples_are_rendered_as_they_are_typed(page):
    """A quotation mark that mdoc takes for its own would be missing; a longer line would wrap on a terminal."""
    shown = rendered(page, 80)

    for line in re.findall(r"^(?:\.Dl )?(\$ .*)$", "\n".join(manual.source(page)), re.M):
        assert line.replace("\\(dq", '"').replace("\\e", "\\") in shown
    assert max(map(len, shown.splitlines())) <= 80


def test_cautions_stand_where_ears_are_at_risk():
    for page in ("gainwarden.1", "gainwarden-stage.5", "gainwarden-watch.7"):
        words = manual.text(manual.part(manual.source(page), "CAUTIONS"))
        assert "Loud stages damage hearing." in words and "local noise rules" in words
