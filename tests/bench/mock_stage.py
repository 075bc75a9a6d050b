# SPDX-License-Identifier: MIT
"""What the simulated stage costs: CPU seconds for each second of a stage's time, by libmock-stage.so.

The peer is the clock on the wall: below 1 a person can play on it in real time, on one core. Beside it, how long the
search for an onset takes.

    python3 tests/bench/mock_stage.py BUILD
"""
import ctypes
import sys
import time

SECONDS = 20.0

library = ctypes.CDLL(f"{sys.argv[1]}/libmock-stage.so")
library.stage_open.restype = ctypes.c_void_p
library.stage_open.argtypes = [ctypes.c_char_p, ctypes.c_char_p]
library.stage_close.argtypes = [ctypes.c_void_p]
library.stage_run.restype = ctypes.c_double
library.stage_run.argtypes = [ctypes.c_void_p, ctypes.c_double]
library.stage_spectra.argtypes = [ctypes.c_void_p, ctypes.c_bool]
library.stage_onset.restype = ctypes.c_double
library.stage_onset.argtypes = [ctypes.c_void_p, ctypes.POINTER(ctypes.c_double)]


def cost(work):
    before = time.process_time()
    work()
    return time.process_time() - before


def measure(size):
    stage = library.stage_open(None, f"random:1:{size}".encode())
    listening = cost(lambda: library.stage_run(stage, SECONDS)) / SECONDS
    library.stage_spectra(stage, False)
    alone = cost(lambda: library.stage_run(stage, SECONDS)) / SECONDS
    onset = cost(lambda: library.stage_onset(stage, ctypes.byref(ctypes.c_double())))
    library.stage_close(stage)
    print(f"stage {size}, 40 paths a pair: load {listening:.3f} of one core with spectra and ear, {alone:.3f} without; "
          f"onset found in {onset:.1f} s of CPU")
    return listening


print("\nThe simulated stage")
loads = {size: measure(size) for size in ("1x1", "2x2", "4x4", "8x8")}
if loads["4x4"] >= 1:
    sys.exit("stage: a 4x4 does not run in real time on one core")
