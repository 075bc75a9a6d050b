# SPDX-License-Identifier: MIT
"""Starts the real programs, talks to them, and sees to it that they end.

Ports are the kernel's choice, or those that it gives to nobody (own_port). Whatever a test starts is in `started` until bounds.py
has ended it, and everything that ended is searched for what the sanitizers say.
"""
import contextlib
import functools
import itertools
import json
import os
import pathlib
import random
import re
import signal
import socket
import subprocess
import tempfile
import threading
import time

import osc

ROOT = pathlib.Path(__file__).resolve().parents[2]
BUILD = pathlib.Path(os.environ.get("GAINWARDEN_BUILD", "GAINWARDEN_BUILD-is-not-set"))
DEMO = ROOT / "contrib" / "demo"
STATE = DEMO / "desk-state.json"
SHOW = DEMO / "ostrel-barn.json"
PROFILE = DEMO / "barn-desk.json"
PLAN = DEMO / "ostrel-barn-stage.json"

# The checks at the heart of the program, which these tests judge by their figures.
CHECKS = ["unused-preamp-gain", "too-many-cuts", "high-pass-missing", "high-pass-low",
          "high-pass-high", "master-off-unity", "own-send-off-unity", "send-follows-fader"]

# What random tests draw; each prints it, and GW_SEED has the same again.
SEED = int(os.environ.get("GW_SEED") or random.SystemRandom().randrange(1 << 32))

SANITIZER_WORDS = ("ERROR: AddressSanitizer", "LeakSanitizer", "runtime error")

# Limits are the usual time of what is waited for; they end what hangs, so they are ten times that.
PATIENCE = 10

started = []


kept = tempfile.TemporaryDirectory(prefix="gainwarden-kept-")  # gone with this process


def environment(extra=None):
    """This process's own, without what would lead a webhook through somebody's proxy."""
    env = {key: value for key, value in os.environ.items()
           if not key.lower().endswith("_proxy") and not key.startswith("GAINWARDEN_")}
    env["ASAN_OPTIONS"] = "detect_leaks=1"
    # what a watch keeps is its own in every test; who wants more than one to share it says --keep
    env["XDG_STATE_HOME"] = tempfile.mkdtemp(dir=kept.name)
    env.pop("XDG_RUNTIME_DIR", None)
    env.update(extra or {})
    return env


# ---- text, whatever width it was wrapped to ----

def flat(text):
    """The words of a text with one space between them: nothing of how it was broken into lines stays."""
    return " ".join(text.split())


def entries(text, indent):
    """What begins in column `indent`, each flat: a line with the deeper ones after it."""
    found, whole = [], None
    for line in text.splitlines():
        depth = len(line) - len(line.lstrip(" "))
        if line.strip() and depth == indent:
            whole = [line]
            found.append(whole)
        elif whole and line.strip() and depth > indent:
            whole.append(line)
        else:
            whole = None
    return [flat(" ".join(lines)) for lines in found]


ANSWERED = r"answered in (?:\d+ min )?\S+ s(?:, \d+ asked again)?"
HEADING = re.compile(rf"\A.*? \d{{4}}-\d\d-\d\dT\S+(?: \d+ of \d+ questions {ANSWERED})? ")


def below_heading(page):
    """A page's words without which desk it is of and how it was read: what a desk and a saved desk share."""
    below, headings = HEADING.subn("", flat(page))
    assert headings == 1, page
    return below


def told_lines(lines):
    """What a watch printed: a line each of what has a time of day, one for each page between."""
    timed = r"\d\d:\d\d:\d\d "
    parts = itertools.groupby(lines, lambda line: bool(re.match(timed, line)))
    return [text for is_timed, group in parts for text in (group if is_timed else [flat(" ".join(group))])]


def check_sanitizers(name, text):
    for word in SANITIZER_WORDS:
        assert word not in text, f"{name}: {text}"


def read_json(path):
    return json.loads(pathlib.Path(path).read_text())


def write_json(path, value):
    path.write_text(json.dumps(value, indent=2))
    return path


