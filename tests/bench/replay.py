# SPDX-License-Identifier: MIT
"""How fast a recorded watch is run once more, against the time it took to happen.

replay.py BUILD: watches a mock-desk of 48 inputs and 24 mixes for some seconds while sends move, records it, and
replays the recording; the middle of five runs.
"""
import json
import pathlib
import socket
import statistics
import struct
import subprocess
import sys
import tempfile
import time

INPUTS, MIXES, SECONDS, A_SECOND, RUNS = 48, 24, 20, 200, 5


def message(address, value):
    text = address.encode() + b"\0"
    return text + b"\0" * (-len(text) % 4) + b",f\0\0" + struct.pack(">f", value)


def write(path, value):
    path.write_text(json.dumps(value))
    return path


def files(folder):
    state = write(folder / "state.json", {
        "desk_state": 1, "counts": {"inputs": INPUTS, "mixes": MIXES},
        "inputs": [{"name": f"Input {n}", "send_levels": [-10] * MIXES} for n in range(INPUTS)],
        "mixes": [{"name": f"Mix {n} wedge"} for n in range(MIXES)]})
    demo = pathlib.Path(__file__).resolve().parents[2] / "contrib/demo/barn-desk.json"
    profile = json.loads(demo.read_text())
    profile["counts"].update({"input": INPUTS, "mix": MIXES})
    profile["counts"].pop("group")
    profile["values"] = [value for value in profile["values"] if "group" not in json.dumps(value)]
    return state, write(folder / "profile.json", profile)


def move(port, seconds):
    """Sends go up and down by a little, one after the other."""
    end = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    end.connect(("127.0.0.1", port))
    begun = time.monotonic()
    for number in range(seconds * A_SECOND):
        end.send(message(f"/in/{number % INPUTS + 1}/to/{number // INPUTS % MIXES + 1}/level",
                         0.5 + 0.02 * (number // (INPUTS * MIXES) % 2)))
        time.sleep(max(0.0, begun + (number + 1) / A_SECOND - time.monotonic()))


def record(build, folder):
    """The recording, and how long it lasted."""
    state, profile = files(folder)
    desk = subprocess.Popen([build / "mock-desk", "--state", state, "--port", "0"], stdout=subprocess.PIPE)
    port = int(desk.stdout.readline().rsplit(b":", 1)[1])
    recording = folder / "bench.recording"
    watch = subprocess.Popen([build / "gainwarden", "watch", "--yes", "--profile", profile, "--desk", f"127.0.0.1:{port}",
                              "--record", recording, "--keep", folder / "keep"], stdout=subprocess.PIPE)
    try:
        begun = time.monotonic()
        while b" watching: " not in watch.stdout.readline():
            pass
        move(port, SECONDS)
        watch.terminate()
        told = watch.stdout.read()
        return recording, time.monotonic() - begun, told
    finally:
        for process in (watch, desk):
            process.terminate()
            process.wait(10)


def main(build):
    with tempfile.TemporaryDirectory() as name:
        recording, lasted, told = record(build, pathlib.Path(name))
        took = []
        for _ in range(RUNS):
            begun = time.monotonic()
            done = subprocess.run([build / "gainwarden", "replay", recording], capture_output=True, check=True)
            took.append(time.monotonic() - begun)
        assert done.stdout.count(b"\n") >= told.count(b"\n")
        text = recording.read_text()
        packets = text.count('"2f')
        middle = statistics.median(took)
        print(f"replay of {lasted:.1f} s, {packets} packets, {len(text) / 1e6:.1f} MB: {middle * 1000:.0f} ms = "
              f"{lasted / middle:.0f} x real time, {packets / middle:.0f} packets/s (goal: faster than real time)")


main(pathlib.Path(sys.argv[1]).resolve())
