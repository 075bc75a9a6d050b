# SPDX-License-Identifier: MIT
"""Who is told besides the terminal and the chat hook: JSON lines, the heartbeat file, and the service
manager. Read back by other programs: Python's json, a plain socket.
"""
import json
import os
import pathlib
import re
import signal
import socket
import subprocess
import time

import pytest

from harness import (BUILD, MockDesk, Process, ROOT, begin_watch, fader_wire, goal, notes, read_json, run,
                     show_at_once, unix_address, until, write_json)

MASTER = "/mix/6/fader"


def watch_with(folder, desk=None, env=None, **changes):
    desk = desk or MockDesk()
    show = show_at_once(folder, **changes)
    watch, seen = begin_watch(desk, "--still-every", "0", "--keep", folder / "keep", show=show, env=env)
    return desk, watch, seen


def objects(path):
    return [json.loads(line) for line in path.read_text().splitlines()]


def move(desk, watch, db, seen=0):
    start = watch.out.count()
    desk.move(MASTER, "f", fader_wire(db))
    watch.expect(r"(raised|cleared|worse) .*\[master-off-unity\] mix 6", start=start)


# ---- JSON lines ----

def test_one_object_an_edge(tmp_path):
    desk, watch, _ = watch_with(tmp_path, tell={"lines": {"file": "edges.jsonl"}})
    for db in (-3, -9, 0):
        move(desk, watch, db)
    assert watch.stop() == 0
    edges = [one for one in objects(tmp_path / "edges.jsonl") if "finding" in one]

    assert [one["event"] for one in edges] == ["raised", "worse", "cleared"]
    for one in edges:
        assert one["finding"]["check"] == "master-off-unity" and one["finding"]["object"] == {"mix": 6}
        assert one["show"] == "Ostrel Barn, Saturday" and one["room"] == "doors"
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", one["at"])
    assert edges[1]["finding"]["figures"]["off_unity_db"] == 9
    assert edges[2]["lasted_s"] >= 0
    events = [one["event"] for one in objects(tmp_path / "edges.jsonl") if "finding" not in one]
    assert events == ["watching", "stopped"]


def test_what_is_held_back_is_an_edge_and_says_by_what(tmp_path):
    desk, watch, _ = watch_with(tmp_path, tell={"lines": {"file": "edges.jsonl"}}, room={"begin": "show"})
    desk.move(MASTER, "f", fader_wire(-3))
    until(lambda: [one for one in objects(tmp_path / "edges.jsonl") if one["event"] == "raised"])
    (edge,) = [one for one in objects(tmp_path / "edges.jsonl") if one["event"] == "raised"]

    assert edge["held_back_by"] == "room show"
    assert watch.stop() == 0


def test_lines_on_standard_output_stand_there_alone(tmp_path):
    desk = MockDesk()
    show = show_at_once(tmp_path, tell={"lines": {"file": "-"}})
    watch = Process(BUILD / "gainwarden", "watch", show, "--desk", desk.at, "--keep", tmp_path / "keep")
    watch.expect(r'^\{"event":"watching"')
    desk.move(MASTER, "f", fader_wire(-9))
    watch.expect(r'^\{"event":"raised"')
    assert watch.stop() == 0
    assert [json.loads(line)["event"] for line in watch.out.texts()] == ["watching", "raised", "stopped"]
    said = "\n".join(watch.err.texts())
    assert re.search(r"^\d\d:\d\d:\d\d watching: ", said, re.M)
    assert re.search(r"^\d\d:\d\d:\d\d raised fix \[master-off-unity\] mix 6", said, re.M)


def test_the_file_is_opened_anew_after_rotation(tmp_path):
    desk, watch, seen = watch_with(tmp_path, tell={"lines": {"file": "edges.jsonl"}})
    move(desk, watch, -9)
    (tmp_path / "edges.jsonl").rename(tmp_path / "edges.1.jsonl")
    watch.popen.send_signal(signal.SIGHUP)
    watch.expect("reloaded: profile unchanged, show file unchanged", start=seen)
    move(desk, watch, 0)
    assert watch.stop() == 0

    assert [one["event"] for one in objects(tmp_path / "edges.1.jsonl")] == ["watching", "raised"]
    assert [one["event"] for one in objects(tmp_path / "edges.jsonl")] == ["cleared", "stopped"]


