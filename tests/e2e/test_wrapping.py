# SPDX-License-Identifier: MIT
"""Text wraps to the terminal it is printed on: pseudo-terminals of several widths, and a pipe.

Outside the project: East Asian width and combining classes are Python's `unicodedata` (Unicode, UAX #11), bold is
select graphic rendition 1 of ECMA-48, NO_COLOR as no-color.org asks for it.
"""
import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import termios
import unicodedata

import pytest

from harness import BUILD, MockDesk, SHOW, demo_show, environment, flat, run

SGR = re.compile(r"\x1b\[(\d+)m")


def begin(columns, *words, env=None):
    """gainwarden, and the other end of the terminal of so many columns that it writes to."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    process = subprocess.Popen([str(BUILD / "gainwarden"), *map(str, words)], stdin=subprocess.DEVNULL, stdout=theirs,
                               stderr=subprocess.PIPE, env=environment({"TERM": "xterm", "NO_COLOR": "", **(env or {})}))
    os.close(theirs)
    return process, ours


def on_terminal(columns, *words, env=None, told=""):
    """What gainwarden writes to such a terminal until it ends."""
    process, ours = begin(columns, *words, env=env)
    text = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # EIO: the program has ended
            break
        if not part:
            break
        text += part
    os.close(ours)
    errors = process.stderr.read().decode()
    process.stderr.close()
    process.wait(20)
    assert errors == told
    return text.decode().replace("\r\n", "\n")


def plain(text):
    """Without bold, and nothing else may be left that moves a cursor."""
    text = SGR.sub("", text)
    assert not [c for c in text if unicodedata.category(c) == "Cc" and c != "\n"]
    return text


def width(line):
    return sum(0 if unicodedata.category(c) in ("Mn", "Me", "Cf") else 2 if unicodedata.east_asian_width(c) in "WF" else 1
               for c in line)


def in_columns(text, columns):
    """No line is wider; a single word that is stays whole. A line that continues one began with a word that would not
    have fitted there."""
    lines = text.split("\n")
    for line in lines:
        assert width(line) <= columns or len(line.split()) == 1, line
    for line, after in zip(lines, lines[1:]):
        depth = len(line) - len(line.lstrip())
        if line.startswith("do: ", depth) and after.startswith(" " * (depth + 4)) and after.split():
            assert width(line + " " + after.split()[0]) > columns, line + "\n" + after


@pytest.fixture(scope="module")
def desk():
    desk = MockDesk()
    yield desk
    assert desk.stop() == 0


def without_times(text):
    return re.sub(r"answered in \S+ \S+", "answered", re.sub(r"\d{4}-\d\d-\d\dT\S+", "TIME", flat(text)))


@pytest.mark.parametrize("columns", [60, 120])
def test_an_audit_on_a_terminal(desk, columns):
    text = plain(on_terminal(columns, "audit", SHOW, "--desk", desk.at))
    in_columns(text, columns)
    assert max(map(width, text.split("\n"))) > columns - 12  # it uses the width
    assert without_times(text) == without_times(run("audit", SHOW, "--desk", desk.at).out)


def test_a_pipe_has_80_columns(desk):
    text = run("audit", SHOW, "--desk", desk.at).out
    in_columns(text, 80)
    assert "\x1b" not in text


@pytest.mark.parametrize("columns, used", [(12, 40), (0, 80)])
def test_a_terminal_that_says_less_than_can_be_read(desk, columns, used):
    in_columns(plain(on_terminal(columns, "audit", SHOW, "--desk", desk.at)), used)


def test_every_text_keeps_to_60_columns(desk, tmp_path):
    show = demo_show(tmp_path)
    checks = re.findall(r"^  ([a-z-]+)$", run("explain").out, re.M)
    assert len(checks) == 24
    commands = re.findall(r"^  ([a-z-]+) +[A-Z[]", run("--help").out, re.M)
    assert len(commands) == 19
    assert run("approve", show, "--desk", desk.at).status == 0
    for words in [("--help",), *((command, "--help") for command in commands), ("explain",), ("explain", "parameters"),
                  ("explain", "sources"), *(("explain", check) for check in checks), ("check", show),
                  ("retrim", show, "--desk", desk.at), ("compare", show, "--desk", desk.at, "--all"),
                  ("compare", show, "--desk", desk.at, "--reference", tmp_path / "show.approved.json"),
                  ("review", tmp_path / "show.approved.json", "--show", show)]:
        in_columns(plain(on_terminal(60, *words)), 60)


def test_what_a_desk_says_keeps_to_60_columns(desk):
    told = "gainwarden: asked everything: 1403 of 1403 questions answered\n"
    text = plain(on_terminal(60, "listen", SHOW, "--desk", desk.at, "--ask", "--for", "1.5", told=told))
    assert re.search(r"^\S+ /in/1/head/phantom i 0 -> values\[3\]: input.phantom\n {9}of input 1 = off$", text, re.M)
    assert re.search(r"^ {9}and \d+ more addresses in this second$", text, re.M)
    in_columns(text, 60)


def bold_words(text):
    return set(re.findall(r"\x1b\[1m(.*?)\x1b\[0m", text))


def test_the_weight_and_the_action_are_bold(desk):
    text = on_terminal(100, "audit", SHOW, "--desk", desk.at)
    assert bold_words(text) == {"Stop:", "Fix", "Note", "do:"}
    assert text.count("\x1b[1mdo:\x1b[0m") == len(re.findall(r"^ +do: ", plain(text), re.M)) == 9
    assert set(SGR.findall(text)) == {"0", "1"}


@pytest.mark.parametrize("env", [{"NO_COLOR": "1"}, {"TERM": "dumb"}, {"TERM": ""}])
def test_nothing_is_bold_where_it_is_not_wanted(desk, env):
    assert "\x1b" not in on_terminal(100, "audit", SHOW, "--desk", desk.at, env=env)


def test_the_lines_of_a_watch_too(tmp_path):
    desk = MockDesk()
    process, ours = begin(60, "watch", demo_show(tmp_path), "--desk", desk.at, "--plain")
    text, moved = "", False
    with open(ours, "rb", buffering=0) as terminal:
        while not re.search("raised.*slowly\r\n", text, re.S):  # the end of that cure
            assert select.select([terminal], [], [], 60)[0], text
            text += terminal.read(65536).decode(errors="replace")
            if "watching: " in text and not moved:
                desk.move("/mix/7/limit/on", "i", 0)
                moved = True
        process.terminate()
        process.stderr.close()
        process.wait(20)
    text = text.replace("\r\n", "\n")
    raised = text[text.index(" raised "):]
    assert raised.startswith(" raised \x1b[1mstop\x1b[0m [ears-unprotected] mix 7 Bass IEM")
    assert raised.count("\x1b[1mdo:\x1b[0m turn the packs down first") == 1
    in_columns(plain(text), 60)


def test_a_label_cannot_write_to_the_terminal(tmp_path):
    desk = MockDesk()
    desk.move("/in/18/name", "s", "\x1b[31mLd\x07 \x1b]0;x\x07")
    show = demo_show(tmp_path, accept=[{"check": "master-off-unity", "mix": 5, "why": "\x1b[2J\x9b31m\u202egone"}])
    text = on_terminal(80, "audit", show, "--desk", desk.at, env={"NO_COLOR": "1"})
    assert "input 18 ?[31mLd?" in text
    assert plain(text) == text and "\u202e" not in text
    assert "?[2J?31m?gone" in text


def test_wide_and_combining_characters_count_by_columns(desk, tmp_path):
    words = "音響 担当 の 宮本 さん は 耳 を 守 る ために 音量 を 下げ Ele\u0301ne de\u0301ja\u0300 fort".split()
    show = demo_show(tmp_path, accept=[{"check": "master-off-unity", "mix": 5, "why": " ".join(words)}])
    text = plain(on_terminal(60, "audit", show, "--desk", desk.at))
    lines = text.split("\n")
    first = next(i for i, line in enumerate(lines) if "音響" in line)
    last = max(i for i, line in enumerate(lines) if "fort" in line)
    for line, after in zip(lines[first:last], lines[first + 1:last + 1]):
        assert width(line) <= 60 < width(line + " " + after.split()[0])


def test_a_wide_label_keeps_the_table_in_line(tmp_path):
    desk = MockDesk()
    desk.move("/in/18/name", "s", "歌 Ele\u0301ne")
    text = plain(on_terminal(80, "retrim", SHOW, "--desk", desk.at))
    card = text[text.index("Card 1: input 18 歌"):text.index("Card 2:")]
    rows = card.split("\n")[1:]
    rows = [row for row in rows if row.strip()]
    assert len(rows) > 5 and len({width(row) for row in rows}) == 1
