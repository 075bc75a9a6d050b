# SPDX-License-Identifier: MIT
"""A machine without memory: the program says so in one line, prints no half report, and ends with a status of its
own. The kernel's limit on a process's memory (setrlimit(2), RLIMIT_AS) stands for such a machine; a program with
AddressSanitizer lives under none, so there its allocator refuses what is large.
"""
import resource
import subprocess

from harness import BUILD, PATIENCE, environment, write_json

MEGABYTE = 1 << 20
MOST = 512  # what a profile's counts may be
LIMITS = range(8, 256)  # megabytes

# A desk of the largest counts; its levels alone take more than a megabyte.
LARGE = {"profile_format": 1, "desk": "Large desk", "counts": {"input": MOST, "mix": MOST},
         "link": {"transport": "udp", "port": 9},
         "values": [{"at": "/in/{input}/to/{mix}", "is": "send.level"}]}

SANITIZED = b"__asan_init" in (BUILD / "gainwarden").read_bytes()


def run_within(limit, *words):
    """A run that gets no more than so many megabytes; where it is sanitized, none in one piece."""
    env = environment({"ASAN_OPTIONS": "allocator_may_return_null=1:max_allocation_size_mb=1"} if SANITIZED else {})

    def hold():
        if not SANITIZED:
            resource.setrlimit(resource.RLIMIT_AS, (limit * MEGABYTE, limit * MEGABYTE))

    return subprocess.run([str(BUILD / "gainwarden"), *map(str, words)], stdin=subprocess.DEVNULL, capture_output=True,
                          env=env, preexec_fn=hold, timeout=20 * PATIENCE, check=False)


def enough_to_begin():
    """Megabytes with which the program begins at all."""
    return next(limit for limit in LIMITS if run_within(limit, "--version").returncode == 0)


def test_one_line_and_a_status(tmp_path):
    profile = write_json(tmp_path / "large.json", LARGE)

    done = run_within(enough_to_begin(), "audit", "--profile", profile, "--desk", "127.0.0.1:9", "--yes")

    said = [line for line in done.stderr.decode().splitlines() if "WARNING: AddressSanitizer" not in line]
    assert said == ["gainwarden: out of memory"]
    assert done.stdout == b""
    assert done.returncode == 4