def until(true, timeout=10, what="the condition"):
    """Waits until true() gives something true, and returns that."""
    timeout *= PATIENCE
    end = time.monotonic() + timeout
    while True:
        value = true()
        if value:
            return value
        assert time.monotonic() < end, f"waited {timeout} s for {what}"
        time.sleep(0.005)


def goal(took, most):
    """A goal for how long something takes. It is judged by tests/bench/goals, with nothing beside it: how fast the
    machine is decides about no other test."""
    assert "GW_GOALS" not in os.environ or took < most, f"{took} s, and the goal is {most} s"


def rounds(few, many):
    """How often a random test tries: `many` times in tests/long/run, which may take long."""
    return many if "GW_LONG" in os.environ else few


@contextlib.contextmanager
def unix_address(path):
    """The address of a socket at a path of any length: an address holds 108 bytes, so it is the name alone, in
    the folder that is held open meanwhile."""
    folder = os.open(path.parent, os.O_PATH | os.O_DIRECTORY)
    try:
        yield f"/proc/self/fd/{folder}/{path.name}"
    finally:
        os.close(folder)


def unix_connection(path):
    peer = socket.socket(socket.AF_UNIX)
    with unix_address(path) as address:
        peer.connect(address)
    return peer


def unix_listener(path, backlog=8):
    listener = socket.socket(socket.AF_UNIX)
    with unix_address(path) as address:
        listener.bind(address)
    listener.listen(backlog)
    return listener


class Lines:
    """What a pipe brings, line by line with the time each came, read along by a thread."""

    def __init__(self, pipe):
        self.changed = threading.Condition()
        self.list = []
        self.ended = False
        self.thread = threading.Thread(target=self.read, args=(pipe,), daemon=True)
        self.thread.start()

    def read(self, pipe):
        with pipe:
            for raw in pipe:
                with self.changed:
                    self.list.append((time.monotonic(), raw.decode(errors="replace").rstrip("\n")))
                    self.changed.notify_all()
        with self.changed:
            self.ended = True
            self.changed.notify_all()

    def texts(self, start=0):
        with self.changed:
            return [line for _, line in self.list[start:]]

    def count(self):
        with self.changed:
            return len(self.list)

    def wait(self, pattern, timeout, start):
        """Position, time and match of the first line from `start` on in which it is found."""
        timeout *= PATIENCE
        end = time.monotonic() + timeout
        with self.changed:
            at = start
            while True:
                for at in range(at, len(self.list)):
                    match = re.search(pattern, self.list[at][1])
                    if match:
                        return at, self.list[at][0], match
                at = max(start, len(self.list))
                left = end - time.monotonic()
                shown = "\n".join(line for _, line in self.list[start:])
                assert left > 0, f"no /{pattern}/ in {timeout} s among:\n{shown}"
                assert not self.ended, f"no /{pattern}/ before the end of:\n{shown}"
                self.changed.wait(left)


# ---- agreeing ----

SPEAKS = ("audit", "watch", "retrim", "listen", "approve", "compare")  # to a desk


def profile_of_words(words):
    """The profile that a command line names, itself or by a show file; None where nobody can tell."""
    for word, after in zip(words, [*words[1:], ""]):
        if word == "--profile" or word.startswith("--profile="):
            return pathlib.Path(after if word == "--profile" else word.partition("=")[2])
    for word in words[1:]:
        with contextlib.suppress(Exception):  # no show file, or a broken one
            return pathlib.Path(word).parent / read_json(word)["desk"]["profile"]
    return None


def agreed(argv):
    """The same command line, with --yes where it runs a profile of the test's own: what ships is agreed to."""
    argv = [str(word) for word in argv]
    at = next((at for at, word in enumerate(argv) if word == str(BUILD / "gainwarden")), len(argv))
    words = argv[at + 1:]
    if not words or words[0] not in SPEAKS or "--yes" in words:
        return argv
    profile = profile_of_words(words)
    own = profile and (ROOT / "contrib") not in profile.resolve().parents
    return argv[:at + 2] + ["--yes"] + words[1:] if own else argv


