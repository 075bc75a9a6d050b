# SPDX-License-Identifier: MIT
"""A relay for kernels without netem: what goes through it comes late, in another order, and twice.

relay.py LISTEN-PORT HOST PORT SEED: between one asker and one desk, until it is ended. Delay 10 ms and up
to 5 ms more each way, so that datagrams overtake each other; one in twenty is doubled.
"""
import importlib.util
import pathlib
import signal
import sys

E2E = pathlib.Path(__file__).resolve().parents[1] / "e2e"
spec = importlib.util.spec_from_file_location("e2e_relay", E2E / "relay.py")  # which has this file's name, too
e2e = importlib.util.module_from_spec(spec)
spec.loader.exec_module(e2e)


def main():
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    port, host, desk_port, seed = int(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
    relay = e2e.Relay(host, desk_port, e2e.Weather(seed, double=0.05, delay=0.010, jitter=0.005), port)
    print(f"relay: listening on {relay.port}", flush=True)
    relay.serve()


main()
