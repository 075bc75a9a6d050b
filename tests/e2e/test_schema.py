# SPDX-License-Identifier: MIT
"""The JSON Schemas of profiles and show files, beside what the program itself takes.

`gainwarden check --schema` builds them from the program's tables, contrib/schema/ holds copies for
editors, and python3-jsonschema, which knows nothing of the program, validates with them. A schema may
never refuse what the program takes; what it lets through that the program refuses is listed in
REASONS, and nothing else may come through.
"""
import copy
import functools
import json
import random
import re
import string

import jsonschema
import pytest

from harness import (ROOT, SEED, read_json, rounds, run, write_json)
from schema_cases import (BROKEN_FORMS, BROKEN_PROFILES, BROKEN_SHOWS, GOOD, LIMITS, NEW_FORMS,
                          PROFILE, SHOW, changed, form, words_of)

KINDS = ["profile", "show"]

# ---- what a schema cannot express ----

# Each as the program words it. A schema sees one value at a time: it compares no two numbers, follows
# no name from one place to another, knows no last element, and counts characters, not bytes.
REASONS = [
    # what the machine knows
    r"room\.zone: no time zone ",
    r'law: no law ".*" under "laws"',
    r"the wire value .* does not rise above",
    r"the law turns back at",
    r'"-inf" may stand only in the first or last point',
    r"the same wire value stands twice",
    r"range: must be \[least, most\], two rising numbers",
    r'a run \("each"\) must be the last argument',
    r"\{group\} is used, but counts\.group is missing",  # by an address whose value has no group
    r"fixed\.\S+: is also read from the desk",
    r"carries an argument to an address (that values|with )",
    r"carries more than indexes",
    r"messages would have to be agreed to",
    r"may reach an address that values",
    r"pace: stale_after_s must be longer than reread_every_s",
    r"spectrum: (gives lowest_hz or highest_hz alone|must give lowest_hz|has bands wider)",
    r"values: stands for \d+ messages",
    r"must be an array of \d+, as counts\.",
    r"values that an \{index\} in a label finds stand in an entry of their own",
    r"an \{index\} in a label finds single values alone",
    r"is the second text with labels in this answer",
    r"label: must be the one character between",  # the same as text
    r"the same name stands twice",  # a number and a text
    r"stands beside ",
    r"names\.\S+ is put in, but ",
    r"with the longest names",
    r"\{\w+:\d\} wants digits",
    r"(input|mix|group|band): must be a whole number from 1 to ",  # counts may be less
    r"(input|mix|group|band): is given, but counts",
    r"a text with an \{index\} is longer than",
    r"unknown index \{[^}]*[^ -~]",
    r"the desk has (inputs|mixes) 1 to ",
    r": is longer than \d+ bytes",
    r'(until|on): is "\d{4}-02-29"; a (last )?day is written',
    r"cannot read: ",
    r"desk\.profile: is missing",  # --profile may stand in for it
    r"untyped: must be a letter for each argument",
    r"(\.send\[\d+\]|\.labels\.\S+): \S+ is no number of 32 bits, as messages carry them",  # no such end there
    r"more than 63 arguments and fields",
    r'tell\.osc\.host: ".*" is where .* is read; ',  # the same as desk.host
]

# A law by its name meets the parameter only in the entry; one written in place is in the schema.
NAMED_LAW = re.compile(r'^(values\[\d+\](?:\.answer(?:\[\d+\])+(?:\.fields\[\d+\])?)?\.law): '
                       r'(".*"|the table\'s value) is no (word|value) of |'
                       r'^(values\S+\.law): \S+ takes words; its law must be ')

# ---- helpers ----

@functools.lru_cache(maxsize=None)
def printed(kind):
    result = run("check", "--schema", kind)
    assert (result.status, result.err) == (0, "")
    return result.out


@functools.lru_cache(maxsize=None)
def validator(kind):
    return jsonschema.Draft7Validator(json.loads(printed(kind)))


def refusals(kind, value):
    """What the validator says, in short."""
    return ["/".join(map(str, error.absolute_path)) + ": " + error.message[:200]
            for error in validator(kind).iter_errors(value)]


