# SPDX-License-Identifier: MIT
"""The watch on a real terminal: tmux is the terminal, and what it shows is read back. The screen is
drawn, scrolled, resized and left, and the terminal is then as it was.
"""
import contextlib
import fcntl
import itertools
import os
import pty
import re
import select
import shutil
import signal
import struct
import subprocess
import termios
import time

import pytest

import osc
from harness import (BUILD, PROFILE, ROOT, MockDesk, environment, fader_wire, goal, show_at_once, until)

pytestmark = pytest.mark.skipif(not shutil.which("tmux"), reason="no tmux here")


DEMO_VALUES = 2155  # what the demo desk publishes
PROMPT = re.compile(r"\? for the keys( +\d+ rows below)?")


def stat_of(pid):
    """The fields of /proc/PID/stat behind the name."""
    with open(f"/proc/{pid}/stat", encoding="utf-8", errors="replace") as file:
        return file.read().rsplit(")", 1)[1].split()


def children_of(terminal):
    """What the terminal's shell started; nothing when the terminal has gone."""
    with contextlib.suppress(subprocess.CalledProcessError):
        shell = terminal.tmux("display-message", "-p", "#{pane_pid}").strip()
        found = []
        for pid in filter(str.isdigit, os.listdir("/proc")):
            with contextlib.suppress(OSError):  # it has ended meanwhile
                if stat_of(pid)[1] == shell:
                    found.append(int(pid))
        return found
    return []


def pid_of(terminal):
    """The only child of the terminal's shell."""
    found = children_of(terminal)
    assert len(found) == 1
    return found[0]


class Terminal:
    """One tmux server of the test's own, with a shell in it."""

    def __init__(self, folder, width=80, height=24, term=None, env=None):
        self.folder = folder  # where the socket is, named without its path, which may be too long for one
        self.env = {**environment(), "LC_ALL": "C.UTF-8", "PS1": "$ ", **(env or {})}
        self.tmux("-f", "/dev/null", "new-session", "-d", "-x", width, "-y", height, "bash --norc --noprofile")
        if term:
            self.type(f"export TERM={term}", "Enter")

    def tmux(self, *words):
        done = subprocess.run(["tmux", "-S", "tmux", *map(str, words)], cwd=self.folder, env=self.env, timeout=100,
                              capture_output=True, text=True, check=True)
        return done.stdout

    def type(self, *keys):
        self.tmux("send-keys", *keys)

    def lines(self):
        return self.tmux("capture-pane", "-p").split("\n")[:-1]

    def colours(self):
        return self.tmux("capture-pane", "-p", "-e")

    def until(self, pattern, timeout=10):
        return until(lambda: re.search(pattern, "\n".join(self.lines()), re.M), timeout,
                     f"/{pattern}/ on the screen")

    def end(self):
        """A watch outlives the line it is on, by design: what the shell started is ended by its id."""
        children = children_of(self)
        for pid in children:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGCONT)  # it may be stopped
                os.kill(pid, signal.SIGTERM)
        subprocess.run(["tmux", "-S", "tmux", "kill-server"], cwd=self.folder, check=False, capture_output=True)
        for pid in children:
            until(lambda pid=pid: not os.path.exists(f"/proc/{pid}"), what=f"the end of process {pid}")


@pytest.fixture
def terminals(tmp_path):
    open_ones = []

    def make(**options):
        open_ones.append(Terminal(tmp_path, **options))
        return open_ones[-1]

    yield make
    for one in open_ones:
        one.end()


def watch_on(terminal, folder, desk, *words, **changes):
    show = show_at_once(folder, **changes)
    terminal.type(f"{BUILD.resolve()}/gainwarden watch {show} --desk {desk.at} --keep {folder}/keep "
                  f"{' '.join(words)}; echo status $?", "Enter")
    return show


