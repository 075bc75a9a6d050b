# SPDX-License-Identifier: MIT
"""The documents are short, their links lead somewhere, their examples run, and their words are today's.

README.md shows a real audit page: the very one that the program prints of the demo.
"""
import itertools
import json
import re
import shutil
import signal
import subprocess
import time

import pytest

import harness
from harness import BUILD, PROFILE, ROOT, STATE, MockChat, MockDesk, Process, read_json, write_json

STARTER = ROOT / "contrib" / "demo" / "starter.json"
MARKDOWN = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "mocks/README.md", "tests/bench/README.md",
                                     "contrib/dialects/README.md", "contrib/scheme/README.md")]
PAGES = sorted((ROOT / "contrib" / "man").iterdir())


def markdown_blocks(path, language):
    return re.findall(rf"^ *```{language}\n(.*?)^ *```", path.read_text(), re.S | re.M)


# ---- length ----

@pytest.mark.parametrize("name, most", [("README.md", 1200), ("DEVELOPERS.md", 1800)])
def test_they_are_short(name, most):
    """As `wc -w` counts."""
    counted = subprocess.run(["wc", "-w", ROOT / name], capture_output=True, text=True, check=True).stdout

    assert int(counted.split()[0]) <= most


# ---- the page and the starter ----

def normal(page):
    """Its words without what differs from run to run: port, time, duration, and where a line is full."""
    page = re.sub(r"port \d+, \S+", "PORT, TIME", harness.flat(page))
    return re.sub(harness.ANSWERED, "answered in TIME", page)


def test_readme_shows_how_the_page_of_the_demo_begins():
    shown = markdown_blocks(ROOT / "README.md", "text")[0]
    result = harness.run("audit", harness.SHOW, "--desk", MockDesk().at)

    assert len(shown.splitlines()) == 25
    assert normal(result.out).startswith(normal(shown))


def test_the_starter_is_the_one_that_is_shown():
    text = STARTER.read_text()
    shown = markdown_blocks(ROOT / "README.md", "json")[0]
    page = "\n".join((ROOT / "contrib/man/gainwarden-profile.5").read_text().splitlines())
    in_page = re.search(r"\.Bd -literal.*?\n(.*?)\n\.Ed", page, re.S).group(1)

    assert len(text.splitlines()) == 10
    assert "".join(line[3:] for line in shown.splitlines(True)) == text
    assert in_page + "\n" == text


def test_the_starter_audits():
    """It names labels, send levels, masters and limiters, and the demo's desk is found wanting in both."""
    result = harness.run("audit", "--profile", STARTER, "--desk", MockDesk().at, "--format", "json")
    report = result.json()

    assert (result.status, result.err) == (1, "")
    assert harness.finding(report, "ears-unprotected", mix=8)["weight"] == "stop"
    assert harness.finding(report, "master-off-unity", mix=3)["weight"] == "fix"
    assert report["passed"]["boost-into-wedge"] == 0  # its equalisers are counted, but not read


# ---- links and names of files ----