def node_at(value, way):
    return functools.reduce(lambda node, key: node[key], way, value)


def place_of(where):
    """The same place as the program spells it."""
    place = "".join(f"[{word}]" if isinstance(word, int) else f".{word}" for word in words_of(where))
    return place.lstrip(".")


def checked(folder, kind, value):
    """Exit status of `gainwarden check`, and what it says with the file's name taken off."""
    if kind == "show":
        write_json(folder / "profile.json", PROFILE)
    path = write_json(folder / ("small.json" if kind == "show" else "profile.json"), value)
    result = run("check", path)
    lines = [line.removeprefix(f"gainwarden: {path}: ") for line in result.err.splitlines()]
    assert bool(lines) == (result.status != 0)
    return result.status, lines


def refused_by_both(folder, kind, value, place):
    assert refusals(kind, value), "the schema takes it"
    status, lines = checked(folder, kind, value)
    assert status == 2
    assert place is None or any(line.startswith(f"{place}: ") for line in lines), (place, lines)


def taken_by_both(folder, kind, value):
    assert refusals(kind, value) == []
    assert checked(folder, kind, value) == (0, [])


def named(rows, width):
    """Parameters, called by what is broken; without a place of its own the last one is None."""
    return [pytest.param(*row, *[None] * (width - len(row)), id=row[0].replace(" ", "-")) for row in rows]


# ---- the schemas themselves ----

@pytest.mark.parametrize("kind", KINDS)
def test_the_committed_schema_is_the_printed_one(kind):
    path = ROOT / "contrib" / "schema" / f"{kind}.schema.json"

    assert path.read_text() == printed(kind), \
        f"mend it with: gainwarden check --schema {kind} > contrib/schema/{kind}.schema.json"


@pytest.mark.parametrize("kind", KINDS)
def test_the_schema_is_one(kind):
    schema = json.loads(printed(kind))

    assert schema["$schema"] == jsonschema.Draft7Validator.META_SCHEMA["$schema"]
    jsonschema.Draft7Validator.check_schema(schema)


def inner_schemas(node):
    if isinstance(node, dict):
        yield node
        node = list(node.values())
    for inner in node if isinstance(node, list) else []:
        yield from inner_schemas(inner)


@pytest.mark.parametrize("kind", KINDS)
def test_every_reference_is_defined(kind):
    """And every definition is used. A validator would not find out before it gets there."""
    schema = json.loads(printed(kind))
    used = {node["$ref"] for node in inner_schemas(schema) if "$ref" in node}

    assert used == {f"#/definitions/{name}" for name in schema.get("definitions", {})}


@pytest.mark.parametrize("words, line", [
    (("--schema", "desk"), "gainwarden: --schema=desk: allowed are profile, show and stage"),
    (("--schema=show", "x.json"), "gainwarden: --schema reads no file")])
def test_wrong_use(words, line):
    result = run("check", *words)

    assert (result.status, result.out) == (2, "")
    assert result.err.splitlines()[0] == line


# ---- good files ----

def examples():
    for path in sorted((ROOT / "contrib").rglob("*.json")):
        value = read_json(path)
        for kind in KINDS:
            if f"{kind}_format" in value:
                yield pytest.param(kind, path, id=path.name)


@pytest.mark.parametrize("kind, path", examples())
def test_examples(kind, path):
    assert refusals(kind, read_json(path)) == []
    assert run("check", path).status == 0


def test_there_are_examples():
    assert {example.values[0] for example in examples()} == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_small_good_files(tmp_path, kind):
    taken_by_both(tmp_path, kind, GOOD[kind])


@pytest.mark.parametrize("name", NEW_FORMS)
def test_new_forms(tmp_path, name):
    assert refusals("profile", form(name)) == []
    assert checked(tmp_path, "profile", form(name)) == (0, [])


def schema_at(kind, *words):
    return node_at(json.loads(printed(kind)), words)