def test_lines_that_cannot_be_written_are_counted_and_told_once(tmp_path):
    desk, watch, seen = watch_with(tmp_path, tell={"lines": {"file": "/dev/full"}})
    for db in (-3, -9, 0):
        move(desk, watch, db)
    said = [line for line in notes(watch) if line.startswith("JSON lines")]

    assert said == ["JSON lines to /dev/full: cannot be written, the lines are counted: No space left on device"]
    assert watch.stop() == 0


def in_own_mounts():
    """What gives a program mounts of its own, or None where nobody may."""
    words = ["unshare", "--mount", *([] if os.geteuid() == 0 else ["--map-root-user"])]
    return words if subprocess.run([*words, "true"], capture_output=True, check=False).returncode == 0 else None


def fill(path):
    """A file as long as the disk has room, page by page; how long it became."""
    with open(path, "ab", buffering=0) as file:
        with pytest.raises(OSError, match="No space left"):
            while True:
                file.write(bytes(4096))
        return file.tell()


def test_a_disk_that_is_nearly_full_is_told_once(tmp_path):
    """A disk of the test's own, with room for a few lines now and then: no pairs of full and not full."""
    mounts = in_own_mounts()
    if not mounts:
        pytest.skip("namespaces are refused here")
    disk, desk = tmp_path / "disk", MockDesk()
    disk.mkdir()
    show = show_at_once(tmp_path, tell={"lines": {"file": "disk/edges.jsonl"}})
    watch = Process(*mounts, "sh", "-c", f'mount -t tmpfs -o size=256k tmpfs {disk} && exec "$@"', "sh",
                    BUILD / "gainwarden", "watch", "--yes", show, "--desk", desk.at, "--still-every", "0",
                    "--keep", tmp_path / "keep")
    watch.expect("watching: ")
    inside = pathlib.Path(f"/proc/{watch.popen.pid}/root{disk}")
    filler = inside / "filler"
    until(lambda: '"event":"watching"' in (inside / "edges.jsonl").read_text())  # which is no edge
    length, edges = fill(filler), 0
    for _ in range(4):
        for _ in range(3):
            move(desk, watch, -9)
            move(desk, watch, 0)
            edges += 2
        length -= 4096
        os.truncate(filler, length)
        length = fill(filler) if edges == 12 else length
    filler.unlink()
    move(desk, watch, -9)
    written = (inside / "edges.jsonl").read_text()
    assert watch.stop() == 0
    lines = [json.loads(line) for line in written.splitlines()]
    lost = sum(line["count"] for line in lines if line["event"] == "lines-lost")
    said = [line for line in notes(watch) if line.startswith("JSON lines")]

    assert said == [f"JSON lines to {disk}/edges.jsonl: {what}" for what in (
        "cannot be written, the lines are counted: No space left on device", "written again")]
    assert lost > 0 and lost + sum("finding" in line for line in lines) == edges + 1


def test_a_file_that_cannot_be_opened_is_refused_at_once(tmp_path):
    show = show_at_once(tmp_path, tell={"lines": {"file": "no/such/folder/x"}})
    result = run("watch", show, "--desk", "127.0.0.1", "--keep", tmp_path / "keep")
    assert result.status == 2
    assert re.search(r"no/such/folder/x: cannot be written: No such file or directory$", result.err, re.M)


# ---- still alive ----

def test_the_heartbeat_file(tmp_path):
    desk, watch, _ = watch_with(tmp_path, tell={"heartbeat": {"file": "alive.json", "every_s": 1}})
    first = read_json(tmp_path / "alive.json")
    until(lambda: read_json(tmp_path / "alive.json")["at"] > first["at"], what="another heartbeat")
    second = read_json(tmp_path / "alive.json")

    assert second["link"] == "steady" and second["room"] == "doors" and second["stale"] == 0
    assert second["known"] > 1000 and second["heard_s_ago"] < 200
    assert watch.stop() == 0
    assert desk.running()


