"""A restart never ends the watch: whatever was told before it, however the desk, the clock and the kept
file are when it comes back, the watch goes on, says nothing that it does not know, and nothing twice.
"""
import json

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
