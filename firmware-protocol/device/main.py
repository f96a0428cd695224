"""Wires the drivers to the monitor, and runs it."""

import gc
import sys
import time

import machine
import micropython

# Line numbers of programs are not worth their memory. Before the others are loaded.
micropython.opt_level(3)

from clock import Clock
from drivers.board import Board
from drivers.net import Net
from drivers.outputs import Outputs
from flash import Folder
from monitor import Monitor

# A pass of the loop begins so long after the one before has ended.
REST_MS = 5
# Garbage is cleared after so many bytes, so that a large message finds its place in one piece.
CLEAR_BYTES = 4096


def _pin(number, *how):
    return machine.Pin(number, *how)


def _sensors(channels):
    sensors = []
    lines = {}
    for channel in channels:
        name = channel["name"]
        kind = channel["kind"]
        if kind == "probe":
            lines.setdefault(channel["pin"], []).append(channel)
        elif kind == "light":
            from drivers.light import ADDRESS, Light

            i2c = machine.SoftI2C(scl=_pin(channel["scl"]), sda=_pin(channel["sda"]), freq=100000)
            sensors.append(Light(i2c, name, channel.get("address", ADDRESS)))
        elif kind == "flow":
            from drivers.air import Flow

            pin = _pin(channel["pin"], machine.Pin.IN, machine.Pin.PULL_UP)
            sensors.append(Flow(pin, name, channel["pulses_per_litre"]))
        elif kind == "pressure":
            from drivers.air import Pressure

            adc = machine.ADC(_pin(channel["pin"]))
            sensors.append(Pressure(adc, name, channel["zero_mv"], channel["pa_per_mv"]))
        else:
            from drivers.level import Level

            pin = _pin(channel["pin"], machine.Pin.IN, machine.Pin.PULL_UP)
            sensors.append(Level(pin, name, channel.get("wet", 0)))
    for number in lines:
        from drivers.probes import Probes

        names = [channel["name"] for channel in lines[number]]
        roms = [bytes.fromhex(channel["rom"]) if "rom" in channel else None for channel in lines[number]]
        sensors.append(Probes(_pin(number), names, roms))
    return sensors


def _outputs(settings):
    lamps = [(_pin(lamp["pin"], machine.Pin.OUT), lamp.get("on", 1)) for lamp in settings["lamps"]]
    for pin, on in lamps:
        pin.value(1 - on)
    buzzer = settings["buzzer"]
    pin = _pin(buzzer["pin"], machine.Pin.OUT) if buzzer else None
    tone = machine.PWM(pin, freq=buzzer["hz"], duty_u16=0) if buzzer and "hz" in buzzer else None
    led = settings["led"]
    return Outputs(lamps, pin, tone, (_pin(led["pin"], machine.Pin.OUT), led.get("on", 1)) if led else None)


# What only the start needs is forgotten afterwards: a board has little memory.
def _settings():
    from settings import load

    settings = load()
    if settings is None or _is_asked_anew(settings["button"]):
        _first_run(settings)
        # With all of the memory.
        machine.reset()
    del sys.modules["settings"]
    return settings


# The button held while the power comes, for three seconds: other credentials, or another network.
def _is_asked_anew(button):
    if not button:
        return False
    pin = _pin(button["pin"], machine.Pin.IN, machine.Pin.PULL_UP)
    since = time.ticks_ms()
    while pin.value() == 0:
        if time.ticks_diff(time.ticks_ms(), since) > 3000:
            return True
        time.sleep_ms(20)
    return False


def _first_run(before):
    from drivers.portal import run as open_page
    from first_run import ask, finish

    found = open_page(print)
    if found:
        finish(found, found["wifi"], print, before)
    else:
        ask(input, print, Net, time.ticks_ms, lambda: time.sleep_ms(50))


def start():
    gc.threshold(CLEAR_BYTES)
    settings = _settings()
    button = settings["button"]
    board = Board(_pin(button["pin"], machine.Pin.IN, machine.Pin.PULL_UP) if button else None)
    outputs = _outputs(settings)
    monitor = Monitor(
        {
            "broker": settings["broker"],
            "port": settings["port"],
            "device": settings["device"],
            "password": settings["password"],
            "flash_kb": settings["flash_kb"],
            "lamps": [lamp["channels"] for lamp in settings["lamps"]],
        },
        Clock(time.ticks_ms, time.ticks_diff),
        _sensors(settings["channels"]),
        outputs,
        Net(settings["wifi"]["name"], settings["wifi"]["password"]),
        Folder("kept"),
        board,
    )
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
