# SPDX-License-Identifier: MIT
"""Looks at HTML pages with what was written elsewhere: html-validate, Tidy, axe-core, Chromium, poppler.

    check([path, ...])        every Problem of the pages, none for pages without a fault
    pdf(path)                 what Chromium prints of it: .pages, .sizes, .text, .fonts
    places(path, selectors)   (top, bottom) of each on a phone, px
    screenshots(path, folder) pictures to look at: 390, 820 and 1280 px wide, light and dark, and on paper

One browser serves all calls of a process (pages.js); it is started by the first, and `close()` ends it, as does
the end of the process, however that comes: its input ends then. After a call that was not answered the next one
has a new browser.
"""
import atexit
import contextlib
import json
import os
import pathlib
import re
import selectors
import signal
import subprocess
import sys
import tempfile
import time
from typing import NamedTuple

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "e2e"))

from harness import environment  # noqa: E402: found by the line above

A4_MM = (210, 297)
POINT_MM = 25.4 / 72
MARK = "GAINWARDEN_TEST_PAGES"  # in the environment of all that is started here

# What Tidy 5.6 finds fault with and HTML allows, by pattern, with the reason.
ALLOWED_BY_HTML = {
    r'<title> proprietary attribute "id"': "the title of a drawing, taken for the page's; `id` is global anyway",
    r'<form> attribute "method" has invalid value "dialog"': "HTML's own since there are dialogs",
}
# How it ends after errors, which it has told by then.
TIDY_ENDS = ("This document has errors that must be fixed", "using HTML Tidy to generate")


class Trouble(Exception):
    """The rig could not look; nothing is said of the page."""


class Problem(NamedTuple):
    page: str
    by: str  # html-validate, tidy, axe, layout, outside, console, script
    rule: str
    looks: tuple  # "390 dark" and the like; "source"
    places: tuple
    what: str

    def __str__(self):
        places = "; ".join(self.places[:5]) + ("; ..." if len(self.places) > 5 else "")
        return (f"{os.path.basename(self.page)}: {self.by} {self.rule} ({', '.join(self.looks)}): "
                f"{self.what}: {places} [{len(self.places)}]")


class Print(NamedTuple):
    pages: int
    sizes: tuple  # (width, height) of each page in whole mm
    text: str
    fonts: tuple  # (page from 1, size in points, text), as it is read

    def all_a4(self):
        return all(size == A4_MM for size in self.sizes)


# ---- the browser ----

class Browser:
    """pages.js under way. All it writes lies in a folder of its own, which goes with it."""

    def __init__(self):
        self.folder = tempfile.TemporaryDirectory(prefix="gainwarden-pages-")
        self.errors = open(pathlib.Path(self.folder.name) / "stderr", "w+b")
        own = {"TMPDIR": self.folder.name, "HOME": self.folder.name, MARK: self.folder.name}
        self.popen = subprocess.Popen(["node", str(HERE / "pages.js")], stdin=subprocess.PIPE,
                                      stdout=subprocess.PIPE, stderr=self.errors,
                                      env=environment(own), start_new_session=True)
        self.read = b""
        self.sessions = set()

    def trouble(self, what):
        self.errors.seek(0)
        told = self.errors.read().decode(errors="replace").strip()
        hint = "\nis tests/pages installed? npm ci --prefix tests/pages" if "MODULE_NOT_FOUND" in told else ""
        return Trouble(f"pages.js {what}\n{told}{hint}")

    def line(self, limit_s):
        end = time.monotonic() + limit_s
        with selectors.DefaultSelector() as waiting:
            waiting.register(self.popen.stdout, selectors.EVENT_READ)
            while b"\n" not in self.read:
                if not waiting.select(max(0, end - time.monotonic())):
                    raise self.trouble(f"did not answer within {limit_s} s")
                more = os.read(self.popen.stdout.fileno(), 1 << 16)
                if not more:
                    raise self.trouble("has ended")
                self.read += more
        line, self.read = self.read.split(b"\n", 1)
        return line

    def ask(self, limit_s, **command):
        try:
            self.popen.stdin.write(json.dumps(command).encode() + b"\n")
            self.popen.stdin.flush()
        except BrokenPipeError:
            raise self.trouble("has ended") from None
        answer = json.loads(self.line(limit_s))
        if len(self.sessions) < 2:
            self.left()  # now that all are there; whose parents end can still be found then
        return answer

    def left(self):
        """Processes that came from this one and still run: those with the mark, and all of their sessions.

        Chromium's children write over what would show the mark; its watchers have sessions of their own.
        """
        mark = f"{MARK}={self.folder.name}\0".encode()
        running = {}
        for entry in pathlib.Path("/proc").glob("[0-9]*"):
            with contextlib.suppress(OSError):  # ended meanwhile, or somebody else's
                state, _, _, session = (entry / "stat").read_text().rpartition(")")[2].split()[:4]
                if state != "Z":
                    running[int(entry.name)] = int(session)
                if mark in (entry / "environ").read_bytes():
                    self.sessions.add(int(session))
        return [pid for pid, session in running.items() if session in self.sessions]

    def close(self, limit_s=100):
        """Its input ends, so it ends, and the browser a moment after it; else both are made to."""
        with contextlib.suppress(BrokenPipeError):
            self.popen.stdin.close()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.popen.wait(limit_s)
        end = time.monotonic() + limit_s
        while self.left() and time.monotonic() < end:
            time.sleep(0.02)
        self.kill()

    def kill(self):
        """For one that failed, and may hang. Its processes end each other, so they are looked for again."""
        end = time.monotonic() + 100
        while (left := self.left()) and time.monotonic() < end:
            for pid in left:
                with contextlib.suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)
            self.popen.poll()
            time.sleep(0.01)
        self.popen.wait(100)
        for file in (self.popen.stdin, self.popen.stdout, self.errors):
            with contextlib.suppress(BrokenPipeError):
                file.close()
        self.folder.cleanup()


