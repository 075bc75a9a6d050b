# SPDX-License-Identifier: MIT
"""Several desks watched by one process: each keeps its own state, findings and link."""
import re
import signal

import pytest

from harness import BUILD, PROFILE, MockDesk, Process, demo_show, fader_wire, run, until

DESKS = 8


def show_at(folder, number, desk):
    folder = folder / str(number)
    folder.mkdir()
    return demo_show(folder, show=f"Stage {number}",
                     desk={"profile": str(PROFILE), "host": desk.host, "port": desk.port,
                           "role": "monitor"})


@pytest.fixture
def stages(tmp_path):
    desks = [MockDesk() for _ in range(DESKS)]
    shows = [show_at(tmp_path, number, desk) for number, desk in enumerate(desks, 1)]
    watcher = Process(BUILD / "gainwarden", "watch", "--still-every", "0", *shows)
    for number in range(1, DESKS + 1):
        watcher.expect(rf"^\S+ Stage {number}: watching: ", timeout=20)
    yield desks, watcher
    if watcher.running():
        assert watcher.stop() == 0


def test_each_has_its_page(stages):
    _, watcher = stages
    pages = [line for line in watcher.out.texts() if re.match(r"Stage \d+: Barn monitor desk at", line)]

    assert sorted(pages) == sorted(pages, key=lambda line: int(re.findall(r"\d+", line)[0]))
    assert len(pages) == DESKS


def test_a_move_is_told_of_its_own_desk(stages):
    desks, watcher = stages
    seen = watcher.out.count()
    desks[4].move("/mix/1/fader", "f", fader_wire(-20))
    watcher.expect(r"^\S+ Stage 5: raised fix \[master-off-unity\] mix 1 ", start=seen)
    desks[6].move("/mix/1/fader", "f", fader_wire(-7))
    watcher.expect(r"^\S+ Stage 7: raised fix \[master-off-unity\] mix 1 ", start=seen)

    assert len([line for line in watcher.out.texts(seen) if "raised" in line]) == 2


def test_a_lost_desk_leaves_the_others_alone(stages):
    desks, watcher = stages
    seen = watcher.out.count()
    desks[2].stop()
    watcher.expect(r"^\S+ Stage 3: lost the desk: ", timeout=12, start=seen)
    desks[3].move("/mix/1/fader", "f", fader_wire(-20))
    watcher.expect(r"^\S+ Stage 4: raised fix \[master-off-unity\] mix 1 ", start=seen)

    assert not [line for line in watcher.out.texts(seen) if "lost" in line and "Stage 3" not in line]


def test_the_end_is_said_for_each(stages):
    _, watcher = stages
    seen = watcher.out.count()
    assert watcher.stop(signal.SIGINT) == 0

    ends = [line for line in watcher.out.texts(seen) if "stopped watching after" in line]
    assert len(ends) == DESKS


def test_mistakes_in_all_of_them_are_told_together(tmp_path):
    bad = [tmp_path / f"{number}.json" for number in range(3)]
    for path in bad:
        path.write_text("{}")
    result = run("watch", *bad)

    assert result.status == 2
    assert all(str(path) in result.err for path in bad)


@pytest.mark.parametrize("option", [["--desk", "127.0.0.1"], ["--profile", str(PROFILE)]])
def test_one_desk_is_not_named_for_several(tmp_path, option):
    result = run("watch", *option, "a.json", "b.json")

    assert result.status == 2
    assert f"gainwarden: {option[0]} is for one desk; several are named by their show files" in result.err


# ---- what is turned down ----

def test_rubbish_is_logged_once_a_minute(tmp_path):
    """The first at once, the rest counted: nobody can fill the terminal from outside."""
    desk = MockDesk()
    watcher = Process(BUILD / "gainwarden", "watch", "--still-every", "0", "--profile", PROFILE,
                      "--desk", desk.at)
    watcher.expect("watching: ")
    desk.rig("garbage", 1)
    for level in range(200):
        desk.move("/mix/1/fader", "f", fader_wire(-level / 10))
    watcher.expect(r"worse|raised .*master-off-unity\] mix 1")
    until(lambda: watcher.err.count() > 0)
    lines = watcher.err.texts()

    assert len(lines) == 1
    assert re.match(r"gainwarden: turned down: [a-z-]+, \d+ bytes: [ -~]*$", lines[0])
    assert watcher.stop() == 0
