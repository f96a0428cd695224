# Runs main.py's own start(), pass by pass. Each new name takes memory for good, and counts among the firmware's: there are few.
import gc

import machine
import onewire
import select
import socket
import network
import time
import world

monitor = None
main = None
# What is in use, bytes. The interpreter collects only between calls from outside, so what a pass of the loop allocates counts
# as if it stayed until the pass has ended.
peak = 0


def collect():
    gc.collect()


def used():
    return gc.mem_alloc()


def load():
    global main
    import main


def start():
    global monitor
    monitor, _ = main.start()
    # Each sampling, as the outbox got it.
    add = monitor.outbox.add

    def append(at_ms, values):
        world.sampled(at_ms, ";".join(["" if value is None else str(value) for value in values]))
        add(at_ms, values)

    monitor.outbox.add = append


def step():
    global peak
    monitor.step()
    peak = max(peak, gc.mem_alloc())
    # As in link.py: 2 dialling, 3 greeting, 4 up.
    link = monitor.link
    state = link.state
    flags = 0
    if state == 4:
        flags = 2 if monitor._epoch is not None else 10
    elif state == 2 or state == 3:
        flags = 1
    if state > 2:
        if link._client._flight or link._client._awaits:
            flags |= 1
        if link._client._out:
            flags |= 4
    return flags


def pulse(number, count):
    handler = machine.Pin.handlers.get(number)
    if handler:
        for _ in range(count):
            handler(None)


# Nothing is measured any more; what waits is still sent.
def still():
    monitor._sample_at = monitor._clock.now() + 1000000
    monitor._report_at = 0