def test_everything_a_show_file_may_name(tmp_path):
    """Each word of each list, on its own input or mix."""
    input_keys, mix_keys = (next(iter(schema_at("show", "properties", key, "patternProperties").values()))
                            ["properties"] for key in ("inputs", "mixes"))
    sources = [one["const"] for one in input_keys["source"]["oneOf"]]
    show = {"show_format": 1, "desk": {"profile": "profile.json"},
            "inputs": {str(number): {"source": word} for number, word in enumerate(sources, 1)},
            "mixes": {}, "accept": [{"check": one["const"], "why": "x"} for one in schema_at(
                "show", "properties", "accept", "items", "properties", "check")["oneOf"]]}
    for key in ("preamp_owner", "microphone"):
        for number, word in enumerate(input_keys[key]["enum"], 1):
            show["inputs"][str(number)][key] = word
    for key in ("feeds", "limiter", "tuned_in"):
        for number, word in enumerate(mix_keys[key]["enum"], 1):
            show["mixes"].setdefault(str(number), {})[key] = word

    assert len(sources) > 40 and len(show["mixes"]) == 5 and len(show["accept"]) > 10
    assert refusals("show", show) == []
    counts = {**PROFILE["counts"], "input": 512, "mix": 5}
    write_json(tmp_path / "profile.json", {**PROFILE, "counts": counts})
    show["inputs"]["512"] = {}
    result = run("check", write_json(tmp_path / "show.json", show))
    assert (result.status, result.err) == (0, "")


@pytest.mark.parametrize("side, outwards", [("minimum", -0.5), ("maximum", 0.5)])
def test_limits_of_settings(tmp_path, side, outwards):
    settings = {check: rule["anyOf"][1]["properties"] for check, rule in
                schema_at("show", "properties", "checks", "properties").items()}
    at = {check: {name: rule[side] for name, rule in rules.items()} for check, rules in settings.items()}

    assert sum(map(len, at.values())) > 20
    taken_by_both(tmp_path, "show", {**SHOW, "checks": at})
    for check, limits in at.items():
        for name, limit in limits.items():
            refused_by_both(tmp_path, "show", {**SHOW, "checks": {check: {name: limit + outwards}}},
                            f"checks.{check}.{name}")


@pytest.mark.parametrize("side, outwards", [("minimum", -1), ("maximum", 1)])
def test_limits_of_fixed_parameters(tmp_path, side, outwards):
    """One at a time when they are beyond: the program tells fifty of a file."""
    rules = schema_at("profile", "properties", "fixed", "properties")
    at = {name: next(one[side] for one in rule["anyOf"] if side in one) for name, rule in rules.items()}
    base = {**PROFILE, "values": [{"at": "/scene", "is": "desk.scene"}]}

    assert len(at) > 40
    taken_by_both(tmp_path, "profile", {**base, "fixed": at})
    for name, limit in at.items():
        refused_by_both(tmp_path, "profile", {**base, "fixed": {name: limit + outwards}}, f"fixed.{name}")


@pytest.mark.parametrize("kind, where, good, bad", LIMITS, ids=lambda value: None if isinstance(
    value, list) else value)
def test_limits(tmp_path, kind, where, good, bad):
    for value in good:
        taken_by_both(tmp_path, kind, changed(GOOD[kind], where, value))
    for value in bad:
        refused_by_both(tmp_path, kind, changed(GOOD[kind], where, value), None)


# ---- broken files ----

def test_there_are_fifty_broken_files():
    assert len(BROKEN_PROFILES) + len(BROKEN_SHOWS) >= 50
    for rows in (BROKEN_PROFILES, BROKEN_SHOWS, BROKEN_FORMS):
        assert len({row[0] for row in rows}) == len(rows)


@pytest.mark.parametrize("what, where, new, place", named(BROKEN_PROFILES, 4))
def test_broken_profiles(tmp_path, what, where, new, place):
    refused_by_both(tmp_path, "profile", changed(PROFILE, where, new), place or place_of(where))


@pytest.mark.parametrize("what, where, new, place", named(BROKEN_SHOWS, 4))
def test_broken_shows(tmp_path, what, where, new, place):
    refused_by_both(tmp_path, "show", changed(SHOW, where, new), place or place_of(where))