def test_a_reload_takes_the_heartbeat_away_and_gives_another(tmp_path):
    """A watch goes on without one, and one that is new begins at once."""
    def reload(**tell):
        write_json(show, {**read_json(show), "tell": tell})
        start = watch.out.count()
        watch.popen.send_signal(signal.SIGHUP)
        watch.expect("reloaded: .*show file changed in tell", start=start)

    desk, watch, _ = watch_with(tmp_path, tell={"heartbeat": {"file": "alive.json", "every_s": 1}})
    show = tmp_path / "show.json"
    until((tmp_path / "alive.json").exists)
    reload()
    (tmp_path / "alive.json").unlink()
    time.sleep(2.5)
    move(desk, watch, -9)
    assert not (tmp_path / "alive.json").exists()
    reload(heartbeat={"file": "other.json", "every_s": 3600})
    until((tmp_path / "other.json").exists)
    assert watch.stop() == 0


def test_a_heartbeat_that_cannot_be_written_is_told_once(tmp_path):
    _, watch, _ = watch_with(tmp_path, tell={"heartbeat": {"file": "no/such/alive.json", "every_s": 1}})
    time.sleep(2.3)
    said = [line for line in notes(watch) if "heartbeat" in line]

    assert len(said) == 1 and said[0].endswith("no/such/alive.json cannot be written: No such file or directory")
    assert watch.stop() == 0


class Manager:
    """What a service manager hears, at an abstract name (unix(7)) of the kernel's choice: a path may be too long."""

    def __init__(self):
        self.socket = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self.socket.bind("")
        self.path = "@" + self.socket.getsockname()[1:].decode()
        self.socket.settimeout(60)
        self.heard = []

    def until(self, line):
        while line not in self.heard:
            self.heard += self.socket.recv(4096).decode().split("\n")


@pytest.mark.limit(30)
def test_a_service_tells_its_manager(tmp_path):
    manager = Manager()
    desk, watch, seen = watch_with(tmp_path, env={"NOTIFY_SOCKET": manager.path, "WATCHDOG_USEC": "600000"})
    manager.until("READY=1")
    manager.until("STATUS=Ostrel Barn, Saturday: doors, desk steady, 1 stop, 5 fix, 8 note, 0 not "
                  "known")
    for _ in range(3):
        manager.heard.clear()
        begun = time.monotonic()
        manager.until("WATCHDOG=1")
        goal(time.monotonic() - begun, 0.6)
    watch.popen.send_signal(signal.SIGHUP)
    manager.until("RELOADING=1")
    manager.until("READY=1")
    watch.popen.send_signal(signal.SIGTERM)
    manager.until("STOPPING=1")
    assert watch.wait() == 0
    assert desk.running() and seen


class Journal:
    """The journal's own socket, where nothing but the watch sees it: /run/systemd/journal/socket in mounts of its own.

    Entries as in "Native Journal Protocol" (systemd.io): NAME=VALUE, or a value with line feeds behind its length.
    """

    def __init__(self, folder):
        self.folder = folder / "journal"
        self.folder.mkdir()
        self.socket = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        with unix_address(self.folder / "socket") as address:
            self.socket.bind(address)
        self.socket.settimeout(60)

    def words(self):
        mounts = in_own_mounts()
        if not mounts:
            pytest.skip("namespaces are refused here")
        return [*mounts, "sh", "-c", "mount -t tmpfs tmpfs /run && mkdir -p /run/systemd/journal && "
                f'mount --bind {self.folder} /run/systemd/journal && exec "$@"', "sh"]

    def entry(self):
        data, fields = self.socket.recv(65536), {}
        while data:
            head, _, data = data.partition(b"\n")
            name, plain, value = head.partition(b"=")
            if not plain:
                size = int.from_bytes(data[:8], "little")
                value, data = data[8:8 + size], data[9 + size:]
            fields[name.decode()] = value.decode()
        return fields

    def until(self, text):
        entry = self.entry()
        while text not in entry["MESSAGE"]:
            entry = self.entry()
        return {name: value for name, value in entry.items()  # but what the library adds by itself
                if name != "SYSLOG_IDENTIFIER" and not name.startswith("CODE_")}


