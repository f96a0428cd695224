"""The network that a device without settings opens itself, with its page and its names; and the key that asks for the serial line."""

import socket
import sys
import time

import machine
import network
import select
from drivers.net import Net
from first_run import ask, finish
from setup_page import ADDRESS, Setup, answer_name, whole

PREFIX = "brinewatch-"
PASSWORD = "brinewatch"
# How long a browser is waited for.
READ_MS = 3000


def _listen(kind, port):
    listener = socket.socket(socket.AF_INET, kind)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    listener.bind(socket.getaddrinfo("0.0.0.0", port)[0][-1])
    return listener


def _serve(listener, setup):
    browser, _ = listener.accept()
    browser.settimeout(READ_MS / 1000)
    try:
        data = b""
        request = None
        while request is None:
            piece = browser.recv(512)
            data += piece
            request = whole(data) if piece else b""
        if request:
            browser.sendall(setup.handle(request))
    except OSError:
        pass  # It went away.
    finally:
        browser.close()


def run(say):
    """What was set up in a browser, or None when somebody pressed a key at the serial line."""
    point = network.WLAN(network.AP_IF)
    name = PREFIX + machine.unique_id().hex()[-4:]
    point.active(True)
    try:
        point.config(ssid=name, password=PASSWORD, security=3)
    except (ValueError, TypeError):
        point.config(essid=name, password=PASSWORD, authmode=3)
    point.ifconfig((ADDRESS, "255.255.255.0", ADDRESS, ADDRESS))
    say("Join the Wi-Fi network %s (password %s) and open http://%s/, or press Enter here." % (name, PASSWORD, ADDRESS))
    page = _listen(socket.SOCK_STREAM, 80)
    page.listen(2)
    names = _listen(socket.SOCK_DGRAM, 53)
    poll = select.poll()
    for each in (page, names, sys.stdin):
        poll.register(each, select.POLLIN)
    setup = Setup(Net)
    done = None
    until = 0
    while True:
        for each, _ in poll.ipoll(50):
            if each is page:
                _serve(page, setup)
            elif each is names:
                query, whom = names.recvfrom(256)
                answer = answer_name(query)
                if answer:
                    names.sendto(answer, whom)
            else:
                sys.stdin.readline()
                point.active(False)
                return None
        if done is None:
            done = setup.step(time.ticks_ms())
            until = time.ticks_add(time.ticks_ms(), 8000)
        elif time.ticks_diff(time.ticks_ms(), until) > 0:
            # The page had time to say that it is done.
            point.active(False)
            return done


def first_run(before):
    """In a browser or at the serial line; what was there before keeps its pins."""
    found = run(print)
    if found:
        finish(found, found["wifi"], print, before)
    else:
        ask(input, print, Net, time.ticks_ms, lambda: time.sleep_ms(50))
