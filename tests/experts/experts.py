# SPDX-License-Identifier: MIT
"""Desks with a known answer: what an expert says of each stands beside it, and misses and false alarms are counted.

    pytest experts.py                          the table, that each desk can be read, and no miss or false alarm in any row
    GAINWARDEN_BUILD=... experts.py --count    both by row, with what is wrong; --count ROW: of that row

The verdicts come from the trade's practice and published figures, not from the program. What a desk needs and the
program does not know yet is skipped, by what its schemas and its help say.
"""
import collections
import functools
import json
import pathlib
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "e2e")]

import pytest  # noqa: E402

import judge  # noqa: E402: found by the line above
from desk import (EVENING_BEGINS_S, Desk, approved_desk, desk_of, messages, profile_of, recording,  # noqa: E402
                  saved_text, show_of)
from harness import OwnDesk, flat, read_json, run, write_json  # noqa: E402

# Every row has a desk with the fault, and a sound one that resembles it and must not be told.
ROWS = ("sane", "high-pass", "unused-preamp-gain", "own-send", "master", "send-follows-fader", "too-many-cuts",
        "boost-into-wedge", "open-microphones", "ears-unprotected", "up-is-not-down", "phantom-mismatch", "sources",
        "approve", "compare",  # what the checks know
        "put-it-back", "softer-first", "no-collision", "end-stops", "meters", "who-else", "accepted-stays", "retrim")

COMMANDS = ("audit", "retrim", "compare", "approve")

CASES = [case for file in sorted((HERE / "desks").glob("*.json")) for case in read_json(file)]


# ---- what the program does not know yet ----

@functools.cache
def schema(kind):
    return run("check", f"--schema={kind}").json()


def parameters():
    """What a profile may name."""
    return [one["const"] for one in schema("profile")["definitions"]["parameter"]["oneOf"]]


def unavailable(case):
    """What the case needs and this program lacks."""
    lacks = set(Desk(case).put({**case.get("approved", {}), **case.get("values", {})}).entries) - set(parameters())
    lacks |= set(case.get("filters", {})) - set(schema("profile")["properties"]["filters"]["properties"])
    [inputs] = schema("show")["properties"]["inputs"]["patternProperties"].values()
    lacks |= {key for one in (case.get("show", {}).get("inputs") or {}).values() for key in one or {}
              if key not in inputs["properties"]}
    lacks |= {word for word in case.get("options", []) if word.startswith("--") and word not in run(
        case.get("command", "audit"), "--help").out}
    return sorted(lacks)


# ---- running it ----

class Files:
    """A case as files."""

    def __init__(self, case, folder):
        self.case, self.folder = case, folder
        self.desk, self.approved = desk_of(case), approved_desk(case)
        self.show = write_json(folder / "show.json", show_of(case))
        write_json(folder / "profile.json", profile_of(self.desk))
        self.saved = folder / "saved.json"
        self.saved.write_text(saved_text(self.desk))
        self.state = folder / "show.approved.json"
        if self.approved:
            self.state.write_text(saved_text(self.approved, approved=True))

    def run(self, command, *words):
        beside = ["--approved", self.state] if self.approved and command == "audit" else []
        return run(command, self.show, "--saved", self.saved, *beside, *self.case.get("options", []), *words)


def report_of(files, command):
    result = files.run(command, "--format=json")
    assert result.out and not result.err, f"{files.case['name']}: {result.err}"
    return result.json(), result.status


def audit_troubles(files):
    case = files.case
    report, _ = report_of(files, "audit")
    yield from judge.finding_troubles(case, report)
    yield from judge.unknown_troubles(case, report)
    yield from judge.all_card_troubles(case, report, files.desk, files.approved)
    if "says" in case or "never_says" in case:
        yield from judge.text_troubles(case, flat(files.run("audit", "--all").out))


def status_troubles(case, status):
    if "status" in case and status != case["status"]:
        yield (judge.miss if case["status"] else judge.alarm)(f"status {status}, should be {case['status']}")


def retrim_troubles(files):
    report, status = report_of(files, "retrim")
    yield from status_troubles(files.case, status)
    yield from judge.all_card_troubles(files.case, report, files.desk, files.approved)
    yield from judge.text_troubles(files.case, files.run("retrim").out)


def compare_troubles(files):
    report, status = report_of(files, "compare")
    yield from status_troubles(files.case, status)
    yield from judge.compare_troubles(files.case, report)
    yield from judge.all_card_troubles(files.case, report, files.desk, files.approved)
    yield from judge.text_troubles(files.case, flat(files.run("compare").out))


def answer_of(desk):
    answers = messages(desk)

    def answer(own, heard):
        if heard.address in answers:
            own.send(heard.peer, answers[heard.address])
    return answer


def approve_troubles(files):
    case, before = files.case, files.state.read_text()
    with OwnDesk(answer_of(files.desk)) as desk:
        result = run("approve", files.show, "--desk", desk.at, *case.get("options", []))
    after, beside = files.state.read_text(), files.state.with_name(files.state.name + ".1")
    yield from status_troubles(case, result.status)
    yield from judge.text_troubles(case, flat(result.out + result.err))
    if "kept" in case and case["kept"] != (after == before):
        yield judge.miss(f"the approved state is{'' if after == before else ' not'} as it was")
    if case.get("before_kept") and not (beside.exists() and beside.read_text() == before):
        yield judge.miss("what was approved before is not kept beside it")
    for place, value in case.get("stored", {}).items():
        name, *where = place.split()
        found = json.loads(after)["values"][name]["values"]
        for number in where:
            found = found[int(number) - 1]
        if found != value:
            yield judge.miss(f"approved is {place} {found}, should be {value}")


