# SPDX-License-Identifier: MIT
"""Completion in bash itself, from the script that the program prints of its own tables: what the help lists is
offered, and nothing else. Where readline completes by itself (files, folders), bash is asked to let it.
"""
import functools
import os
import pty
import re
import select
import subprocess
import time

import pytest

import harness

FILES, FOLDERS = ["<files>"], ["<folders>"]
# What a person alone can know; the help writes it in capitals.
NOBODY_KNOWS = {"HOST", "PORT", "SECONDS", "TIME", "MB", "WORD", "NAME", "TEXT", "NUMBER"}

# compopt works only while readline completes; here it says what it was asked for.
ASK = r"""
source /dev/stdin
compopt() { case $2 in default) COMPREPLY+=('<files>');; dirnames) COMPREPLY+=('<folders>');; esac; }
COMP_WORDS=(gainwarden "$@")
COMP_CWORD=$#
_gainwarden
printf '%s\n' "${COMPREPLY[@]}"
"""


@functools.cache
def script():
    return harness.run("explain", "completion").out


def offered(*words):
    """What bash is told for the last of the words, split as readline splits them (COMP_WORDBREAKS)."""
    split = [part for word in words for part in re.split("(=)", word) if part or "=" not in word]
    done = subprocess.run(["bash", "--norc", "-c", ASK, "bash", *split], input=script(), text=True,
                          capture_output=True, timeout=100, check=True)
    assert done.stderr == ""
    return sorted(done.stdout.split())


# ---- what there is, as the help says ----

@functools.cache
def commands():
    """Each command with what it takes as words."""
    listed = harness.run("--help").out.split("commands:\n")[1].split("\n\n")[0]
    return dict(re.findall(r"^  (\S+) +(\[?[A-Z][^a-z\n]*)(?: |$)", listed, re.M))


@functools.cache
def options(command):
    """Each option with what it takes, None for nothing."""
    listed = harness.run(command, "--help").out.split("options:\n")[1]
    return dict(re.findall(r"^  (--[a-z-]+)(?:=(\S+))?", listed, re.M))


@functools.cache
def checks():
    return sorted(harness.run("check", "--schema=show").json()["properties"]["checks"]["properties"])


def topics():
    return sorted(word for word in offered("explain", "") if word not in checks())


def expected(taken):
    """What is to be offered where the help says "FILE", "text|json", "[CHECK|TOPIC]"."""
    result = []
    for word in re.sub(r"[\[\].]", "|", taken).strip(": |").split("|"):
        if word in ("FILE", "SHOW"):
            result += FILES
        elif word == "FOLDER":
            result += FOLDERS
        elif word in ("ID", "CHECK"):
            result += checks()
        elif word == "ROOM":
            result += ["line-check", "doors", "show", "changeover"]
        elif word == "TOPIC":
            result += topics()
        elif word.islower():
            result.append(word)
        else:
            assert word.strip(":") in NOBODY_KNOWS or not word, f"{word} of {taken} is new here"
    return sorted(result)


def test_commands_are_offered_and_nothing_else():
    assert len(commands()) > 10
    assert offered("") == sorted([*commands(), "--help", "--version"])
    assert offered("au") == ["audit"]
    assert offered("--v") == ["--version"]
    assert offered("nonsense") == []


@pytest.mark.limit(120)
def test_each_option_of_each_command_with_what_it_takes():
    taken = 0
    for command in commands():
        names = options(command)
        assert offered(command, "--") == sorted(name + "=" if argument else name
                                                for name, argument in names.items()), command
        for name, argument in names.items():
            assert (name + "=" if argument else name) in offered(command, name), (command, name)
            if argument:
                assert offered(command, f"{name}=") == offered(command, name, "") == expected(argument), (command, name)
                taken += 1
    assert taken > 40


def test_each_word_of_each_command():
    for command, words in commands().items():
        for i, word in enumerate(words.split()):
            assert offered(command, *["x"] * i, "") == expected(word), (command, word)
        behind = offered(command, *["x"] * len(words.split()), "")
        assert behind == (expected(words.split()[-1]) if "..." in words else []), command


def test_options_before_a_word_do_not_count_as_one():
    assert offered("explain", "high-pass-m") == ["high-pass-missing"]
    assert offered("audit", "--format=json", "--within", "3", "--all", "") == FILES
    assert offered("audit", "--format", "j") == offered("audit", "--format=j") == ["json"]
    assert offered("audit", "show.json", "--format=json", "") == []
    assert offered("quiet", "show.json", "--check=unused") == ["unused-preamp-gain"]


def test_topics_are_what_explain_takes():
    assert set(topics()) >= {"parameters", "sources", "scheme", "completion"}
    for topic in topics():
        assert harness.run("explain", topic).status == 0, topic


def test_words_of_the_line_are_never_run(tmp_path):
    trap = tmp_path / "run"
    for word in (f"$(touch {trap})", f"`touch {trap}`", f"x[$(touch {trap})]", "@", "*", "]", "'"):
        offered("audit", word, "--" + word, "")
        offered(word, "")
        offered("audit", "--format", word)
        offered("audit", word)
    assert not trap.exists()


def test_no_option_or_command_of_an_unknown_command():
    assert offered("nonsense", "") == offered("nonsense", "--") == []


# ---- in an interactive bash ----

class Terminal:
    def __init__(self, folder):
        (folder / "completion").write_text(script())
        (folder / "inputrc").write_text("set enable-bracketed-paste off\nset bell-style none\n")
        self.master, slave = pty.openpty()
        env = {"PATH": os.environ["PATH"], "TERM": "dumb", "PS1": "> ", "INPUTRC": str(folder / "inputrc"),
               "COLUMNS": "200"}
        self.popen = subprocess.Popen(["bash", "--norc", "--noprofile", "-i"], stdin=slave, stdout=slave, stderr=slave,
                                      cwd=folder, env=env, start_new_session=True)
        os.close(slave)
        self.type("source ./completion; gainwarden() { printf 'got:'; printf '<%s>' \"$@\"; echo; }\n", "\n> ")

    def type(self, text, until):
        """Everything the terminal shows up to the pattern."""
        os.write(self.master, text.encode())
        shown, end = "", time.monotonic() + 150
        while not re.search(until, shown):
            assert time.monotonic() < end, shown
            if select.select([self.master], [], [], 0.1)[0]:
                shown += os.read(self.master, 65536).decode(errors="replace").replace("\r", "")
        return shown

    def end(self):
        os.close(self.master)
        self.popen.wait(100)


@pytest.mark.limit(60)
def test_the_tab_key(tmp_path):
    (tmp_path / "our big show.json").write_text("{}")
    (tmp_path / "shows").mkdir()
    terminal = Terminal(tmp_path)
    try:
        shown = terminal.type("gainwarden aud\tour\t--form\tjs\t\n", "got:<.*\n")
        assert "got:<audit><our big show.json><--format=json>" in shown
        shown = terminal.type("gainwarden watch --keep=sh\t --prof\tour\t\n", "got:<watch>.*\n")
        assert "got:<watch><--keep=shows/><--profile=our big show.json>" in shown
    finally:
        terminal.end()
