# SPDX-License-Identifier: MIT
"""A program that follows a desk with a stage behind it, by a clock of the test's own, over real OSC.

libfaketime, of Debian's packages, is gainwarden's clock. It stands, and goes on with the stage's, but not before
gainwarden has taken all that the desk sent: how fast the machine is decides about nothing.
"""
import glob
import time

from harness import until

from engineer import desk

LIBRARY = (glob.glob("/usr/lib/*/faketime/libfaketime.so.1") or [None])[0]
STANDS = "x0.00001"


class Clock:
    """gainwarden's: real until it stands, then what it is told."""

    def __init__(self, folder):
        self.file, self.at = folder / "clock", None
        self.set("+0")
        self.begun = time.monotonic()
        self.env = {"LD_PRELOAD": LIBRARY, "FAKETIME_TIMESTAMP_FILE": str(self.file), "FAKETIME_DISABLE_SHM": "1",
                    "FAKETIME_NO_CACHE": "1",
                    "ASAN_OPTIONS": "detect_leaks=0:verify_asan_link_order=0:allocator_release_to_os_interval_ms=-1"}

    def set(self, text):
        beside = self.file.with_name("clock.new")
        beside.write_text(text + "\n")
        beside.rename(self.file)

    def stand(self):
        """From now on; a second ahead of what it was, so that it never goes back."""
        self.at = time.monotonic() - self.begun + 1
        self.go(0)

    def go(self, seconds):
        self.at += seconds
        self.set(f"+{self.at:.3f} {STANDS}")


def is_taken(process, port):
    """Whether nothing of the desk waits for the program, and it waits: what it read it has stamped, and dealt with."""
    with open(f"/proc/{process.popen.pid}/net/udp", encoding="ascii") as sockets:
        rows = [line.split() for line in sockets][1:]
    waiting = [row[4].partition(":")[2] for row in rows if row[2].endswith(f":{port:04X}")]
    assert waiting, rows
    if any(int(one, 16) for one in waiting):
        return False
    with open(f"/proc/{process.popen.pid}/stat", encoding="ascii") as stat:
        return stat.read().rpartition(")")[2].split()[0] == "S"  # proc(5): asleep


class SteppedHands(desk.DeskHands):
    """Hands, and the clock of the program that follows them."""

    step_s = 1  # of the clock: more at once would look like a desk that is gone

    def __init__(self, mock, content):
        super().__init__(mock, content, asked=True)
        self.steps = self.process = None

    def follow_by(self, clock, process):
        self.steps, self.process = clock, process
        clock.stand()

    def taken(self):
        return is_taken(self.process, self.desk.port)

    def wait(self, seconds):
        if not self.steps:
            super().wait(seconds)
            return
        while seconds > 1e-6:
            step = min(self.step_s, seconds)
            super().wait(step)
            until(self.taken)
            self.steps.go(step)
            seconds -= step
        time.sleep(0.01)  # for what is due by then

    def turn(self, control, value):
        super().turn(control, value)
        if self.steps:
            until(self.taken)
