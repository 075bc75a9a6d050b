# SPDX-License-Identifier: MIT
"""A relay for kernels without netem: what goes through it comes late, in another order, and twice.

relay.py LISTEN-PORT HOST PORT SEED: between one asker and one desk, until it is ended. Delay 10 ms and up
to 5 ms more each way, so that datagrams overtake each other; one in twenty is doubled.
"""
import heapq
import random
import select
import signal
import socket
import sys
import time

DELAY, JITTER, DOUBLED = 0.010, 0.005, 0.05


def main():
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    port, host, desk_port, seed = int(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
    dice = random.Random(seed)
    asker_end = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    desk_end = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    for end in (asker_end, desk_end):
        end.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 20)
    asker_end.bind(("0.0.0.0", port))
    desk_end.connect((host, desk_port))
    print(f"relay: listening on {asker_end.getsockname()[1]}", flush=True)
    asker, late, number = None, [], 0
    while True:
        wait = max(0, late[0][0] - time.monotonic()) if late else 1
        for end in select.select([asker_end, desk_end], [], [], wait)[0]:
            data, peer = end.recvfrom(65536)
            asker = peer if end is asker_end else asker
            for _ in range(2 if dice.random() < DOUBLED else 1):
                number += 1
                heapq.heappush(late, (time.monotonic() + DELAY + dice.random() * JITTER, number,
                                      end is asker_end, data))
        while late and late[0][0] <= time.monotonic():
            _, _, to_desk, data = heapq.heappop(late)
            if to_desk:
                desk_end.send(data)
            elif asker:
                asker_end.sendto(data, asker)


main()
