# SPDX-License-Identifier: MIT
"""What it costs to watch 32 desks of 6,000 values at once, each with ten pushed changes a second.

several.py BUILD: starts 32 mock-desks and one `gainwarden watch`, and prints the CPU and the memory of the
watch while the changes come. Goal: under 100 MB.
"""
import json
import os
import pathlib
import re
import socket
import struct
import subprocess
import sys
import tempfile
import time

DESKS, INPUTS, MIXES, SECONDS, A_SECOND = 32, 120, 50, 10, 10


def message(address, value):
    text = address.encode() + b"\0"
    return text + b"\0" * (-len(text) % 4) + b",f\0\0" + struct.pack(">f", value)


def write(path, value):
    path.write_text(json.dumps(value))
    return path


def status(process, key):
    text = pathlib.Path(f"/proc/{process.pid}/status").read_text()
    return int(re.search(rf"^{key}:\s+(\d+) kB", text, re.M)[1])


def cpu_seconds(process):
    words = pathlib.Path(f"/proc/{process.pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK")


def start_desk(build, state):
    desk = subprocess.Popen([build / "mock-desk", "--state", state, "--port", "0"], stdout=subprocess.PIPE)
    return desk, int(desk.stdout.readline().rsplit(b":", 1)[1])


def write_shows(folder, ports):
    fader = {"line": [[0, "-inf"], [0.04, -70], [0.35, -25], [0.7, 0], [1, 10]]}
    profile = write(folder / "profile.json", {
        "profile_format": 1, "desk": "Bench", "link": {"transport": "udp", "port": 9100},
        "renew": [{"send": ["/stay"], "every_s": 4}], "counts": {"input": INPUTS, "mix": MIXES},
        "values": [{"at": "/in/{input}/to/{mix}/level", "is": "send.level", "law": fader}]})
    return [write(folder / f"show{number}.json", {
        "show_format": 1, "show": f"Stage {number}",
        "desk": {"profile": str(profile), "host": "127.0.0.1", "port": port, "role": "monitor"}})
        for number, port in enumerate(ports)]


def change(ports):
    """Each change moves another send to another level."""
    end = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    begun = time.monotonic()
    for turn in range(SECONDS * A_SECOND):
        address = f"/in/{turn % INPUTS + 1}/to/{turn % MIXES + 1}/level"
        for port in ports:
            end.sendto(message(address, 0.2 + turn / 1000), ("127.0.0.1", port))
        time.sleep(max(0, begun + (turn + 1) / A_SECOND - time.monotonic()))


def measure(build, folder):
    state = write(folder / "state.json", {
        "desk_state": 1, "counts": {"inputs": INPUTS, "mixes": MIXES},
        "inputs": [{"name": f"In {n}"} for n in range(INPUTS)], "mixes": [{"name": f"W {n}"} for n in range(MIXES)]})
    desks = [start_desk(build, state) for _ in range(DESKS)]
    ports = [port for _, port in desks]
    watch = subprocess.Popen([build / "gainwarden", "watch", "--yes", "--keep", folder / "keep", *write_shows(folder, ports)],
                             stdout=subprocess.PIPE, text=True)
    try:
        begun, ready = time.monotonic(), 0
        while ready < DESKS:
            ready += " watching: " in watch.stdout.readline()
        took = time.monotonic() - begun
        sink = subprocess.Popen(["cat"], stdin=watch.stdout, stdout=subprocess.DEVNULL)
        before = cpu_seconds(watch)
        change(ports)
        used = cpu_seconds(watch) - before
        print(f"{DESKS} desks of {INPUTS * MIXES} values: all read in {took:.1f} s; "
              f"{A_SECOND} changes a second each: {100 * used / SECONDS:.1f} % of one core, "
              f"{status(watch, 'VmRSS') / 1024:.0f} MB")
    finally:
        watch.terminate()
        watch.wait()

        for desk, _ in desks:
            desk.terminate()
            desk.wait()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        measure(pathlib.Path(sys.argv[1]), pathlib.Path(folder))