def anchors(path):
    heads = re.findall(r"^#+ (.*)$", path.read_text(), re.M)
    return {re.sub(r"[^a-z0-9 -]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("path", MARKDOWN, ids=lambda path: str(path.relative_to(ROOT)))
def test_links_lead_somewhere(path):
    for target in re.findall(r"\]\(([^)]+)\)", path.read_text()):
        file, _, anchor = target.partition("#")
        there = path.parent / file if file else path
        assert there.exists(), target
        assert not anchor or anchor in anchors(there), target


@pytest.mark.parametrize("path", MARKDOWN[:2], ids=lambda path: path.name)
def test_files_that_are_named_are_there(path):
    named = re.findall(r"`((?:rules|daemon|mocks|contrib|tests)/[^` ]*)", path.read_text())

    assert named
    for name in named:
        assert "NAME" in name or list(ROOT.glob(name.rstrip("/"))), name


def test_manual_pages_that_are_named_are_there():
    for path in MARKDOWN:
        for name, section in re.findall(r"\b(gainwarden(?:-\w+)?)\((\d)\)", path.read_text()):
            assert (ROOT / "contrib" / "man" / f"{name}.{section}").exists()


# ---- words ----

OLD = ["show state", "approved state", "state file of", "saved state", r"gainwarden state\b", "desk.show_state",
       "state_format", "Lantern", "first design", r"gainwarden [^`\n]*--state\b"]


@pytest.mark.parametrize("path", MARKDOWN + PAGES, ids=lambda path: path.name)
def test_words_that_are_gone_stay_gone(path):
    text = " ".join(path.read_text().split())

    assert [old for old in OLD if re.search(old, text)] == []


# ---- examples in the pages about profiles ----

def literals(page):
    text = (ROOT / "contrib" / "man" / page).read_text()
    return [block.replace("\\e", "\\") for block in re.findall(r"^\.Bd -literal.*?\n(.*?)\n\.Ed$", text, re.S | re.M)]


def whole(text):
    """A profile around a part of one."""
    base = {"profile_format": 1, "desk": "Example", "link": {"transport": "udp", "port": 9100},
            "counts": {"input": 4, "mix": 2, "mix.spectrum.band": 31},
            "laws": {"fader": {"line": [[0, "-inf"], [0.1, -60], [1, 10]]}},
            "values": [{"at": "/scene", "is": "desk.scene"}]}
    part = json.loads(text if text.lstrip().startswith("{") else "{" + text + "}")
    key = next(iter(part))
    if "profile_format" in part:
        return part
    if key in ("at", "ask"):
        return {**base, "values": [part]}
    if key == "answer":
        return {**base, "values": [part]}
    if key == "law":
        return {**base, "values": [{"at": "/in/{input}/fader", "is": "input.fader", **part}]}
    if key in ("open", "tap"):
        return {**base, "laws": {**base["laws"], **part}}
    if key == "laws":
        return {**base, "laws": {**base["laws"], **part["laws"]}}
    return {**base, **part}


@pytest.mark.parametrize("page, at", [(page, at) for page in ("gainwarden-profile.5", "gainwarden-desks.7")
                                      for at in range(len(literals(page)))])
def test_profiles_in_the_pages_are_good(tmp_path, page, at):
    path = write_json(tmp_path / "profile.json", whole(literals(page)[at]))
    result = harness.run("check", path)

    assert (result.status, result.err) == (0, "")


def test_every_dialect_stands_in_the_page_of_desks():
    page = (ROOT / "contrib/man/gainwarden-desks.7").read_text()
    named = {name for line in re.findall(r"^\.It Pa (.*)$", page, re.M) for name in line.split(" , ")}

    assert named == {path.name for path in (ROOT / "contrib/dialects").glob("*.json")} | {"barn-desk.json"}


def test_the_show_file_in_its_page_is_good(tmp_path):
    shutil.copy(PROFILE, tmp_path / "our-desk.json")
    (tmp_path / "show.json").write_text(literals("gainwarden-show.5")[0])
    result = harness.run("check", tmp_path / "show.json")

    assert (result.status, result.err) == (0, "")


# ---- what a profile cannot say, tried ----

@pytest.mark.parametrize("value, said", [
    ({"at": "/returns/3", "is": "input.fader"}, "input.fader needs {input}"),
    ({"ask": ["/all"], "answer": ["/all", {"each": "input", "is": "send.level"}]}, "needs {input} and {mix}"),
    ({"ask": ["/b"], "answer": ["/b", {"blob": "int8", "each": "input", "is": "input.level"}]},
     'unknown numbers "int8"'),
    ({"ask": ["/b"], "answer": ["/b", {"blob": "int16be", "each": "input", "is": "input.level"},
                                {"blob": "int16be", "each": "input", "is": "input.fader"}]},
     'a run ("each") must be the last argument'),
    ({"ask": ["/mute-bits"], "answer": ["/mute-bits", {"is": "input.mute"}]}, "input.mute needs {input}"),
    ({"ask": ["/get", "{input}"], "answer": ["/got", {"is": "desk.scene"}]}, "does not come back in the answer"),
    ({"at": "/in/{input}/socket-gain/{socket}", "is": "input.preamp_gain"}, "unknown index {socket}"),
])
def test_what_the_page_says_a_profile_cannot_say(tmp_path, value, said):
    path = write_json(tmp_path / "profile.json", {**whole('{"first": {}}'), "values": [value]})
    result = harness.run("check", path)

    assert result.status == 2 and said in result.err


def test_numbers_that_begin_above_1_cannot_be_said(tmp_path):
    path = write_json(tmp_path / "profile.json", whole('{"first": {"input": 33}}'))

    assert "first.input: must be a whole number from 0 to 1" in harness.run("check", path).err


# ---- example commands ----

CANNOT_RUN = {  # and why
    "contrib/quickstart": "installs packages; the package's own test runs it",
    "tests/run": "this is what runs here",
    "tests/bench/run": "benchmarks are run by hand",
    "systemctl": "there is no manager of services in a test",
}


# A command that is only named, with what it is named for.
NAMES = {f"gainwarden {word}" for word in ("listen", "approve", "replay", "quiet", "review", "check", "status", "reload",
                                           "stage", "tell-test", "audit --save", "replay --save", "watch --record")}


def commands_of(path):
    """The command lines that a document shows as something to type."""
    text = path.read_text()
    if path.suffix == ".md":
        text = re.sub(r"^ *```.*?^ *```", "", text, flags=re.S | re.M)
        found = re.findall(r"`((?:gainwarden|mock-desk|mock-chat) [^`]*|contrib/quickstart|tests/[a-z/]*run)`", text)
        found += [line.strip() for line in text.splitlines()
                  if re.match(r"    (gainwarden|mock-|contrib/quick|tests/|oscsend)", line)]
    else:
        text = text.replace("\\e\n", "").replace('\\(dq', '"')
        found = re.findall(r"^\.Dl \$ (.*)$", text, re.M) + re.findall(r"^\$ (.*)$", text, re.M)
        found += re.findall(r"^\.(?:Pq )?Ql ((?:gainwarden|systemctl) .*?)(?: [.,;])?$", text, re.M)
    shown = [re.sub(r"\s+", " ", one.partition(" # ")[0]).strip() for one in found]
    return [one for one in shown if "..." not in one and one not in NAMES]


def shown_commands():
    found = {}
    for path in MARKDOWN + PAGES:
        for command in commands_of(path):
            found.setdefault(command, path.name)
    return found


WORDS = [("SHOW", "saturday.json"), ("--profile FILE", "--profile our-desk.json"), ("--desk HOST", "--desk DESK"),
         ("10.0.0.20", "DESK"), ("review FILE", "review week1/ana.json"), ("replay FILE", "replay saturday.recording"),
         ("--record FILE", "--record other.recording"), ("check FILE", "check saturday.json"),
         ("explain ID", "explain too-many-cuts"), ("explain CHECK", "explain too-many-cuts"),
         ("--by NAME", "--by Kim"), ("--at 21:37:05", "--at 0.2"), ("review *.json", "review week1/*.json"), ("contrib/demo/ostrel-barn.json", "saturday.json"),
         ("contrib/dialects", str(ROOT / "contrib/dialects")), ("contrib/demo", str(ROOT / "contrib/demo")),
         ("--port 9100", "--port 0"), ("listen --ask", "listen --for 1 --ask"),
         ("listen --desk", "listen --for 1 --desk"), ("--turn FILE", "--turn FRESH"), ("--save FILE", "--save FRESH"), ("--save then.json", "--save FRESH"),
         ("saturday.json --board", "saturday.json --board=:0")]


fresh = itertools.count(1)  # nothing is saved over what is there


def real(command, desk):
    """The command with the stage's files in place of the words in capitals."""
    for word, instead in WORDS:
        command = command.replace(word, instead)
    return command.replace("DESK", desk.at).replace("FRESH", f"fresh-{next(fresh)}.json")


def lasting(command):
    """Whether it stays until it is stopped: by its line that it has begun, else None."""
    begun = {"watch": "watching", "ring-out": "next: ", "mock-desk": "listening on", "mock-chat": "listening on"}
    words = command.split()
    if "--join" in words:
        return None  # no terminal: one page
    return begun.get(words[1] if words[0] == "gainwarden" and len(words) > 1 else words[0])


@pytest.fixture(scope="module")
def stage(tmp_path_factory):
    """A desk, and a folder with every file that the examples name."""
    folder = tmp_path_factory.mktemp("examples")
    desk = MockDesk()
    chat = MockChat(folder / "chat.jsonl")
    host, port = desk.at.rsplit(":", 1)
    shutil.copy(PROFILE, folder / "our-desk.json")
    shutil.copy(harness.PLAN, folder / "saturday-stage.json")
    for name in ("saturday", "course"):
        write_json(folder / f"{name}.json", {
            **read_json(harness.SHOW), "tell": {"chat": {"url_env": "GAINWARDEN_CHAT_URL"}},
            "desk": {"profile": "our-desk.json", "host": host, "port": int(port), "stage": "saturday-stage.json"}})
    env = {"GAINWARDEN_CHAT_URL": chat.url, "XDG_STATE_HOME": str(folder / "kept"),
           "PATH": f"{BUILD.resolve()}:/usr/bin:/bin"}
    inside = {"cwd": folder, "env": env}
    for week in ("week1", "week2"):
        (folder / week).mkdir()
        harness.run("audit", "saturday.json", "--save", f"{week}/ana.json", **inside)
        time.sleep(1.1)  # a student's two dates are told apart by the second
    harness.run("audit", "saturday.json", "--save", "then.json", **inside)
    harness.run("approve", "saturday.json", **inside)
    shutil.copy(ROOT / "contrib/scheme/monitor-setup.json", folder / "our-scheme.json")
    with_recording = begin(folder, env, "gainwarden watch --plain saturday.json --record saturday.recording")
    time.sleep(1)  # something to replay
    finish(with_recording)
    yield folder, env, desk
    for process in (desk, chat):  # what a test starts ends with the test, and these are the module's
        assert process.stop() == 0


def begin(folder, env, command):
    process = subprocess.Popen(["bash", "-c", f"exec {command}"], cwd=folder, env=harness.environment(env),
                               stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    seen = ""
    while lasting(command) not in seen:
        line = process.stdout.readline()
        assert line, seen  # it ended
        seen += line
    return process


def finish(process):
    process.send_signal(signal.SIGINT)
    rest = process.communicate(timeout=10)[0]
    assert process.returncode == 0, rest


@pytest.mark.parametrize("command", [one for one in shown_commands() if not one.startswith(tuple(CANNOT_RUN))])
def test_examples_run(stage, command):
    folder, env, desk = stage
    line = real(command, desk)
    spoken_to = re.match(r"gainwarden (room|quiet|status|board|reload|watch --join)\b", line)
    shutil.rmtree(folder / "marks", ignore_errors=True)
    if lasting(line):
        finish(begin(folder, env, line))
        return
    if line.startswith("gainwarden approve") and "--input" not in line:
        (folder / "saturday.approved.json").unlink(missing_ok=True)  # the first approval; a limiter is off on the demo
    watch = begin(folder, env, "gainwarden watch --plain saturday.json --board=:0") if spoken_to else None
    try:
        done = subprocess.run(["bash", "-c", line], cwd=folder, env=harness.environment(env), timeout=15,
                              capture_output=True, text=True, check=False)
    finally:
        if watch:
            finish(watch)
    assert done.returncode in (0, 1, 3), (line, done.stdout, done.stderr)
    assert "Try `gainwarden" not in done.stderr


def test_there_are_examples():
    """So many, and none of those that cannot run is made up."""
    shown = shown_commands()

    assert len(shown) > 30
    for one in CANNOT_RUN:
        assert any(command.startswith(one) for command in shown), one
