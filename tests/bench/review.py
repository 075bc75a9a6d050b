# SPDX-License-Identifier: MIT
"""What it costs to mark a class: 500 saved desks of 48 x 24, with a page for each, an overview and a table.

review.py BUILD: the peer reads the same files with Python's json module (its scanner is C) and does nothing with
them. Both run by themselves, one after the other; memory is the peak of the whole process.
"""
import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
DEMO = ROOT / "contrib" / "demo"
SETUPS, DESKS = 500, 10

PEER = "import json, sys\nfor path in sys.argv[1:]:\n    json.load(open(path))\n"


def write(path, value):
    path.write_text(json.dumps(value))
    return path


def desk_state(number):
    """The demo's desk three times over, each desk with other mistakes."""
    state = json.loads((DEMO / "desk-state.json").read_text())
    state["counts"].update(inputs=48, mixes=24)
    state["inputs"] = [dict(one, gain=one["gain"] + (number + i) % 10, send_levels=one["send_levels"] * 3)
                       for i, one in enumerate(state["inputs"] * 2)]
    state["mixes"] = [dict(one, fader=-((number + i) % 7)) for i, one in enumerate(state["mixes"] * 3)]
    return state


def save_desks(build, folder):
    profile = json.loads((DEMO / "barn-desk.json").read_text())
    profile["counts"].update({"input": 48, "mix": 24})
    profile["pace"]["per_second"] = 20000
    profile = write(folder / "profile.json", profile)
    saved = []
    for number in range(DESKS):
        desk = subprocess.Popen([build / "mock-desk", "--state", write(folder / "desk.json", desk_state(number)),
                                 "--port", "0"], stdout=subprocess.PIPE)
        try:
            at = desk.stdout.readline().decode().split()[-1]
            path = folder / f"desk-{number}.json"
            subprocess.run([build / "gainwarden", "audit", "--yes", "--profile", profile, "--desk", at, "--save", path],
                           stdout=subprocess.DEVNULL, check=False)
            saved.append(path)
        finally:
            desk.terminate()
            desk.wait()
    return [shutil.copy(saved[i % DESKS], folder / f"student-{i:03}.json") for i in range(SETUPS)]


def run(*words):
    """(seconds, peak MB) of a process that is to end well."""
    begun = time.monotonic()
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = status
    assert status in (0, 256), status  # 1: there is something to fix
    return time.monotonic() - begun, usage.ru_maxrss / 1024


def main(build):
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        saved = save_desks(build, folder)
        peer_s, peer_mb = run("/usr/bin/python3", "-c", PEER, *saved)
        took_s, mb = run(build / "gainwarden", "review", *saved, "--to", folder / "class")
        text_s, _ = run(build / "gainwarden", "review", *saved, "--format", "csv")
        pages = list((folder / "class").glob("sheet-*.html"))
        assert len(pages) == SETUPS
        size = sum(path.stat().st_size for path in pages) / len(pages) / 1000
        print(f"review: {SETUPS} saved desks of 48 x 24 ({saved[0].stat().st_size / 1000:.0f} KB each) with pages of "
              f"{size:.0f} KB: {SETUPS / took_s:.0f} a second, peak {mb:.0f} MB; the marks alone "
              f"{SETUPS / text_s:.0f} a second; Python's json alone {SETUPS / peer_s:.0f} a second, {peer_mb:.0f} MB: "
              f"pages included it takes {took_s / peer_s:.2f} x, the marks {text_s / peer_s:.2f} x as long")


main(pathlib.Path(sys.argv[1]).resolve())