def agreed_hash(profile):
    """What a show file's `desk` says where somebody agreed to what the profile sends: nothing where that needs none."""
    found = re.search(r'"agreed":\s*"([0-9a-f]{64})"', run("check", profile).out)
    return {"agreed": found[1]} if found else {}


def besides_list(err):
    """What stood on standard error besides the list of what a profile sends, which --yes agreed to."""
    return re.sub(r'gainwarden: [^\n]*: nobody has\s+agreed.*?"agreed":\s*"[0-9a-f]{64}" \}\n', "", err, flags=re.S)


class Process:
    """A program under way. stdout may be a file descriptor of the test's own."""

    def __init__(self, *argv, env=None, stdout=None, agree=True):
        self.argv = agreed(argv) if agree else [str(word) for word in argv]
        self.name = os.path.basename(self.argv[0])
        self.popen = subprocess.Popen(
            self.argv, stdin=subprocess.DEVNULL, stderr=subprocess.PIPE, env=environment(env),
            stdout=subprocess.PIPE if stdout is None else stdout, process_group=0)
        started.append(self)
        self.out = Lines(self.popen.stdout) if stdout is None else None
        self.err = Lines(self.popen.stderr)

    def expect(self, pattern, timeout=10, start=0):
        return self.out.wait(pattern, timeout, start)

    def running(self):
        return self.popen.poll() is None

    def wait(self, timeout=10):
        """The exit status of a program that is to end by itself."""
        timeout *= PATIENCE
        status = self.popen.wait(timeout)
        for lines in (self.out, self.err):
            if lines:
                lines.thread.join(timeout)
        check_sanitizers(self.name, "\n".join(self.err.texts()))
        return status

    def stop(self, number=signal.SIGTERM, timeout=10):
        """Tells it to end and waits until it has; the exit status."""
        if self.running():
            self.popen.send_signal(number)
        return self.wait(timeout)

    def kill(self):
        """For what a failed test left behind: the program, and what it may have started."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.popen.pid, signal.SIGKILL)
        self.popen.wait(10 * PATIENCE)
        # libfaketime cleans up in a program that ends well; in the next one of that number it would end with an error
        for name in ("faketime_shm_", "sem.faketime_sem_"):
            pathlib.Path("/dev/shm", f"{name}{self.popen.pid}").unlink(missing_ok=True)

    def text(self):
        return "\n".join(self.out.texts())


def left_of(process):
    """Whether something of the process's group still runs: a child that outlived it."""
    try:
        os.killpg(process.popen.pid, 0)
    except ProcessLookupError:
        return False
    return True


# ---- gainwarden ----

class Result:
    """A run that has ended."""

    def __init__(self, status, out, err, took):
        self.status, self.out, self.err, self.took = status, out, err, took

    def json(self):
        return json.loads(self.out)


def run(*words, timeout=20, env=None, stdout=subprocess.PIPE, cwd=None, agree=True):
    """Runs gainwarden to its end; a run that does not end in time is killed and fails the test."""
    begun = time.monotonic()
    argv = [BUILD / "gainwarden", *words]
    done = subprocess.run(agreed(argv) if agree else list(map(str, argv)), timeout=timeout * PATIENCE,
                          stdin=subprocess.DEVNULL, stdout=stdout, stderr=subprocess.PIPE,
                          env=environment(env), cwd=cwd, check=False)
    err = done.stderr.decode(errors="replace")
    check_sanitizers("gainwarden", err)
    assert done.returncode >= 0, f"ended by signal {-done.returncode}: {err}"
    err = re.sub(r"^gainwarden: \d+ of \d+ questions answered\n", "", err, flags=re.M)  # a slow machine's alone
    out = "" if done.stdout is None else done.stdout.decode()
    return Result(done.returncode, out, err, time.monotonic() - begun)


def audit(desk, *words, show=SHOW, **options):
    """A run of the audit whose report is JSON: (report, result)."""
    shows = [] if show is None else [show]
    result = run("audit", *shows, "--desk", desk.at, "--format", "json", *words, **options)
    assert result.out, result.err
    return result.json(), result


