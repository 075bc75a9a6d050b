"""A restart never ends the watch: whatever was told before it, however the desk, the clock and the kept
file are when it comes back, the watch goes on, says nothing that it does not know, and nothing twice.
"""
import json
import os
import stat

import pytest

from harness import MockDesk, begin_watch, fader_wire, notes, show_at_once, until

# what goes wrong, how it is put right, and the finding: each address with its type and value
WRONG = {
    "master-off-unity": [("/mix/6/fader", "f", fader_wire(-7), fader_wire(0))],
}


class Restarted:
    """A watch that writes JSON lines, keeps its files in one place, and is started again and again."""

    def __init__(self, folder, **changes):
        self.folder = folder
        self.desk = MockDesk()
        self.lines = folder / "lines.jsonl"
        tell = {"lines": {"file": str(self.lines)}, "heartbeat": {"file": str(folder / "beat"), "every_s": 1}}
        self.show = show_at_once(folder, tell=tell, **changes)
        self.words = ["--still-every", "0", "--keep", folder / "keep"]

    def start(self, *words, env=None):
        self.watch, self.seen = begin_watch(self.desk, *self.words, *words, show=self.show, env=env)
        return self.watch

    def events(self, check=None, event=None):
        if not self.lines.exists():
            return []
        events = [json.loads(line) for line in self.lines.read_text().split("\n")[:-1]]
        return [one for one in events if (check is None or one.get("finding", {}).get("check") == check)
                and (event is None or one["event"] == event)]


def test_what_was_put_right_while_it_was_away_is_told_as_a_line(tmp_path):
    kept = Restarted(tmp_path)
    kept.start()
    kept.desk.move("/mix/6/fader", "f", fader_wire(-7))
    until(lambda: kept.events("master-off-unity", "raised"), what="the finding")
    assert kept.watch.stop() == 0
    kept.desk.move("/mix/6/fader", "f", fader_wire(0))
    kept.start()
    (cleared,) = until(lambda: kept.events("master-off-unity", "cleared"), what="its end")
    (raised,) = kept.events("master-off-unity", "raised")

    assert cleared["finding"]["says"] == raised["finding"]["says"]
    assert cleared["finding"]["do"] == raised["finding"]["do"]
    assert kept.watch.stop() == 0


def test_what_it_keeps_is_the_owners_alone(tmp_path):
    """Also under a umask that hides nothing."""
    kept = Restarted(tmp_path, checks={"protection-lost": {}})
    before = os.umask(0)
    try:
        kept.start()
        assert kept.watch.stop() == 0
        kept.start()
    finally:
        os.umask(before)
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "keep").iterdir()}

    assert stat.S_IMODE((tmp_path / "keep").stat().st_mode) == 0o700
    for suffix in (".kept", ".set-up.json", ".socket"):
        assert len([name for name in modes if name.endswith(suffix)]) == 1, modes
    assert {name: oct(mode) for name, mode in modes.items() if mode & 0o177} == {}
    assert kept.watch.stop() == 0