def test_the_journal_gets_fields(tmp_path):
    """And no lines on standard output, which is the journal's, too. A line feed in a name begins no field."""
    journal, desk = Journal(tmp_path), MockDesk()
    show = show_at_once(tmp_path, show="Barn\nPRIORITY=0")
    with open(tmp_path / "stream", "wb") as stream:
        status = os.fstat(stream.fileno())
        watch = Process(*journal.words(), BUILD / "gainwarden", "watch", "--yes", show, "--desk", desk.at,
                        "--still-every", "2", "--keep", tmp_path / "keep", stdout=stream.fileno(),
                        env={"JOURNAL_STREAM": f"{status.st_dev}:{status.st_ino}"})
    ours = {"GAINWARDEN_SHOW": "Barn?PRIORITY=0"}
    begun = journal.until("watching: ")
    assert begun == {**ours, "PRIORITY": "6", "GAINWARDEN_EVENT": "watching", "GAINWARDEN_WEIGHT": "note",
                     "MESSAGE": begun["MESSAGE"]}
    desk.move(MASTER, "f", fader_wire(-9))
    raised = journal.until("[master-off-unity] mix 6")
    assert raised == {**ours, "PRIORITY": "4", "GAINWARDEN_EVENT": "message", "GAINWARDEN_WEIGHT": "fix",
                      "MESSAGE": raised["MESSAGE"]}
    assert raised["MESSAGE"].startswith("raised fix [master-off-unity] mix 6 Drum-fill")
    assert run("room", show, "show", "--keep", tmp_path / "keep").status == 0
    assert journal.until("room doors -> show")["GAINWARDEN_EVENT"] == "room"
    assert journal.until("still watching")["GAINWARDEN_EVENT"] == "still"
    assert watch.stop() == 0
    assert journal.until("stopped watching")["GAINWARDEN_EVENT"] == "stopped"
    assert not re.search(r"^\d\d:\d\d:\d\d ", (tmp_path / "stream").read_text(), re.M)


def test_a_stream_that_is_not_the_journal_gets_plain_lines(tmp_path):
    """JOURNAL_STREAM names another file: what is printed is printed."""
    _, watch, seen = watch_with(tmp_path, env={"JOURNAL_STREAM": "1:2"})
    assert notes(watch)[0].startswith("watching: ") and seen
    assert watch.stop() == 0


@pytest.fixture
def unit(tmp_path):
    """The unit as the service manager's own tools take it, with the built program in it."""
    if subprocess.run(["systemd-analyze", "--version"], capture_output=True, check=False).returncode != 0:
        pytest.skip("no systemd-analyze here")
    path = tmp_path / "gainwarden@barn.service"
    text = (ROOT / "contrib" / "gainwarden@.service").read_text()
    path.write_text(text.replace("/usr/bin/gainwarden", str(BUILD.resolve() / "gainwarden")))
    return path


def test_the_unit_file_is_sound(unit):
    result = subprocess.run(["systemd-analyze", "verify", "--man=no", unit], capture_output=True, text=True,
                            check=False)
    assert result.returncode == 0 and str(unit) not in result.stderr, result.stderr


def test_the_unit_has_the_network_and_its_own_folders_and_nothing_else(unit):
    """The exposure that systemd-analyze works out, from 0 to 10: most of what is left is the network."""
    result = subprocess.run(["systemd-analyze", "security", "--offline=true", "--threshold=20", "--no-pager", unit],
                            capture_output=True, text=True, check=False)
    exposure = re.search(r"Overall exposure level for .*: ([\d.]+)", result.stdout)
    assert exposure and float(exposure[1]) <= 2.0, result.stdout + result.stderr
    assert result.returncode == 0
    keys = dict(line.split("=", 1) for line in unit.read_text().splitlines() if re.match("[A-Z][A-Za-z]+=", line))
    assert keys["DynamicUser"] == "yes" and keys["ProtectSystem"] == "strict"
    assert keys["StateDirectory"] == keys["RuntimeDirectory"] == "gainwarden/%i"
    assert not [key for key in keys if key in ("ReadWritePaths", "BindPaths", "AmbientCapabilities", "User")]
    assert keys["ExecReload"] == "/bin/kill -HUP $MAINPID" and keys["Type"] == "notify"
    assert keys["LoadCredential"] == "%i.hook:/etc/gainwarden/%i.hook"
