# SPDX-License-Identifier: MIT
"""A relay between one asker and one desk that does to each datagram what the test says."""
import contextlib
import heapq
import random
import select
import socket
import time


class Relay:
    """`fate(to_desk, data)` gives the delays, in seconds, with which a datagram goes on: none, and it is lost;
    two, and it comes twice. serve() runs until close() or the end of the program."""

    def __init__(self, host, port, fate, listen=0):
        self.fate, self.asker, self.late, self.number, self.closing = fate, None, [], 0, False
        self.asker_end = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.desk_end = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        for end in (self.asker_end, self.desk_end):
            end.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 20)
        self.asker_end.bind(("0.0.0.0", listen))
        self.port = self.asker_end.getsockname()[1]
        self.at = f"127.0.0.1:{self.port}"
        self.desk_end.connect((host, port))

    def take(self, end):
        with contextlib.suppress(ConnectionRefusedError):  # a desk that is just not there
            data, peer = end.recvfrom(65536)
            to_desk = end is self.asker_end
            self.asker = peer if to_desk else self.asker
            for delay in self.fate(to_desk, data):
                self.number += 1
                heapq.heappush(self.late, (time.monotonic() + delay, self.number, to_desk, data))

    def pass_on(self):
        while self.late and self.late[0][0] <= time.monotonic():
            _, _, to_desk, data = heapq.heappop(self.late)
            with contextlib.suppress(ConnectionRefusedError):
                if to_desk:
                    self.desk_end.send(data)
                elif self.asker:
                    self.asker_end.sendto(data, self.asker)

    def serve(self):
        while not self.closing:
            wait = min(0.1, max(0, self.late[0][0] - time.monotonic())) if self.late else 0.1
            for end in select.select([self.asker_end, self.desk_end], [], [], wait)[0]:
                self.take(end)
            self.pass_on()

    def close(self):
        self.closing = True


class Weather:
    """The fate of a datagram by chance: lost, doubled, late, and so overtaken; the same again with the seed."""

    def __init__(self, seed, lose=0.0, double=0.0, delay=0.0, jitter=0.0, share=1.0):
        self.dice = random.Random(seed)
        self.lose, self.double, self.delay, self.jitter, self.share = lose, double, delay, jitter, share

    def late(self):
        return self.delay + (self.dice.random() * self.jitter if self.dice.random() < self.share else 0)

    def __call__(self, to_desk, data):
        if self.dice.random() < self.lose:
            return []
        return [self.late() for _ in range(2 if self.dice.random() < self.double else 1)]
