# What is in use, bytes. The interpreter collects only between calls from outside, so what a pass of the loop allocates counts
# as if it stayed until the pass has ended.
import gc

peak = 0


def look():
    global peak
    now = gc.mem_alloc()
    if now > peak:
        peak = now


def collect():
    gc.collect()


def used():
    return gc.mem_alloc()