def test_the_page_of_one_evening(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until(r"^1 stop, 5 fix, 8 note, 0 not known$")
    lines = terminal.lines()

    assert re.fullmatch(r"\d\d:\d\d:\d\d  doors  Ostrel Barn, Saturday", lines[0])
    assert re.fullmatch(rf"desk steady, heard \d+\.\d s ago; {DEMO_VALUES} values known, 0 stale", lines[1])
    assert lines[3].startswith("STOP drums: mix 8 Drums IEM: an in-ear mix without a limiter")
    assert [line[:4] for line in lines[3:] if re.match("STOP|FIX |note", line)][:2] == ["STOP", "FIX "]
    assert re.fullmatch(r"\? for the keys +\d+ rows below", lines[-1])
    desk.move("/mix/6/fader", "f", fader_wire(-9))
    terminal.until(r"^\d\d:\d\d:\d\d raised fix -9 dB  mix 6 .*: master back to 0, slowly$")
    lines = terminal.lines()
    assert "6 fix" in lines[2]
    assert lines[3].startswith("FIX  -9 dB  mix 6 ")  # what is new, before what stood at the start
    assert lines[4].startswith("     mix 6 Drum-fill: the master stands at -9 dB")


@pytest.mark.parametrize("height", [12, 24, 50])
@pytest.mark.parametrize("width", [40, 80, 120])
def test_a_leap_stands_on_top_with_number_and_cure(tmp_path, terminals, width, height):
    desk, terminal = MockDesk(), terminals(width=width, height=height)
    desk.move("/in/18/to/1/level", "f", fader_wire(-13))
    watch_on(terminal, tmp_path, desk, checks={"value-jumped": {"raise_after_s": 0}})
    terminal.until("^STOP drums: mix 8")
    desk.move("/in/18/to/1/level", "f", fader_wire(10))
    terminal.until(r"^FIX  \+23 dB  Ld Vox -> 1 Ld Vox wedge:")
    lines = terminal.lines()
    assert lines[3].startswith("FIX  +23 dB  Ld Vox -> 1 Ld Vox wedge:")
    assert re.search(r"^ {0,5}(FIX .*: )?put it back to -13 \(", "\n".join(lines[3:5]), re.M)
    if height > 12:
        terminal.until(r"^\d\d:\d\d:\d\d raised fix \+23 dB  Ld Vox -> 1")
    terminal.type("Enter")  # one row for each finding
    terminal.until(r"^STOP no limiter  drums: ")
    lines = terminal.lines()
    assert lines[3].startswith("FIX  +23 dB  Ld Vox -> 1 Ld Vox wedge: put it back to -13"[:width])
    assert all(len(line) <= width for line in lines)


def test_a_burst_shows_its_first_line(tmp_path, terminals):
    """A recall is a dozen lines elsewhere: here its headline stays."""
    desk, terminal = MockDesk(), terminals(width=100)
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    desk.send(osc.bundle(*[osc.message(f"/in/{number}/hp/on", "i", 0) for number in range(1, 25)]))
    terminal.until(r"^\d\d:\d\d:\d\d a recall ", timeout=30)
    last = terminal.lines()[terminal.lines().index("Last") + 1:-1]
    told = [line for line in last if " watching: " not in line]  # which may stand in the same second
    assert len([line for line in told if line[:8] == told[-1][:8]]) <= 2  # not a line for each input
    assert any(" a recall " in line for line in last)


def test_everything_is_within_reach(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals(height=14)
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    seen, keys = set(), itertools.cycle(12 * ["NPage"] + 12 * ["PPage"])

    def all_seen():
        seen.update(re.findall(r"\[([a-z-]+)\]", " ".join(terminal.lines())))
        terminal.type(next(keys))
        time.sleep(0.15)
        return {"ears-unprotected", "unused-preamp-gain", "too-many-cuts", "open-microphones",
                "phantom-mismatch"} <= seen

    until(all_seen, what="every finding on the screen")
    for _ in range(12):
        terminal.type("PPage")
    terminal.until("^STOP drums")


@pytest.mark.parametrize("width, height", [(40, 10), (160, 50), (120, 12)])
def test_other_sizes(tmp_path, terminals, width, height):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    terminal.tmux("resize-window", "-x", width, "-y", height)

    def drawn_anew():
        lines = terminal.lines()
        return (len(lines) == height and all(len(line) <= width for line in lines) and
                PROMPT.fullmatch(lines[-1]) and lines[3].startswith("STOP drums: mix 8 Drums IEM"))

    until(drawn_anew, what="the page at the new size")


def test_too_small(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    terminal.tmux("resize-window", "-x", 20, "-y", 4)
    terminal.until("^too small$")
    terminal.tmux("resize-window", "-x", 80, "-y", 24)
    terminal.until("^STOP drums")


@pytest.mark.limit(40)
def test_a_lost_desk_is_shown_and_its_values_called_stale(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    desk.rig("silent", 1)
    terminal.until(r"^desk LOST for \d+\.\d s: all STALE, findings as of \d\d:\d\d:\d\d$", 12)
    terminal.until("^STOP STALE drums: mix 8")
    terminal.until("^FIX  STALE drums: input 5 Hat")


def test_an_input_that_is_muted_is_not_called_stale(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals(height=60)
    watch_on(terminal, tmp_path, desk)
    terminal.until("^FIX  drums: input 5 Hat")
    desk.move("/in/5/open", "i", 0)
    terminal.until(r"^FIX  drums: input 5 Hat(?s:.{,300})muted or sent\s+nowhere now\)")
    assert not rows(terminal, ".*STALE")


def test_room_and_quieting_are_shown(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals(width=110, height=60)
    show = watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    for words in (["room", show, "changeover", "--for", "10m"],
                  ["quiet", show, "--mix", "2", "--for", "1h", "--why", "a new wedge", "--now"]):
        subprocess.run([BUILD / "gainwarden", *map(str, words), "--keep", tmp_path / "keep"], check=True,
                       env=environment(), capture_output=True)
    terminal.until(r"^\d\d:\d\d:\d\d  changeover, ends in \d+ min \d\d s  Ostrel Barn, Saturday$")
    terminal.until(r"^Quieted \(1\)$")
    terminal.until(r"^quieting 1, mix 2: ends in \d+ min")


def test_two_desks(tmp_path, terminals):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    first, second, terminal = MockDesk(), MockDesk(), terminals()
    shows = []
    for desk, name in ((first, "a"), (second, "b")):
        shows.append(show_at_once(tmp_path / name, show=f"Stage {name}", desk={
            "profile": str(PROFILE), "host": "127.0.0.1", "port": desk.port}))
    terminal.type(f"{BUILD.resolve()}/gainwarden watch {shows[0]} {shows[1]} --keep {tmp_path}/keep", "Enter")
    terminal.until(r"^>1 Stage a  doors       stop  1  fix  5  note  8  unknown  0$")
    terminal.until(r"^ 2 Stage b  doors       stop  1  fix  5  note  8  unknown  0$")
    terminal.type("Tab")
    terminal.until(r"^>2 Stage b  doors")
    terminal.type("1")
    terminal.until(r"^>1 Stage a  doors")


# ---- the terminal afterwards ----

def leave(terminal, how):
    if how == "q":
        terminal.type("q")
        terminal.until(r"^End the watch\? q again within 3 s( |$)")
        terminal.type("q")
    else:
        terminal.type(how)


@pytest.mark.parametrize("how", ["q", "C-c"])
def test_the_terminal_is_as_it_was(tmp_path, terminals, how):
    desk, terminal = MockDesk(), terminals()
    terminal.type("stty -g", "Enter")
    before = terminal.until(r"^[0-9a-f]+:[0-9a-f:]+$").group()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    leave(terminal, how)
    terminal.until(r"^\d\d:\d\d:\d\d stopped watching after ")
    terminal.until(r"^status 0$")
    terminal.type("clear; stty -g", "Enter")
    assert terminal.until(r"^[0-9a-f]+:[0-9a-f:]+$").group() == before


def test_one_q_is_no_end(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    terminal.type("q")
    terminal.until(r"^End the watch\?")
    time.sleep(3.3)
    terminal.until(r"^\? for the keys")
    terminal.type("q")
    terminal.until(r"^End the watch\?")
    terminal.type("x")
    terminal.until(r"^\? for the keys")


def test_stopped_and_continued(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    terminal.type("C-z")
    terminal.until(r"Stopped")
    terminal.type("fg", "Enter")
    terminal.until("^1 stop")
    leave(terminal, "C-c")
    terminal.until(r"stopped watching after ")


# ---- dark rooms, plain terminals, hostile labels ----

def test_weights_are_words_and_no_background_is_set(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    drawn = terminal.colours()

    assert "\x1b[" in drawn
    assert not re.search(r"\x1b\[(?:\d+;)*(?:4[0-7]|48|10[0-7]|5|7)(?:;\d+)*m", drawn)


@pytest.mark.parametrize("term, env", [("vt100", None), ("screen-256color", {"NO_COLOR": "1"})])
def test_without_colours(tmp_path, terminals, term, env):
    desk, terminal = MockDesk(), terminals(term=term, env=env)
    watch_on(terminal, tmp_path, desk)
    terminal.until("^STOP drums")
    assert not re.search(r"\x1b\[(?:\d+;)*3[0-8](?:;\d+)*m", terminal.colours())


def test_labels_cannot_touch_the_screen(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    desk.send(osc.message("/mix/8/name", "s", "\x1b[2J\x1b[31mIEM \u202eevil"))
    terminal.until(r"^STOP .*mix 8 .*IEM")
    lines = terminal.lines()

    assert PROMPT.fullmatch(lines[-1]) and lines[0].endswith("Ostrel Barn, Saturday")
    assert "\u202e" not in "\n".join(lines)


def test_wide_labels_keep_the_columns(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 stop")
    desk.send(osc.message("/mix/8/name", "s", "ドラム IEM ドラム"))
    terminal.until(r"^STOP .*ドラム IEM")
    assert PROMPT.fullmatch(terminal.lines()[-1])


def test_plain_is_lines(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals(height=50)
    watch_on(terminal, tmp_path, desk, "--plain")
    terminal.until(r"^\d\d:\d\d:\d\d watching: 1 stop")
    terminal.until(r"^Care: loud stages damage hearing")


# ---- a screen without a desk: screen_probe.c ----

PROBE = BUILD.resolve() / "tests" / "screen_probe"


def probe_on(terminal, scene):
    terminal.type(f"{PROBE} {scene}; echo status $?", "Enter")
    terminal.until(r"^\? for the keys")


def test_the_man_page_shows_the_screen_of_the_invented_evening(tmp_path, terminals):
    terminal = terminals(width=72, height=23)
    probe_on(terminal, "evening")
    page = (ROOT / "contrib/man/gainwarden-watch.7").read_text()
    shown = re.search(r"\.Bd -literal\n(\d\d:.*?)\n\.Ed", page, re.S).group(1).splitlines()
    assert shown[0] == "21:37:05" + terminal.lines()[0][len("21:37:05"):]
    assert shown[1:] == terminal.lines()[1:]


def rows(terminal, pattern):
    return [line for line in terminal.lines() if re.match(pattern, line)]


def test_the_invented_evening_counts_what_it_lists(tmp_path, terminals):
    """It is what README.md shows, so it keeps to what a real watch of the demo would count."""
    terminal = terminals(height=60)
    probe_on(terminal, "evening")
    lines = terminal.lines()
    not_known = re.search(r"^Not known \(\d+\)\n(.*?)\s*^Quieted", "\n".join(lines), re.M | re.S).group(1).splitlines()
    weights = [len(rows(terminal, weight)) for weight in ("STOP", "FIX ", "note")]
    held_back = " ".join(" ".join(lines[:lines.index("Last")]).split()).count(", held back: ")

    assert not_known and weights[0]
    assert [int(number) for number in re.findall(r"\d+", lines[2])] == [*weights, len(not_known), held_back]
    never_heard = sum(line.endswith("was never heard") for line in not_known)
    assert f" ago; {DEMO_VALUES - never_heard} values known, 0 stale" in lines[1]


def test_eight_desks_and_the_chosen_one(tmp_path, terminals):
    terminal = terminals()
    probe_on(terminal, "stages")
    lines = terminal.lines()

    assert [line[1] for line in lines[:8]] == list("12345678")
    assert lines[4] == " 5 Orchard Tent               LOST        stop  1  fix  1  note  0  unknown  4"
    assert lines[8].endswith("  show  Ostrel Barn, Saturday") and lines[9].startswith("desk steady")
    assert lines[11].startswith("FIX  -8 dB  mix 3 Keys wedge: ")
    assert rows(terminal, "STOP drums: mix 8")
    terminal.type("5")
    terminal.until("^desk LOST for 2 min 05 s: all STALE, findings as of 21:37:05$")
    assert rows(terminal, "STOP STALE drums")


def test_eight_desks_on_the_smallest_screen(tmp_path, terminals):
    terminal = terminals(width=40, height=10)
    probe_on(terminal, "stages")
    lines = terminal.lines()

    assert lines[0].startswith(">1 Ostrel") and "show        stop  1" in lines[0]
    assert lines[1] == "7 other desks: 1 LOST, stop 2, fix 6"
    assert lines[3].startswith("desk steady, heard") and lines[4] == "stop 1, fix 3, note 2, unknown 0"
    assert lines[5].startswith("FIX  -8 dB  mix 3 Keys wedge: ")


@pytest.mark.parametrize("width, height", [(80, 24), (40, 10)])
def test_help_is_shown_whole(tmp_path, terminals, width, height):
    terminal = terminals(width=width, height=height)
    probe_on(terminal, "evening")
    terminal.type("?")
    terminal.until("away with this$")
    shown = " ".join(line.strip() for line in terminal.lines())
    for words in ("Arrows, j k, page up, page down, Home, End: scroll", "Enter: one row a finding or all of it",
                  "Tab, 1 to 9: another desk", "q twice: end the watch"):
        assert words in shown
    assert rows(terminal, "FIX  -8 dB  mix 3 Keys wedge")
    terminal.type("?")
    terminal.until(r"^\? for the keys")


def test_keys_that_scroll(tmp_path, terminals):
    terminal = terminals(height=14)
    probe_on(terminal, "evening")
    first = terminal.lines()[3:]
    terminal.type("j")
    terminal.until(r"1 above, \d+ below$")
    assert terminal.lines()[3] == first[1]
    terminal.type("k")
    terminal.until(r"^\? for the keys +\d+ rows below$")
    terminal.type("End")
    terminal.until(r"^quieting 1, input 24")
    terminal.until(r"^\? for the keys +\d+ rows above$")
    terminal.type("Home")
    terminal.until("^STOP drums")


def test_one_row_for_each_finding(tmp_path, terminals):
    terminal = terminals()
    probe_on(terminal, "evening")
    terminal.type("Enter")
    terminal.until(r"^FIX  -8 dB  mix 3 .*\n^STOP no limiter  drums")
    assert [line[:4] for line in terminal.lines()[3:9]] == ["FIX ", "STOP", "FIX ", "FIX ", "note", "note"]
    assert all(len(line) <= 80 for line in terminal.lines())
    terminal.type("Enter")
    terminal.until(r"^     on its way to the ears \[ears-unprotected\]|^     .*ears \[ears-unprotected\]")


def test_ten_thousand_findings(tmp_path, terminals):
    terminal = terminals()
    probe_on(terminal, "many")
    terminal.until(r"^0 stop, 10000 fix")
    terminal.type("End")
    terminal.until(r"^Quieted \(1\)$")
    terminal.type("PPage")
    terminal.until("player 9999: mix 2")


def test_what_terminals_measure_differently_keeps_the_columns(tmp_path, terminals):
    terminal = terminals()
    probe_on(terminal, "hostile")
    row = rows(terminal, "STOP")[0]

    assert row.endswith("no limiter, END (1.0 s)")
    assert not re.search("[\u200d\ufe0f\u0378]", row) and "\u0301" in row
    assert len(rows(terminal, "STOP")) == 1


@pytest.mark.parametrize("width, height", [(40, 12), (80, 24), (120, 50)])
def test_long_labels_keep_number_and_cure(tmp_path, terminals, width, height):
    terminal = terminals(width=width, height=height)
    probe_on(terminal, "long")
    lines = terminal.lines()
    assert lines[3].startswith("FIX  +23 dB")
    assert "put it back to -13 (12 s)" in re.sub(r"\s+", " ", " ".join(lines))
    assert PROMPT.fullmatch(lines[-1])


@pytest.mark.limit(60)
def test_an_emoji_at_every_column_of_the_edge(tmp_path, terminals):
    terminal = terminals()
    probe_on(terminal, "hostile")
    whole = "".join(rows(terminal, "STOP")[0].split())
    for width in range(30, 64):
        terminal.tmux("resize-window", "-x", width, "-y", 20)
        time.sleep(0.05)
        terminal.type("?")  # so that what is read next was drawn in the new size
        until(lambda: "away with this" in " ".join(" ".join(terminal.lines()).split()), 5,
              f"the help in {width} columns, wherever it breaks")
        terminal.type("?")
        terminal.until(r"^\? for the keys")
        lines = terminal.lines()
        body = lines[3:lines.index("Not known (2)")]
        assert "".join("".join(body).split()) == whole, f"{width} columns"


# ---- the terminal afterwards, whatever ends it ----

def modes(terminal):
    terminal.type("clear; stty -g", "Enter")
    return terminal.until(r"^[0-9a-f]+(:[0-9a-f]+){20,}:?$").group()  # no line and column of a sanitizer's report


@pytest.mark.parametrize("term", ["screen", "vt100", "xterm", "linux"])
@pytest.mark.parametrize("number, says", [
    (signal.SIGTERM, "status 0"), (signal.SIGABRT, "status 134"), (signal.SIGUSR1, "status 134"),
    (signal.SIGQUIT, "status 131"), (signal.SIGSEGV, "status 1(39)?$")])
def test_every_end_gives_the_terminal_back(tmp_path, terminals, term, number, says):
    terminal = terminals(term=term)
    before = modes(terminal)
    terminal.type("ulimit -c 0", "Enter")
    probe_on(terminal, "evening")
    os.kill(pid_of(terminal), number)
    terminal.until(f"{says}")
    assert modes(terminal) == before
    terminal.type("echo 'one'two", "Enter")
    terminal.until("^onetwo$")
    assert terminal.tmux("display-message", "-p", "#{cursor_flag} #{keypad_cursor_flag}").strip() == "1 0"
    if term in ("screen", "xterm"):
        assert terminal.tmux("display-message", "-p", "#{alternate_on}").strip() == "0"


def test_others_wait_for_their_keys_as_before(tmp_path, terminals):
    """What is opened once is shared, "without waiting" too; `stty -g` does not show that."""
    terminal = terminals()
    look = "import fcntl, os; print('waits', not fcntl.fcntl(0, fcntl.F_GETFL) & os.O_NONBLOCK)"
    terminal.type(f'{PROBE} evening; python3 -c "{look}"', "Enter")
    terminal.until("^STOP drums")
    terminal.type("q", "q")
    terminal.until("^waits True$")


def test_in_the_background_it_is_neither_drawn_nor_stopped(tmp_path, terminals):
    terminal = terminals()
    terminal.type(f"{PROBE} evening 2> {tmp_path}/turns", "Enter")
    terminal.until("^STOP drums")
    terminal.type("C-z")
    terminal.until("Stopped")
    terminal.type("clear; bg; echo prompt", "Enter")
    terminal.until("^prompt$")
    before = (tmp_path / "turns").stat().st_size
    until(lambda: (tmp_path / "turns").stat().st_size > before + 50, 5, "a loop that turns")
    assert not rows(terminal, "STOP")
    terminal.type("fg", "Enter")
    terminal.until("^STOP drums")
    terminal.type("j")
    terminal.until(r"1 above, \d+ below$")


def test_started_in_the_background_it_leaves_the_terminal_alone(tmp_path, terminals):
    terminal = terminals()
    terminal.type(f"{PROBE} evening &", "Enter")
    terminal.until("no terminal to draw on$")


@pytest.mark.parametrize("term", ["dumb", "no-such-terminal"])
def test_a_terminal_that_cannot_be_drawn_on(tmp_path, terminals, term):
    terminal = terminals(term=term)
    terminal.type(f"{PROBE} evening", "Enter")
    terminal.until("^no terminal to draw on$")


# ---- a line that is stuck, slow or gone ----

class Line:
    """A terminal whose other end reads when the test likes."""

    def __init__(self, *argv, stderr=None):
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))

        def own():
            os.setsid()
            fcntl.ioctl(slave, termios.TIOCSCTTY, 0)

        self.popen = subprocess.Popen([str(word) for word in argv], stdin=slave, stdout=slave, stderr=stderr or slave,
                                      preexec_fn=own, env={**environment(), "TERM": "xterm", "LC_ALL": "C.UTF-8"})
        os.close(slave)

    def read(self, seconds):
        got, end = b"", time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            if select.select([self.master], [], [], left)[0]:
                got += os.read(self.master, 65536)
        return got

    def read_until(self, words, most_s=100):
        got, end = b"", time.monotonic() + most_s
        while words not in got:
            got += self.read(0.05)
            assert time.monotonic() < end, got
        return got

    def end(self):
        if self.master >= 0:
            os.close(self.master)
        if self.popen.poll() is None:
            self.popen.kill()
        self.popen.wait()


@pytest.fixture
def line_on():
    lines = []

    def make(*argv, **options):
        lines.append(Line(*argv, **options))
        return lines[-1]

    yield make
    for line in lines:
        line.end()


def test_a_stuck_line_holds_nothing_up(tmp_path, line_on):
    with open(tmp_path / "turns", "wb") as turns:
        line = line_on(PROBE, "evening", stderr=turns)
    line.read_until(b"STOP")
    os.write(line.master, b"\x13")  # Ctrl-S is no key of ours either
    for _ in range(400):  # every one draws all of it anew, and nobody reads
        os.write(line.master, b"\x0c")
        time.sleep(0.005)
    before = (tmp_path / "turns").stat().st_size
    until(lambda: (tmp_path / "turns").stat().st_size >= before + 5 * len("turn\n"), what="turns of the loop")
    got = line.read(2)
    assert b"STOP" in got and len(got) > 4096  # and it is all there when somebody does
    os.write(line.master, b"q")
    line.read_until(b"End the watch?")


def test_an_end_does_not_wait_for_a_stuck_line(tmp_path, line_on):
    line = line_on(PROBE, "evening")
    line.read_until(b"STOP")
    for _ in range(400):
        os.write(line.master, b"\x0c")
        time.sleep(0.002)
    begun = time.monotonic()
    line.popen.send_signal(signal.SIGTERM)
    assert line.popen.wait(100) == 0
    goal(time.monotonic() - begun, 3)


def test_an_idle_screen_costs_a_slow_line_little(tmp_path, line_on):
    desk = MockDesk()
    line = line_on(BUILD / "gainwarden", "watch", show_at_once(tmp_path), "--desk", desk.at, "--keep",
                   tmp_path / "keep")
    line.read_until(b"STOP")
    line.read(3)
    assert len(line.read(5)) < 5 * 150


def test_a_lone_escape_holds_nothing_up(tmp_path, line_on):
    with open(tmp_path / "turns", "wb") as turns:
        line = line_on(PROBE, "evening", stderr=turns)
    line.read_until(b"STOP")
    before, begun = (tmp_path / "turns").stat().st_size, time.monotonic()
    for _ in range(4):
        os.write(line.master, b"\x1b")
        line.read(0.5)
    until(lambda: (tmp_path / "turns").stat().st_size >= before + 15 * len("turn\n"), what="turns of the loop")
    goal(time.monotonic() - begun, 2.5)


def cpu_s(pid):
    fields = stat_of(pid)
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def test_the_watch_goes_on_when_the_line_is_hung_up(tmp_path, line_on):
    desk, show = MockDesk(), show_at_once(tmp_path)
    line = line_on(BUILD / "gainwarden", "watch", show, "--desk", desk.at, "--keep", tmp_path / "keep")
    assert b"STOP" in line.read(3)
    os.close(line.master)
    line.master = -1
    time.sleep(0.5)
    status = subprocess.run([BUILD / "gainwarden", "status", show, "--desk", desk.at, "--keep", tmp_path / "keep"],
                            env=environment(), capture_output=True, text=True, check=False)
    assert "1 stop, 5 fix, 8 note" in status.stdout, status
    spent = cpu_s(line.popen.pid)
    time.sleep(1)
    assert cpu_s(line.popen.pid) - spent < 0.3  # it does not turn around the dead descriptor
    line.popen.send_signal(signal.SIGTERM)
    assert line.popen.wait(50) == 0


def test_ctrl_z_where_nobody_could_continue_it(tmp_path, line_on):
    """The first program of a line has no shell above it: it may not be stopped for ever."""
    with open(tmp_path / "turns", "wb") as turns:
        line = line_on(PROBE, "evening", stderr=turns)
    assert b"STOP" in line.read(0.5)
    os.write(line.master, b"\x1a")
    assert b"STOP" in line.read(1)
    before = (tmp_path / "turns").stat().st_size
    line.read(0.5)
    assert (tmp_path / "turns").stat().st_size > before
