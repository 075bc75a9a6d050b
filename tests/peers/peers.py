# SPDX-License-Identifier: MIT
"""Starts the peers: desks that others' OSC libraries play, and the programs' own eyes on them."""
import contextlib
import os
import pathlib
import signal
import subprocess

from harness import BUILD, Process, check_sanitizers, environment, until

HERE = pathlib.Path(__file__).resolve().parent
OSCPACK = BUILD / "tests" / "oscpack_peer"
NPM = ("node", HERE / "npm_peer.js")


class Peer(Process):
    """A program that listens on a port of the kernel's choice. Not each says which; /proc does."""

    def __init__(self, *argv, transport="udp", env=None):
        super().__init__(*argv, env=env)
        self.host = "127.0.0.1"
        self.port = until(lambda: self.find_port(transport), what=f"a socket of {self.name}")
        self.at = f"{self.host}:{self.port}"

    def find_port(self, transport):
        assert self.running(), "\n".join(self.err.texts())
        sockets = set()
        for entry in pathlib.Path(f"/proc/{self.popen.pid}/fd").iterdir():
            with contextlib.suppress(FileNotFoundError):  # closed meanwhile
                sockets.add(os.readlink(entry))
        for row in pathlib.Path(f"/proc/net/{transport}").read_text().splitlines()[1:]:
            columns = row.split()
            if f"socket:[{columns[9]}]" in sockets:
                return int(columns[1].rsplit(":", 1)[1], 16)
        return None

    def stop(self, number=signal.SIGINT, timeout=100):
        return super().stop(number, timeout)


def through(argv, rows, timeout=150):
    """What a filter answers, line by line."""
    done = subprocess.run([str(word) for word in argv], input="\n".join(rows) + "\n", text=True,
                          timeout=timeout, capture_output=True, env=environment(), check=False)
    check_sanitizers(str(argv[0]), done.stderr)
    assert done.returncode == 0 and done.stderr == "", done.stderr
    answers = done.stdout.splitlines()
    assert len(answers) == len(rows)
    return answers


def known(profile, desk):
    """{(parameter, row, column): value} after one reading of the desk by gainwarden's own code.

    None is a value never heard.
    """
    done = subprocess.run([str(BUILD / "tests" / "desk_probe"), str(profile), desk.at], text=True,
                          timeout=200, capture_output=True, env=environment(), check=False)
    check_sanitizers("desk_probe", done.stderr)
    assert done.returncode == 0, done.stderr
    found = {}
    for line in done.stdout.splitlines():
        parameter, row, column, value = line.split(" ", 3)
        found[parameter, int(row), int(column)] = value_of(parameter, value)
    return found


def value_of(parameter, text):
    if text == "unknown":
        return None
    return text if parameter.endswith(".name") else float(text)


def oscsend(desk, address, tags="", *values):
    """A move by another client: a program of Debian's liblo-tools."""
    subprocess.run(["/usr/bin/oscsend", desk.host, str(desk.port), address, tags, *map(str, values)],
                   check=True, timeout=100)
