# SPDX-License-Identifier: MIT
"""Makes fault.recording and fault.told: a small desk is watched while things go wrong, with what the watch
printed beside what it recorded. e2e/test_record.py replays the one and expects the other.

    GAINWARDEN_BUILD=... /usr/bin/python3 tests/reference/make_recording.py [--told]

With --told the recording stays, and what is told of it is written anew: when the watch's words were changed
on purpose. A recording that stays shows that recordings outlast versions.
"""
import pathlib
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "e2e"))

import harness  # noqa: E402
from harness import BUILD, MockDesk, Process, fader_wire, head_wire, read_json, run, write_json  # noqa: E402


def small(folder):
    """A desk of four inputs and three mixes, out of the demo's: its state, profile and show."""
    state, profile, show = map(read_json, (harness.STATE, harness.PROFILE, harness.SHOW))
    mixes = [0, 6, 7]  # a wedge, and two in-ear mixes
    state["counts"].update(inputs=4, mixes=3, groups=1)
    state["groups"] = state["groups"][:1]
    state["inputs"] = [dict(one, groups=[1], send_levels=[one["send_levels"][mix] for mix in mixes])
                       for one in state["inputs"][:4]]
    state["mixes"] = [state["mixes"][mix] for mix in mixes]
    state["mixes"][2]["limiter"]["on"] = True
    profile["counts"].update({"input": 4, "mix": 3, "group": 1})
    show["inputs"] = {number: show["inputs"][number] for number in "1234"}
    show["mixes"] = {str(i + 1): show["mixes"][str(mix + 1)] for i, mix in enumerate(mixes)}
    show["desk"] = dict(show["desk"], profile="profile.json")
    show["accept"] = []
    show["watch"] = {"raise_after_s": 1, "clear_after_s": 1}
    return (write_json(folder / "state.json", state), write_json(folder / "profile.json", profile),
            write_json(folder / "show.json", show))


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        state, _, show = small(folder)
        recording = HERE / "fault.recording"
        recording.unlink(missing_ok=True)
        desk = MockDesk(state=state)
        keep = ["--keep", folder / "keep"]
        watch = Process(BUILD / "gainwarden", "watch", show, "--desk", desk.at, "--record", recording,
                        "--still-every", "0", *keep, env={"TZ": "Etc/GMT-2"})
        watch.expect(" watching: ")
        time.sleep(1.5)
        desk.move("/mix/3/limit/on", "i", 0)  # ears without a limiter
        watch.expect("raised stop")
        desk.move("/in/2/head/gain", "f", head_wire(48))  # a leap
        watch.expect("value-jumped")
        run("quiet", show, *keep, "--mix", 3, "--for", "1h", "--why", "being mended",
            "--by", "monitor engineer", "--now")
        desk.move("/mix/2/fader", "f", fader_wire(-10))
        watch.expect("raised .*mix 2")
        desk.stop()
        watch.expect("lost the desk")
        desk = MockDesk(state=state, port=desk.port)
        watch.expect("now: ")
        time.sleep(3)
        watch.stop()
        desk.stop()
        (HERE / "fault.told").write_text(watch.text() + "\n")
        assert run("replay", recording).out == watch.text() + "\n"
    (HERE / "fault.recording.1").unlink(missing_ok=True)
    recording.chmod(0o644)


def tell():
    (HERE / "fault.told").write_text(run("replay", HERE / "fault.recording").out)


if sys.argv[1:] == ["--told"]:
    tell()
else:
    main()
