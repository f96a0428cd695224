"""Finds out what hangs on which pin, and makes the monitor of it. Forgotten after the start: a board has little memory."""

import sys
import time

import machine
from clock import Clock
from drivers.board import Board
from drivers.net import Net
from drivers.outputs import Outputs
from flash import Folder
from machine import Pin
from monitor import Monitor


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

            i2c = machine.SoftI2C(scl=Pin(channel["scl"]), sda=Pin(channel["sda"]), freq=100000)
            sensors.append(Light(i2c, name, channel.get("address", ADDRESS)))
        elif kind == "flow":
            from drivers.air import Flow

            pin = Pin(channel["pin"], Pin.IN, Pin.PULL_UP)
            sensors.append(Flow(pin, name, channel["pulses_per_litre"]))
        elif kind == "pressure":
            from drivers.air import Pressure

            adc = machine.ADC(Pin(channel["pin"]))
            sensors.append(Pressure(adc, name, channel["zero_mv"], channel["pa_per_mv"]))
        else:
            from drivers.level import Level

            pin = Pin(channel["pin"], Pin.IN, Pin.PULL_UP)
            sensors.append(Level(pin, name, channel.get("wet", 0)))
    for number in lines:
        from drivers.probes import Probes

        names = [channel["name"] for channel in lines[number]]
        roms = [bytes.fromhex(channel["rom"]) if "rom" in channel else None for channel in lines[number]]
        sensors.append(Probes(Pin(number), names, roms))
    return sensors


def _outputs(settings):
    lamps = [(Pin(lamp["pin"], Pin.OUT), lamp.get("on", 1)) for lamp in settings["lamps"]]
    for pin, on in lamps:
        pin.value(1 - on)
    buzzer = settings["buzzer"]
    pin = Pin(buzzer["pin"], Pin.OUT) if buzzer else None
    tone = machine.PWM(pin, freq=buzzer["hz"], duty_u16=0) if buzzer and "hz" in buzzer else None
    led = settings["led"]
    return Outputs(lamps, pin, tone, (Pin(led["pin"], Pin.OUT), led.get("on", 1)) if led else None)


def _settings():
    from settings import load

    settings = load()
    if settings is None or _is_asked_anew(settings["button"]):
        from drivers.portal import first_run

        first_run(settings)
        # With all of the memory.
        machine.reset()
    del sys.modules["settings"]
    return settings


# The button held while the power comes, for three seconds: other credentials, or another network.
def _is_asked_anew(button):
    if not button:
        return False
    pin = Pin(button["pin"], Pin.IN, Pin.PULL_UP)
    since = time.ticks_ms()
    while pin.value() == 0:
        if time.ticks_diff(time.ticks_ms(), since) > 3000:
            return True
        time.sleep_ms(20)
    return False


def wire():
    settings = _settings()
    button = settings["button"]
    board = Board(Pin(button["pin"], Pin.IN, Pin.PULL_UP) if button else None)
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
