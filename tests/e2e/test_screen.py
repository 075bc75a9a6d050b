"""The watch on a real terminal: tmux is the terminal, and what it shows is read back. The screen is
drawn, scrolled, resized and left, and the terminal is then as it was.
"""
import re
import shutil
import subprocess
import time

import pytest

import osc
from harness import BUILD, PROFILE, MockDesk, environment, fader_wire, show_at_once, until

pytestmark = pytest.mark.skipif(not shutil.which("tmux"), reason="no tmux here")


PROMPT = re.compile(r"\? for the keys( +\d+ rows below)?")


class Terminal:
    """One tmux server of the test's own, with a shell in it."""

    def __init__(self, folder, width=80, height=24, term=None, env=None):
        self.socket = folder / "tmux"
        self.env = {**environment(), "LC_ALL": "C.UTF-8", "PS1": "$ ", **(env or {})}
        self.tmux("-f", "/dev/null", "new-session", "-d", "-x", width, "-y", height, "bash --norc --noprofile")
        if term:
            self.type(f"export TERM={term}", "Enter")

    def tmux(self, *words):
        done = subprocess.run(["tmux", "-S", self.socket, *map(str, words)], env=self.env, timeout=10,
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
        subprocess.run(["tmux", "-S", str(self.socket), "kill-server"], check=False, capture_output=True)


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
    terminal.until(r"^1 to stop for, 5 to fix, 8 to know, 0 not known$")
    lines = terminal.lines()

    assert re.fullmatch(r"\d\d:\d\d:\d\d  doors  Lantern Yard, Saturday", lines[0])
    assert re.fullmatch(r"desk steady, heard \d+\.\d s ago; 2155 values known, 0 stale", lines[1])
    assert lines[3].startswith("STOP drums: mix 8 Drums IEM: an in-ear mix without a limiter")
    assert [line[:4] for line in lines[3:] if re.match("STOP|FIX |note", line)][:2] == ["STOP", "FIX "]
    assert re.fullmatch(r"\? for the keys +\d+ rows below", lines[-1])
    desk.move("/mix/6/fader", "f", fader_wire(-9))
    terminal.until(r"^\d\d:\d\d:\d\d raised fix \[master-off-unity\] mix 6")
    assert "6 to fix" in terminal.lines()[2]


def test_everything_is_within_reach(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals(height=14)
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 to stop for")
    seen = set()
    for _ in range(12):
        seen |= set(re.findall(r"\[([a-z-]+)\]", " ".join(terminal.lines())))
        terminal.type("NPage")
        time.sleep(0.15)
    assert {"ears-unprotected", "unused-preamp-gain", "too-many-cuts", "open-microphones",
            "phantom-mismatch"} <= seen
    for _ in range(12):
        terminal.type("PPage")
    terminal.until("^STOP drums")


@pytest.mark.parametrize("width, height", [(40, 10), (160, 50), (120, 12)])
def test_other_sizes(tmp_path, terminals, width, height):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 to stop for")
    terminal.tmux("resize-window", "-x", width, "-y", height)
    until(lambda: len(terminal.lines()) == height and PROMPT.fullmatch(terminal.lines()[-1]), 5, "the new size")
    lines = terminal.lines()

    assert all(len(line) <= width for line in lines)
    assert lines[3].startswith("STOP drums: mix 8 Drums IEM")


def test_too_small(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 to stop for")
    terminal.tmux("resize-window", "-x", 20, "-y", 4)
    terminal.until("^too small$")
    terminal.tmux("resize-window", "-x", 80, "-y", 24)
    terminal.until("^STOP drums")


@pytest.mark.limit(40)
def test_a_lost_desk_is_shown_and_its_values_called_stale(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 to stop for")
    desk.rig("silent", 1)
    terminal.until(r"^desk LOST for \d+\.\d s: all STALE, findings as of \d\d:\d\d:\d\d$", 12)
    terminal.until("^STOP STALE drums: mix 8")
    terminal.until("^FIX  STALE drums: input 5 Hat")


def test_states_and_quieting_are_shown(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals(width=110, height=60)
    show = watch_on(terminal, tmp_path, desk)
    terminal.until("^1 to stop for")
    for words in (["state", show, "changeover", "--for", "10m"],
                  ["quiet", show, "--mix", "2", "--for", "1h", "--why", "a new wedge", "--now"]):
        subprocess.run([BUILD / "gainwarden", *map(str, words), "--keep", tmp_path / "keep"], check=True,
                       env=environment(), capture_output=True)
    terminal.until(r"^\d\d:\d\d:\d\d  changeover, ends in \d+ min \d\d s  Lantern Yard, Saturday$")
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
    terminal.until("^1 to stop for")
    leave(terminal, how)
    terminal.until(r"^\d\d:\d\d:\d\d stopped watching after ")
    terminal.until(r"^status 0$")
    terminal.type("clear; stty -g", "Enter")
    assert terminal.until(r"^[0-9a-f]+:[0-9a-f:]+$").group() == before


def test_one_q_is_no_end(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 to stop for")
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
    terminal.until("^1 to stop for")
    terminal.type("C-z")
    terminal.until(r"Stopped")
    terminal.type("fg", "Enter")
    terminal.until("^1 to stop for")
    leave(terminal, "C-c")
    terminal.until(r"stopped watching after ")


# ---- dark rooms, plain terminals, hostile labels ----

def test_weights_are_words_and_no_background_is_set(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 to stop for")
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
    terminal.until("^1 to stop for")
    desk.send(osc.message("/mix/8/name", "s", "\x1b[2J\x1b[31mIEM \u202eevil"))
    terminal.until(r"^STOP .*mix 8 .*IEM")
    lines = terminal.lines()

    assert PROMPT.fullmatch(lines[-1]) and lines[0].endswith("Lantern Yard, Saturday")
    assert "\u202e" not in "\n".join(lines)


def test_wide_labels_keep_the_columns(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals()
    watch_on(terminal, tmp_path, desk)
    terminal.until("^1 to stop for")
    desk.send(osc.message("/mix/8/name", "s", "ドラム IEM ドラム"))
    terminal.until(r"^STOP .*ドラム IEM")
    assert PROMPT.fullmatch(terminal.lines()[-1])


def test_plain_is_lines(tmp_path, terminals):
    desk, terminal = MockDesk(), terminals(height=50)
    watch_on(terminal, tmp_path, desk, "--plain")
    terminal.until(r"^\d\d:\d\d:\d\d watching: 1 to stop for")
    terminal.until(r"^Care: loud stages damage hearing")
