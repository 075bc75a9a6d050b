# SPDX-License-Identifier: MIT
"""What it costs a watch to keep its eye on the proved margin: two watches of one mock-desk of 48 inputs and 24 mixes,
at the same time, one of them with 12 proved ceilings, while 200 values a second move; the middle of five stretches.

margin.py BUILD     ends with 1 when the goal is missed
"""
import contextlib
import json
import pathlib
import random
import socket
import statistics
import struct
import subprocess
import sys
import tempfile
import time

TOP = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP / "tests" / "e2e"))

import proving  # noqa: E402

INPUTS, MIXES, CEILINGS, A_SECOND, SECONDS, STRETCHES, GOAL = 48, 24, 12, 200, 5, 5, 1.3
KINDS = ("sends", "sends of four inputs", "all kinds")


def message(address, value):
    text = address.encode() + b"\0"
    return text + b"\0" * (-len(text) % 4) + b",f\0\0" + struct.pack(">f", value)


def write(path, value):
    path.write_text(json.dumps(value))
    return path


def cpu_seconds(process):
    """To the ns: a tick of the other clock is a twentieth of a stretch."""
    return int(pathlib.Path(f"/proc/{process.pid}/schedstat").read_text().split()[0]) / 1e9


def start_desk(build, folder):
    state = write(folder / "state.json", {
        "desk_state": 1, "counts": {"inputs": INPUTS, "mixes": MIXES, "input_eq_bands": 4, "graphic_bands": 31,
                                    "mix_eq_bands": 4, "groups": 0},
        "defaults": {"input": {"high_pass": {"on": True, "freq": 100, "slope": 18}, "gate": {"on": False}}},
        "inputs": [{"name": f"Voc {n}", "eq": {"bands": [{"freq": 400, "gain": -3, "q": 2}]},
                    "send_levels": [-10] * MIXES} for n in range(INPUTS)],
        "mixes": [{"name": f"Mix {n} wedge", "graphic": {"cuts": {"250": -3, "1250": -6, "2500": -6, "5000": -3}}}
                  for n in range(MIXES)]})
    desk = subprocess.Popen([build / "mock-desk", "--state", state, "--port", "0"], stdout=subprocess.PIPE)
    return desk, int(desk.stdout.readline().rsplit(b":", 1)[1])


def start_show(folder, name, port):
    profile = json.loads((TOP / "contrib/demo/barn-desk.json").read_text())
    profile["counts"].update({"input": INPUTS, "mix": MIXES})
    profile["counts"].pop("group")
    profile["values"] = [value for value in profile["values"] if "group" not in json.dumps(value)]
    write(folder / "profile.json", profile)
    return write(folder / f"{name}.json", {
        "show_format": 1, "show": "Bench", "desk": {"profile": "profile.json", "host": "127.0.0.1", "port": port,
                                                    "role": "monitor"},
        "inputs": {str(n + 1): {"source": "vocal"} for n in range(INPUTS)},
        "mixes": {str(n + 1): {"feeds": "wedge"} for n in range(MIXES)}})


def keep_proofs(build, folder, show):
    """Ceilings of single mixes 8 dB higher, and one of all together; half of them before a cut was made."""
    saved = folder / "saved.json"
    subprocess.run([build / "gainwarden", "audit", "--yes", show, "--save", saved], stdout=subprocess.DEVNULL,
                   check=False)
    desk = json.loads(saved.read_text())
    ceilings = [proving.ceiling(desk, 6)] + [proving.ceiling(desk, 8, [n + 1]) for n in range(CEILINGS - 1)]
    for ceiling in ceilings[:CEILINGS // 2]:
        for bands in ceiling["desk"]["values"]["mix.graphic.band.gain"]["values"]:
            bands[16] = 0
    proving.write(show.with_name(f"{show.stem}.proved.json"), desk, ceilings)
    page = subprocess.run([build / "gainwarden", "proved", "--yes", show, "--format=json"], stdout=subprocess.PIPE,
                          check=True)
    assert {mix["is"] for mix in json.loads(page.stdout)["mixes"]} == {"left"}, "nothing to be measured"


def start_watch(build, folder, show):
    watch = subprocess.Popen([build / "gainwarden", "watch", "--yes", "--keep", folder / f"{show.stem}-keep", show],
                             stdout=subprocess.PIPE, text=True)
    while " watching: " not in watch.stdout.readline():
        pass
    return watch


def move(end, dice, kind):
    """One value, by a little: sends by hand, filters as a compensation would move them."""
    i, m = dice.randrange(INPUTS) + 1, dice.randrange(MIXES) + 1
    if kind == "all kinds" and dice.randrange(4) == 0:
        address, value = dice.choice([(f"/mix/{m}/fader", 0.7 + dice.uniform(-0.01, 0.01)),
                                      (f"/mix/{m}/graphic/{dice.randrange(31) + 1}", dice.uniform(-1, 0)),
                                      (f"/in/{i}/head/gain", 0.5 + dice.uniform(-0.005, 0.005))])
    else:
        if kind == "sends of four inputs":
            i = dice.randrange(4) + 1
        address, value = f"/in/{i}/to/{m}/level", 0.5 + dice.uniform(-0.02, 0.02)
    end.send(message(address, value))


def stretch(end, dice, kind, watches):
    """CPU of each watch, s."""
    before = [cpu_seconds(watch) for watch in watches]
    begun = time.monotonic()
    for number in range(SECONDS * A_SECOND):
        move(end, dice, kind)
        time.sleep(max(0.0, begun + (number + 1) / A_SECOND - time.monotonic()))
    time.sleep(0.3)
    return [cpu_seconds(watch) - was for watch, was in zip(watches, before)]


def measure(build, folder):
    desk, port = start_desk(build, folder)
    shows = [start_show(folder, name, port) for name in ("without", "with")]
    keep_proofs(build, folder, shows[1])
    watches = [start_watch(build, folder, show) for show in shows]
    dice, missed = random.Random(1), False
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as end:
            end.connect(("127.0.0.1", port))
            print(f"a watch of {INPUTS} inputs x {MIXES} mixes, {A_SECOND} values a second, under {CEILINGS} ceilings "
                  f"(goal: at most {GOAL} x its CPU without)")
            for kind in KINDS:
                figures = [stretch(end, dice, kind, watches) for _ in range(STRETCHES)]
                ratio = statistics.median(with_s / without_s for without_s, with_s in figures)
                without, with_ = (statistics.median(column) / SECONDS * 100 for column in zip(*figures))
                missed |= ratio > GOAL
                print(f"  {kind:24} {without:5.1f} % of a core without, {with_:5.1f} % with: {ratio:.2f} x"
                      + ("  goal missed" if ratio > GOAL else ""), flush=True)
    finally:
        for process in [*watches, desk]:
            with contextlib.suppress(ProcessLookupError):
                process.terminate()
            process.wait()
    return missed


def main():
    with tempfile.TemporaryDirectory() as folder:
        sys.exit(measure(pathlib.Path(sys.argv[1]), pathlib.Path(folder)))


if __name__ == "__main__":
    main()