def evening_troubles(files):
    path = files.folder / "evening.recording"
    path.write_text(recording(files.case))
    result = run("replay", path)
    assert result.status == 0, f"{files.case['name']}: {result.err}"
    lines = "\n".join(line for line in result.out.splitlines() if line[2:3] == ":")
    yield from judge.told_troubles(files.case, judge.told_of(lines, EVENING_BEGINS_S))
    yield from judge.text_troubles(files.case, lines)


TROUBLES = {"audit": audit_troubles, "retrim": retrim_troubles, "compare": compare_troubles,
            "approve": approve_troubles}


def troubles_of(case):
    with tempfile.TemporaryDirectory(prefix="gainwarden-expert-") as folder:
        files = Files(case, pathlib.Path(folder))
        try:
            return list((evening_troubles if "evening" in case else TROUBLES[case.get("command", "audit")])(files))
        except AssertionError as trouble:
            return [judge.miss(f"the program did not judge it: {trouble}")]


# ---- counting ----

class Row:
    def __init__(self):
        self.fault = self.sound = self.skipped = 0
        self.troubles = []

    def count(self, kind):
        return sum(trouble.kind == kind for _, trouble in self.troubles)

    def bad(self):
        """Desks on which something is wrong."""
        return len({case["name"] for case, _ in self.troubles})


def counted(cases):
    rows = collections.defaultdict(Row)
    for case in cases:
        row = rows[case["row"]]
        if unavailable(case):
            row.skipped += 1
            continue
        setattr(row, case["twin"], getattr(row, case["twin"]) + 1)
        row.troubles += [(case, trouble) for trouble in troubles_of(case)]
    return rows


def table(rows):
    lines = [f"{'row':22}{'faults':>8}{'sound':>8}{'skipped':>9}{'misses':>8}{'false alarms':>14}{'desks wrong':>13}"]
    for name, row in rows.items():
        lines.append(f"{name:22}{row.fault:8}{row.sound:8}{row.skipped:9}{row.count('miss'):8}"
                     f"{row.count('false alarm'):14}{row.bad():13}")
    total = [sum(column) for column in zip(*((row.fault, row.sound, row.skipped, row.count("miss"),
                                              row.count("false alarm"), row.bad()) for row in rows.values()))]
    return "\n".join([*lines, "{:22}{:8}{:8}{:9}{:8}{:14}{:13}".format("all", *total)])


def count(words):
    rows = counted([case for case in CASES if not words or case["row"] in words])
    for name, row in rows.items():
        for case, trouble in row.troubles:
            print(f"{name}: {case['name']} ({case['twin']}): {trouble.kind}: {trouble.text}")
    print("\n" + table(rows))
    return any(row.troubles for row in rows.values())


# ---- tests ----

def places(case):
    """Whether each place of the case is one of its desk: putting a value there says so."""
    desk = desk_of(case)
    for at_s, place, value in case.get("evening", {}).get("moves", []):
        assert 0 < at_s < case["evening"]["lasts_s"]
        desk.put({place: value})
    desk.copy().put(case.get("stored", {}))


def whole(case):
    assert not set(case) - judge.KEYS, set(case) - judge.KEYS
    assert not set(case.get("cards", {})) - judge.CARD_KEYS
    assert case["row"] in ROWS and case["twin"] in ("fault", "sound") and case.get("command", "audit") in COMMANDS
    assert case["verdict"].endswith(".") and len(case["verdict"]) <= 160 and "\n" not in case["verdict"]
    for entry in [*case.get("finds", []), *case.get("may", []), *case.get("told", [])]:
        assert set(judge.wanted(entry).weights) <= set(judge.WEIGHTS), entry
    assert set(case) - {"name", "row", "twin", "verdict", "source", "values", "approved", "show", "command"}, \
        "it expects nothing"
    places(case)


def test_the_table_is_whole():
    """Every row both ways round, every desk with its verdict, every place one of the desk."""
    for case in CASES:
        try:
            whole(case)
        except Exception as trouble:
            raise AssertionError(f"{case.get('name')}: {trouble!r}") from trouble
    names = [case["name"] for case in CASES]
    assert len(names) == len(set(names))
    both = {(row, twin) for row in ROWS for twin in ("fault", "sound")}
    assert {(case["row"], case["twin"]) for case in CASES} == both


def named(cases):
    return pytest.mark.parametrize("case", cases, ids=[case["name"].replace(" ", "-") for case in cases])


@named(CASES)
def test_it_can_be_read(case, tmp_path):
    lacks = unavailable(case)
    if lacks:
        pytest.skip(f"the program does not know {', '.join(lacks)}")
    files = Files(case, tmp_path)
    result = files.run("audit", "--format=json") if case.get("command", "audit") == "audit" else run(
        "audit", files.show, "--saved", files.saved, "--format=json")
    assert result.err == "" and result.status in (0, 1, 3)
    report = result.json()
    assert report["link"]["never_came"] == 0 and sum(report["passed"].values()) > 20
    if "evening" in case:
        path = tmp_path / "evening.recording"
        path.write_text(recording(case))
        replayed = run("replay", path)
        assert (replayed.status, replayed.err) == (0, "")


@pytest.mark.parametrize("row", ROWS)
def test_the_experts_agree(row):
    rows = counted([case for case in CASES if case["row"] == row])
    wrong = [f"{case['name']}: {trouble.kind}: {trouble.text}" for case, trouble in rows[row].troubles]
    print(table(rows))
    assert not wrong, "\n".join(wrong)


if __name__ == "__main__":
    assert sys.argv[1:2] == ["--count"], __doc__
    sys.exit(count(sys.argv[2:]))