current = None


def close():
    global current
    if current:
        browser, current = current, None
        browser.close()


atexit.register(close)


def ask(limit_s, **command):
    """The answer to a command. A browser that did not give one is not asked again."""
    global current
    if current is None:
        current = Browser()
    try:
        answer = current.ask(limit_s, **command)
    except BaseException:  # the test's own end by time, too
        browser, current = current, None
        browser.kill()
        raise
    if "error" in answer:
        raise Trouble(answer["error"])
    return answer["answer"]


# ---- programs that end by themselves ----

def run(*argv, limit_s=200, expected=(0,), text=b""):
    done = subprocess.run([str(word) for word in argv], input=text, capture_output=True, timeout=limit_s,
                          env=environment({"HOME": "/nonexistent"}), check=False)  # nobody's own settings
    err = done.stderr.decode(errors="replace")
    if done.returncode not in expected:
        raise Trouble(f"{argv[0]}: status {done.returncode}: {err}")
    return done.stdout.decode(errors="replace"), err


def tidy(path):
    """What HTML Tidy says, one Problem for each kind of remark. Given a name, it wants to write to the file."""
    _, told = run("tidy", "-e", "-q", "-utf8", expected=(0, 1, 2), text=path.read_bytes())
    found = {}
    for line in told.splitlines():
        match = re.match(r"(line \d+) column \d+ - \w+: (.*)", line)
        if match is None and line and not line.startswith(TIDY_ENDS):
            raise Trouble(f"tidy: {line}")
        if match and not any(re.search(pattern, match[2]) for pattern in ALLOWED_BY_HTML):
            found.setdefault(match[2], []).append(match[1])
    return [Problem(str(path), "tidy", what, ("source",), tuple(places), what)
            for what, places in found.items()]


# ---- what tests call ----

def check(paths, limit_s=None):
    """Every problem of the pages, page by page; [] when there is none. A page of a large desk takes 5 to 10 s,
    the limit only ends what hangs."""
    paths = [pathlib.Path(path).resolve() for path in paths]
    limit_s = limit_s or 200 + 200 * len(paths)
    found = ask(limit_s, do="check", files=[str(path) for path in paths])
    problems = [Problem(one["page"], one["by"], one["rule"], tuple(one["looks"]), tuple(one["places"]),
                        one["what"]) for one in found]
    for path in paths:
        problems += tidy(path)
    return sorted(problems, key=lambda one: [str(path) for path in paths].index(one.page))


def fonts_of(file):
    """As pdftohtml reads them, at three times their size, for it knows whole numbers alone."""
    told, _ = run("pdftohtml", "-xml", "-zoom", 3, "-i", "-stdout", file)
    found, sizes, page = [], {}, 0
    for line in told.splitlines():
        page += "<page " in line
        if match := re.search(r'<fontspec id="(\d+)" size="(-?\d+)"', line):
            sizes[match[1]] = int(match[2]) / 3
        elif match := re.search(r'<text [^>]*font="(\d+)">(.*)</text>', line):
            found.append((page, sizes[match[1]], re.sub("<[^>]*>", "", match[2])))
    return tuple(found)


def places(path, selectors, limit_s=200):
    """Where the first element of each selector lies on a phone."""
    return ask(limit_s, do="places", file=str(pathlib.Path(path).resolve()), of=list(selectors))


def pdf(path, keep=None, at=None, limit_s=200):
    """The page as it is printed on A4, with the link to `at` followed; the file stays if `keep` names it."""
    with tempfile.TemporaryDirectory(prefix="gainwarden-print-") as folder:
        file = pathlib.Path(keep or pathlib.Path(folder) / "print.pdf").resolve()
        ask(limit_s, do="print", file=str(pathlib.Path(path).resolve()), to=str(file), at=at)
        fonts = fonts_of(file)
        facts, _ = run("pdfinfo", "-f", 1, "-l", 9999, file)
        text, _ = run("pdftotext", "-layout", file, "-")
    pages = int(re.search(r"^Pages:\s+(\d+)", facts, re.M)[1])
    sizes = re.findall(r"^Page +\d+ size:\s+([\d.]+) x ([\d.]+) pts", facts, re.M)
    assert len(sizes) == pages, facts
    return Print(pages, tuple(tuple(round(float(side) * POINT_MM) for side in size) for size in sizes), text, fonts)


def screenshots(path, folder, limit_s=600):
    """The paths of the pictures, the printed pages among them."""
    path, folder = pathlib.Path(path).resolve(), pathlib.Path(folder).resolve()
    folder.mkdir(parents=True, exist_ok=True)
    made = ask(limit_s, do="screenshots", file=str(path), folder=str(folder))
    stem = folder / f"{path.stem}-print"
    pdf(path, keep=f"{stem}.pdf", limit_s=limit_s)
    run("pdftoppm", "-png", "-r", 80, f"{stem}.pdf", stem, limit_s=limit_s)
    return [pathlib.Path(one) for one in made] + sorted(folder.glob(f"{stem.name}-*.png"))


if __name__ == "__main__":  # by hand: the problems of the pages named
    problems = check(sys.argv[1:])
    for problem in problems:
        print(problem)
    close()
    sys.exit(1 if problems else 0)