@functools.cache
def demo_audit():
    """One reading of the demo's desk as it stands, for all tests that change nothing."""
    return audit(MockDesk(), "--within", "100")


# Without holds and without the checks that only a watch has, so that a test sees at once what it moves;
# both have tests of their own.
AT_ONCE = {"watch": {"raise_after_s": 0, "clear_after_s": 0}}
WATCH_ONLY = ("value-jumped", "protection-lost", "left-on")


def show_at_once(folder, **changes):
    show = read_json(SHOW)
    show["desk"].update(profile=str(PROFILE), stage=str(PLAN))
    show.update(AT_ONCE)
    show.update(changes)
    show["checks"] = {**{check: "off" for check in WATCH_ONLY}, **show.get("checks", {})}
    return write_json(pathlib.Path(folder) / "show.json", show)


def watch(desk, *words, show=SHOW, env=None, stdout=None):
    if show == SHOW:
        show = show_at_once(tempfile.mkdtemp(dir=kept.name))
    shows = [] if show is None else [show]
    return Process(BUILD / "gainwarden", "watch", *shows, "--desk", desk.at, *words, env=env,
                   stdout=stdout)


def findings(report):
    """(check, weight, object) of each finding, in the report's order."""
    return [(one["check"], one["weight"], one["object"]) for one in report["findings"]]


def finding(report, check, **where):
    """The one finding of the check on the object."""
    found = [one for one in report["findings"] if one["check"] == check and one["object"] == where]
    assert len(found) == 1, (check, where, findings(report))
    return found[0]


def notes(watcher, start=0):
    """What a watch told from its line `start` on, without the time of day before each line."""
    return [line[9:] for line in watcher.out.texts(start) if re.match(r"\d\d:\d\d:\d\d ", line)]


def begin_watch(*arguments, **options):
    """A watch that has printed its first page; with the number of lines it has printed so far."""
    watcher = watch(*arguments, **options)
    at, _, _ = watcher.expect(r"^\d\d:\d\d:\d\d watching: ")
    return watcher, at + 1


# ---- the mocks ----

