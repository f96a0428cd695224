# Runs main.py's own start(), pass by pass.
import gc

import heap
import machine
import onewire
import select
import socket
import network
import time
import world

monitor = None
main = None


def load():
    global main
    import main


def start():
    global monitor
    monitor, _ = main.start()
    _watch()


# Each sampling, as the outbox got it.
def _watch():
    add = monitor.outbox.add

    def watched(at_ms, values):
        world.sampled(at_ms, ";".join(["" if value is None else str(value) for value in values]))
        add(at_ms, values)

    monitor.outbox.add = watched


def step():
    monitor.step()
    heap.look()
    link = monitor.link
    waits = link.state == "dialling" or link.state == "greeting"
    more = False
    if link.state == "greeting" or link.state == "up":
        client = link._client
        waits = waits or client._flight != 0 or client._awaits
        more = len(client._out) > 0
    up = link.state == "up"
    timeless = up and monitor._epoch is None
    return (1 if waits else 0) | (2 if up else 0) | (4 if more else 0) | (8 if timeless else 0)


def pulse(number, times):
    handler = machine.Pin.handlers.get(number)
    if handler:
        for _ in range(times):
            handler(None)


# Nothing is measured any more; what waits is still sent.
def still():
    monitor._sample_at = monitor._clock.now() + 1000000
    monitor._report_at = 0
