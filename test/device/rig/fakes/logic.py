# Parts of the firmware, one at a time, for tests that need no board around them.
import json

import world
from backoff import Backoff
from clock import Clock
from config import Config
from drivers.probes import decode
from outbox import PACK_READINGS, Outbox
from packing import Packer
from packs import Pack
from senml import Writer


# samplings: [[at_ms, [value, ...]], ...]; the values are whole numbers, names of faults, or null.
def pack_as_json(channels, samplings, now, epoch):
    channels = [tuple(channel) for channel in channels]
    packer = Packer(len(channels), 2048)
    for at, values in samplings:
        packer.add(at, values)
    pack = Pack("0badcafe", 7, packer.at_ms, packer.readings, packer.bytes(), channels, epoch)
    writer = Writer(20000)
    for _ in writer.write(pack):
        pass
    writer.place(now)
    return bytes(writer.view()).decode()


def waits(chance, count):
    backoff = Backoff(lambda below: int(chance * below))
    return json.dumps([backoff.next_ms() for _ in range(count)])


def clock_over(ticks):
    at = [ticks[0]]
    clock = Clock(lambda: at[0], lambda a, b: ((a - b + (1 << 29)) & ((1 << 30) - 1)) - (1 << 29))
    seen = []
    for tick in ticks:
        at[0] = tick
        seen.append(clock.now())
    return json.dumps(seen)


def takes_config(text):
    config = Config()
    return json.dumps(config.read(text))


def crc8(data):
    crc = 0
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = crc >> 1 ^ 0x8C if crc & 1 else crc >> 1
    return crc


def probe(pad):
    return json.dumps(decode(bytearray(pad) if pad else None, crc8))


# A full pack of the worst there is must fit the buffer that the outbox gives.
def largest_pack(names):
    channels = [(name, "Cel", 625, 4) for name in names]
    outbox = Outbox("0badcafe", channels, None)
    at = 0
    while True:
        outbox.add(at, ["disconnected" if (at + i) % 3 else -880 for i in range(len(names))])
        at += 3599990
        if outbox._memory:
            break
    writer = outbox.writer()
    pack = outbox.next(True)
    for _ in writer.write(pack):
        pass
    writer.place(400 * 86400000)
    return json.dumps([pack.readings, writer.length, len(writer._buffer)])


# The questions of the first start, with these answers; what was kept, or what was wrong.
def first_run(answers):
    import os

    from first_run import ask
    from settings import load

    os.rename("settings.json", "aside.json")
    asked = []

    def read(question):
        asked.append(question)
        return answers.pop(0)

    try:
        ask(read, asked.append)
        return json.dumps({"asked": len(asked), "kept": load()})
    finally:
        os.rename("aside.json", "settings.json")


def check_settings(text):
    from settings import check

    try:
        check(json.loads(text))
        return ""
    except ValueError as error:
        return str(error)