def own_port():
    """One that the kernel gives to nobody while it is free, so that a desk that is started again has it again: below
    those it chooses from (ip_local_port_range of ip(7))."""
    first = int(pathlib.Path("/proc/sys/net/ipv4/ip_local_port_range").read_text().split()[0])
    while True:
        port = random.SystemRandom().randrange(1024 + (first - 1024) // 2, first)
        with (socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as udp, socket.socket() as tcp,
              contextlib.suppress(OSError)):
            udp.bind(("127.0.0.1", port))
            tcp.bind(("127.0.0.1", port))
            return port


class MockDesk(Process):
    def __init__(self, state=STATE, log=None, port=None, **faults):
        words = ["--state", state, "--port", own_port() if port is None else port]
        words += ["--log", log] if log else []
        for name, value in faults.items():
            words += ["--" + name.replace("_", "-"), value]
        super().__init__(BUILD / "mock-desk", *words)
        self.log = log
        self.at = self.expect(r"^mock-desk: listening on (\S+)$")[2].group(1)
        self.host, port = self.at.rsplit(":", 1)
        self.port = int(port)
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.connect((self.host, self.port))
        self.socket.settimeout(5 * PATIENCE)

    def send(self, *datagrams):
        for datagram in datagrams:
            self.socket.send(datagram)

    def move(self, address, tags, *values):
        self.send(osc.message(address, tags, *values))

    def rig(self, name, value):
        """Sets a fault at run time. It holds for everything sent to the desk afterwards."""
        self.move("/rig/" + name, "f", value)

    def ask(self, address):
        """The values at an address, on a desk without faults."""
        self.move(address, "")
        return osc.parse(self.socket.recv(65536))[1]

    def own_name(self):
        """This test's end of the conversation, as the log spells it."""
        return "{}:{}".format(*self.socket.getsockname())

    def heard(self):
        """(ms, source, bytes) of each datagram that did not come from this test."""
        whole = pathlib.Path(self.log).read_text().rpartition("\n")[0]  # the last line may be on its way
        rows = [line.split(" ") for line in whole.splitlines()]
        return [(int(row[0]), row[1], bytes.fromhex(row[2])) for row in rows
                if len(row) == 3 and row[1] != self.own_name()]

    def stop(self, number=signal.SIGTERM, timeout=10):
        self.socket.close()
        return super().stop(number, timeout)


class MockChat(Process):
    """A webhook. Its address ends in a secret that no output may show."""

    SECRET = "s3cr3t-path-Qx7"

    def __init__(self, record, *words, host="127.0.0.1"):
        super().__init__(BUILD / "mock-chat", "--record", record, *words)
        scheme, port = self.expect(r"^mock-chat: listening on (\w+)://127\.0\.0\.1:(\d+)/$")[2].groups()
        self.url = f"{scheme}://{host}:{port}/{self.SECRET}?token={self.SECRET}"
        self.record = record

    def records(self):
        if not self.record.exists():
            return []
        # the last line may still be under way
        lines = self.record.read_text().split("\n")[:-1]
        return [json.loads(line) for line in lines]

    def texts(self):
        """The messages in the default body."""
        return [json.loads(record["body"])["text"] for record in self.records()]

    def wait_for(self, count, timeout=10):
        return until(lambda: len(self.records()) >= count and self.records(), timeout,
                     f"{count} requests")


# ---- a desk of the test's own ----

class Heard:
    def __init__(self, at, data, peer):
        self.at, self.data, self.peer = at, data, peer
        self.address, self.values = osc.parse(data)


SO_TIMESTAMPNS = 35  # asm-generic/socket.h; the socket module does not name it


class OwnDesk:
    """Answers in a thread: answer(desk, heard) is called for each message and sends what it likes.

    `at` of a message is the kernel's time of receipt, so that a slow test machine does not change
    the intervals measured.
    """

    def __init__(self, answer, host="127.0.0.1"):
        self.answer = answer
        self.heard = []
        self.error = None
        self.later = []  # (when, datagram, peer)
        self.sent = 0
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.setsockopt(socket.SOL_SOCKET, SO_TIMESTAMPNS, 1)
        self.socket.bind((host, 0))
        self.host, self.port = self.socket.getsockname()
        self.at = f"{self.host}:{self.port}"
        self.ending = threading.Event()
        self.thread = threading.Thread(target=self.serve, daemon=True)

    def __enter__(self):
        self.thread.start()
        return self

    def __exit__(self, *_):
        self.ending.set()
        self.thread.join(5 * PATIENCE)
        self.socket.close()
        assert not self.thread.is_alive()
        if self.error:
            raise self.error

    def send(self, peer, *datagrams):
        for datagram in datagrams:
            self.socket.sendto(datagram, peer)
            self.sent += 1

    def send_later(self, seconds, peer, datagram):
        self.later.append((time.monotonic() + seconds, datagram, peer))

    def flush(self):
        now = time.monotonic()
        while self.later and self.later[0][0] <= now:
            _, datagram, peer = self.later.pop(0)
            self.send(peer, datagram)

    def serve(self):
        try:
            while not self.ending.is_set():
                self.flush()
                self.socket.settimeout(0.001 if self.later else 0.02)
                with contextlib.suppress(socket.timeout, ConnectionRefusedError):
                    self.receive()
        except Exception as error:  # told to the test by __exit__
            self.error = error

    def receive(self):
        data, more, _, peer = self.socket.recvmsg(65536, 64)
        seconds, nanoseconds = (int.from_bytes(more[0][2][i:i + 8], "little") for i in (0, 8))
        heard = Heard(seconds + nanoseconds / 1e9, data, peer)
        self.heard.append(heard)
        self.answer(self, heard)

    def asked(self, address=None):
        """The messages heard, or how often an address was."""
        if address is None:
            return [heard.address for heard in self.heard]
        return sum(heard.address == address for heard in self.heard)


# ---- profiles and states for the tests ----

def demo_profile(folder, **changes):
    """The demo's profile with another pace or other renewals: changes to its top-level keys."""
    profile = read_json(PROFILE)
    for key, value in changes.items():
        profile[key] = {**profile[key], **value} if isinstance(value, dict) else value
    return write_json(folder / "profile.json", profile)


def demo_show(folder, **changes):
    """The demo's show file, in another folder, with changes to its top-level keys."""
    show = read_json(SHOW)
    show["desk"].update(profile=str(PROFILE), stage=str(PLAN))
    show.update(AT_ONCE)
    show.update(changes)
    return write_json(folder / "show.json", show)


FADER = ((0.04, -70), (0.35, -25), (0.7, 0), (1, 10))  # mocks/README.md


def fader_wire(db):
    """Where the mock's fader law puts a level."""
    if db == "-inf":
        return 0.0
    for (low, low_db), (high, high_db) in zip(FADER, FADER[1:]):
        if db <= high_db:
            return low + (db - low_db) / (high_db - low_db) * (high - low)
    raise AssertionError(db)


def head_wire(db):
    return (db + 4) / 60


# ---- what a profile lets gainwarden send, worked out from the profile alone ----

PLACEHOLDER = re.compile(r"\{(input|mix|group|band)(?::(\d))?\}")


def band_kind(entry):
    """Which of the profile's counts {band} stands for: that of the parameters the entry names."""
    for name in re.findall(r'"is": "((?:input\.eq|mix\.eq|mix\.graphic)\.band)\.', json.dumps(entry)):
        return name
    return None


def put_in(text, numbers):
    """Text with its placeholders replaced by the desk's numbers or names."""
    return PLACEHOLDER.sub(lambda found: str(numbers[found[1]]).zfill(int(found[2] or 0)), text)


def encode_argument(argument, numbers):
    if isinstance(argument, bool):
        return "T" if argument else "F", []
    if argument == "*" and "*" in numbers:  # the question's own number
        return "i", [numbers["*"]]
    if isinstance(argument, str):
        whole = PLACEHOLDER.fullmatch(argument)
        value = numbers[whole[1]] if whole else put_in(argument, numbers)
        return "s" if isinstance(value, str) else "i", [value]
    return ("i", [argument]) if argument == int(argument) else ("f", [argument])


def encode(words, numbers):
    parts = [encode_argument(word, numbers) for word in words[1:]]
    return osc.message(put_in(words[0], numbers), "".join(tag for tag, _ in parts),
                       *(value for _, values in parts for value in values))


def without_types(data):
    """The same message with its type-tag string taken out."""
    _, types = osc.read_text(data, 0)
    _, arguments = osc.read_text(data, types)
    return data[:types] + data[arguments:]


def questions(profile):
    """Every question of a profile, as the packet it is, in the profile's order."""
    asked, own = [], 0
    for entry in profile["values"]:
        words = [entry["at"]] if "at" in entry else entry.get("ask")
        if words is None:
            continue
        kinds = list(dict.fromkeys(found[1] for word in words if isinstance(word, str)
                                   for found in PLACEHOLDER.finditer(word)))
        ranges = []
        for kind in kinds:
            count = band_kind(entry) if kind == "band" else kind
            first = entry.get("first", profile.get("first", {}).get(count, 1))
            ranges.append(profile.get("names", {}).get(
                count, range(first, first + profile["counts"][count])))
        for numbers in itertools.product(*ranges):
            own += "*" in words[1:]
            asked.append(encode(words, {**dict(zip(kinds, numbers)), "*": own}))
    return as_sent(profile, asked)


def as_sent(profile, packets):
    tagged = profile["link"].get("type_tags", True)
    return packets if tagged else [without_types(data) for data in packets]


def renewals(profile):
    return as_sent(profile, [encode(renewal["send"], {}) for renewal in profile.get("renew", [])])


QUESTIONS = len(questions(read_json(PROFILE)))
