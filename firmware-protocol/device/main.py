"""Starts, and goes round for ever."""

import gc
import sys
import time

import micropython

# Line numbers of programs are not worth their memory. Before the others are loaded.
micropython.opt_level(3)

# A pass of the loop begins so long after the one before has ended.
REST_MS = 5
# Garbage is cleared after so many bytes, so that a large message finds its place in one piece.
CLEAR_BYTES = 4096


def start():
    gc.threshold(CLEAR_BYTES)
    from wiring import wire

    monitor, board = wire()
    del sys.modules["wiring"]
    return monitor, board


def run():
    monitor, board = start()
    board.guard()
    while True:
        monitor.step()
        board.feed()
        time.sleep_ms(REST_MS)


if __name__ == "__main__":
    run()
