# SPDX-License-Identifier: MIT
"""A network of the test's own: two namespaces, a cable between them, and weather on the cable.

Where namespaces are not allowed, Net is not `possible`, and the tests use mock-desk's own faults instead.
"""
import contextlib
import ctypes
import itertools
import os
import pathlib
import shutil
import subprocess

from harness import Process

numbers = itertools.count()
CLONE_NEWNET = 0x40000000  # linux/sched.h


def command(*words):
    return subprocess.run([str(word) for word in words], capture_output=True, text=True, timeout=100,
                          check=False)


def must(*words):
    done = command(*words)
    assert done.returncode == 0, (words, done.stderr)


class Net:
    """Ours is 10.77.0.1 in `ours`; the desk's side is 10.77.0.2, and 10.77.0.3 besides, in `desks`."""

    def __init__(self):
        name = f"gw-{os.getpid()}-{next(numbers)}"
        self.ours, self.desks = name + "-o", name + "-d"
        self.hosts = pathlib.Path("/etc/netns", self.ours, "hosts")

    def open(self):
        must("ip", "netns", "add", self.ours)
        must("ip", "netns", "add", self.desks)
        must("ip", "-n", self.ours, "link", "add", "cable", "type", "veth", "peer", "name", "cable",
             "netns", self.desks)
        must("ip", "-n", self.ours, "addr", "add", "10.77.0.1/24", "dev", "cable")
        for last in (2, 3):
            must("ip", "-n", self.desks, "addr", "add", f"10.77.0.{last}/24", "dev", "cable")
        for space in (self.ours, self.desks):
            must("ip", "-n", space, "link", "set", "cable", "up")
            must("ip", "-n", space, "link", "set", "lo", "up")

    def close(self):
        for space in (self.ours, self.desks):
            command("ip", "netns", "del", space)
        shutil.rmtree(self.hosts.parent, ignore_errors=True)

    def start(self, space, *words):
        return Process("ip", "netns", "exec", space, *words)

    def lose(self, percent):
        """Each way, so much of what arrives."""
        for space in (self.ours, self.desks):
            inside = ["ip", "netns", "exec", space, "nft"]
            must(*inside, "add", "table", "inet", "weather")
            must(*inside, "add", "chain", "inet", "weather", "in", "{ type filter hook input priority 0; }")
            must(*inside, "add", "rule", "inet", "weather", "in", "iif", "cable", "meta", "l4proto", "udp",
                 "numgen", "random", "mod", "100", "<", percent, "drop")

    def limit(self, rate):
        for space in (self.ours, self.desks):
            must("ip", "netns", "exec", space, "tc", "qdisc", "add", "dev", "cable", "root", "tbf",
                 "rate", rate, "burst", "4kb", "latency", "40ms")

    def disturb(self):
        """Delay, jitter, reordering and duplicates, where the kernel has netem; whether it has."""
        return all(command("ip", "netns", "exec", space, "tc", "qdisc", "add", "dev", "cable", "root",
                           "netem", "delay", "10ms", "5ms", "reorder", "10%", "duplicate", "5%").returncode
                   == 0 for space in (self.ours, self.desks))

    def plug(self, state):
        must("ip", "-n", self.desks, "link", "set", "cable", state)

    def name(self, host, address):
        """What the name means in `ours`, from the next look-up on. The file stays the same one."""
        self.hosts.parent.mkdir(parents=True, exist_ok=True)
        with open(self.hosts, "w", encoding="ascii") as file:
            file.write(f"127.0.0.1 localhost\n{address} {host}\n")


def is_possible():
    net = Net()
    try:
        net.open()
        net.lose(1)
        net.limit("10mbit")
        return True
    except (AssertionError, OSError):
        return False
    finally:
        net.close()


def _enter(file):
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.setns(file.fileno(), CLONE_NEWNET) != 0:
        raise OSError(ctypes.get_errno(), "setns")


@contextlib.contextmanager
def entered(space):
    """This thread, its sockets from now on and the programs that it starts are in that namespace."""
    with open("/proc/thread-self/ns/net", "rb") as home, open(f"/run/netns/{space}", "rb") as there:
        _enter(there)
        try:
            yield
        finally:
            _enter(home)


@contextlib.contextmanager
def opened():
    net = Net()
    try:
        net.open()
        yield net
    finally:
        net.close()