@pytest.mark.parametrize("what, name, where, new, place", named(BROKEN_FORMS, 5))
def test_broken_new_forms(tmp_path, what, name, where, new, place):
    refused_by_both(tmp_path, "profile", changed(form(name), where, new),
                    place or place_of(where))


# ---- by chance ----

MISSPELT = ["", "x", "Law", "inputs ", "10", "1", "002", "999", "band", "note_db"]
ODD = [None, True, False, 0, 1, 2, -1, 0.5, 31, 32, 513, 1e6, 1e300, "", "x", "*", "-inf", "off", "{input}",
       "{band}", "{mix:3}", "{group}", "/x", "2028-02-29", "2027-02-29", [], {}, [0, 1], [1, 0]]
LETTERS = string.ascii_letters + string.digits + "/{}[]:*?#,;. \n\t\u00e9"


def places(node, way=()):
    """Every place below the root."""
    for key in node if isinstance(node, dict) else range(len(node)) if isinstance(node, list) else []:
        yield (*way, key)
        yield from places(node[key], (*way, key))


def spoilt_text(dice, text):
    at = dice.randint(0, len(text))
    return text[:at] + dice.choice(["", dice.choice(LETTERS)]) + text[at + dice.randint(0, 1):]


def spoilt_value(dice, value, pool):
    """Another value: an odd one, one of another place, or nearly the same."""
    if dice.random() < 0.35:
        return copy.deepcopy(dice.choice(ODD))
    if dice.random() < 0.4:
        return copy.deepcopy(dice.choice(pool))
    if isinstance(value, str):
        return spoilt_text(dice, value)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return [value]
    return dice.choice([value + 1, value - 1, -value, value / 2, value * 1000])


def spoil(dice, value, pool):
    """One change somewhere: a value, a key that goes, comes or is misspelt, an order."""
    *way, last = dice.choice(list(places(value)))
    node = node_at(value, way)
    how = dice.random()
    if how < 0.55:
        node[last] = spoilt_value(dice, node[last], pool)
    elif how < 0.75:
        del node[last]
    elif isinstance(node, list):
        node.insert(dice.randrange(len(node)), copy.deepcopy(node[last]))
        dice.shuffle(node)
    elif how < 0.85:
        node[dice.choice([spoilt_text(dice, last), *MISSPELT])] = node.pop(last)
    else:
        other = copy.deepcopy(dice.choice(pool))
        node.update(other if isinstance(other, dict) else {dice.choice(MISSPELT): other})


def spoilt_files(dice, kind, count):
    bases = [GOOD[kind], *(form(name) for name in NEW_FORMS if kind == "profile")]
    pool = [node_at(base, way) for base in bases for way in places(base)]
    for _ in range(count):
        value = copy.deepcopy(dice.choice(bases))
        for _ in range(dice.choice([1, 1, 1, 2, 3])):
            spoil(dice, value, pool)
        yield value


def named_law(value, line):
    """Whether the line is about a law that the place calls by its name."""
    found = NAMED_LAW.match(line)
    if not found:
        return False
    way = [int(word) if word.isdigit() else word
           for word in re.findall(r"\w+", found[1] or found[4])]
    return isinstance(node_at(value, way), str)


def explained(value, line):
    return named_law(value, line) or any(re.search(reason, line) for reason in REASONS)


@pytest.mark.limit(120)
@pytest.mark.parametrize("kind, count", [("profile", rounds(100, 300)), ("show", rounds(70, 200))])
def test_random_changes(tmp_path, kind, count):
    """What the program takes the schema takes; what only the program refuses has its reason."""
    outcomes = {}
    for value in spoilt_files(random.Random(SEED), kind, count):
        refused = refusals(kind, value)
        status, lines = checked(tmp_path, kind, value)
        outcomes[not refused, status] = outcomes.get((not refused, status), 0) + 1
        assert status in (0, 2)
        if status == 0:
            assert not refused, (refused, json.dumps(value))
        if status == 2 and not refused:
            assert all(explained(value, line) for line in lines), (lines, json.dumps(value))
    print(outcomes)
    assert outcomes[True, 0] > count / 50 and outcomes[False, 2] > count / 3  # both are met
