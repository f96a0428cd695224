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


class NoNet:
    def __init__(self, name, password):
        pass

    def join(self):
        pass

    def joined(self):
        return False


# The questions of the first start, with these answers; what was kept, or what was wrong.
def first_run(answers):
    import os

    from first_run import ask
    from settings import load

    time = [0]

    def rest():
        time[0] += 1000

    os.rename("settings.json", "aside.json")
    asked = []

    def read(question):
        asked.append(question)
        return answers.pop(0)

    try:
        ask(read, asked.append, NoNet, lambda: time[0], rest)
        return json.dumps({"asked": asked, "kept": load()})
    finally:
        os.rename("aside.json", "settings.json")


def check_settings(text):
    from settings import check

    try:
        check(json.loads(text))
        return ""
    except ValueError as error:
        return str(error)


class BrokenFolder:
    def names(self):
        return []

    def __getattr__(self, _):
        def fail(*_):
            raise OSError(28)

        return fail


# Samplings while nothing can be sent, on a flash that fails; then what is left.
def without_flash(samplings):
    outbox = Outbox("0badcafe", [("water", "Cel", 625, 4)], BrokenFolder())
    for i in range(samplings):
        outbox.add(i * 1000, [400 + i % 7])
        outbox.step(i * 1000)
        if i == 40:
            outbox.next(True)
    first = outbox.next(True)
    return json.dumps([outbox.backlog, outbox.dropped, outbox.flash_failed, first.seq])


# A pack of ten on the flash for each number, written by one power-up, its end cut off, read by the next.
def cut_short(packs, cut):
    import os

    from flash import Folder
    from shelf import Shelf

    channels = [("water", "Cel", 625, 4)]
    folder = Folder("trial")
    shelf = Shelf(folder, 8, "aaaaaaaa", channels)
    shelf.learn_epoch(1767225600000)
    for seq in range(packs):
        packer = Packer(1, 384)
        for i in range(10):
            packer.add(seq * 10000 + i * 1000, [400])
        shelf.put([Pack("aaaaaaaa", seq, packer.at_ms, packer.readings, packer.bytes(), channels)], False)
    name = [name for name in folder.names() if len(name) == 9][0]
    whole = folder.read(name)
    folder.write(name, whole[: len(whole) - cut])
    shelf = Shelf(folder, 8, "bbbbbbbb", channels)
    found = []
    while True:
        pack = shelf.first()
        if pack is None:
            break
        found.append([pack.boot, pack.seq, pack.readings, pack.epoch_ms is not None])
        shelf.let_go()
    left = [name for name in folder.names() if len(name) == 9]
    for name in folder.names():
        folder.remove(name)
    os.rmdir("trial")
    return json.dumps({"found": found, "left": left})


# The page of the first start, kept between calls.
setup = None


def setup_begin():
    global setup
    import gc

    gc.collect()
    before = gc.mem_alloc()
    from drivers.net import Net
    from setup_page import Setup

    setup = Setup(Net)
    gc.collect()
    return str(gc.mem_alloc() - before)


def setup_handle(request):
    from setup_page import whole

    data = request.encode()
    assert whole(data[:-1]) is None and whole(data) == data
    return setup.handle(data).decode()


def setup_step(now):
    found = setup.step(now)
    return json.dumps({"found": found, "said": setup.said, "busy": setup.is_busy})


def answer_name(query):
    import setup_page

    answer = setup_page.answer_name(bytes(query))
    return json.dumps(None if answer is None else list(answer))


def setup_form(text):
    from setup_page import form

    return json.dumps(form(text))


def first_run_finish(found, before):
    import os

    from first_run import finish
    from settings import load

    os.rename("settings.json", "aside.json")
    try:
        finish(found, found["wifi"], print, before)
        return json.dumps(load())
    finally:
        os.rename("aside.json", "settings.json")
