"""DS18B20 temperature probes on one 1-Wire line. Numbers are those of its datasheet."""

import onewire

CONVERT = 0x44
READ_SCRATCHPAD = 0xBE
MATCH_ROM = 0x55
SKIP_ROM = 0xCC
FAMILY = 0x28
# A conversion at 12 bits takes 750 ms at most; at first the line is searched for probes, later when one is missing.
CONVERT_MS = 760
SEARCH_MS = 30000
POWER_ON = 0x0550


# Sixteenths of a degree Celsius, or a fault's name.
def decode(pad, crc8):
    if pad is None or all([byte == 0xFF for byte in pad]):
        return "disconnected"
    # Nine zeros pass the sum: the line is shorted.
    if not any(pad) or crc8(pad):
        return "fault"
    # In the configuration register these bits never change.
    if pad[4] & 0x9F != 0x1F:
        return "fault"
    raw = pad[1] << 8 | pad[0]
    if raw & 0x8000:
        raw -= 0x10000
    if raw == POWER_ON:
        return "power-on"
    # At fewer bits than twelve the last ones mean nothing.
    raw &= ~((8 >> (pad[4] >> 5 & 3)) - 1)
    return raw if -55 * 16 <= raw <= 125 * 16 else "fault"


class Probes:
    # names and roms belong together; a rom of None takes a probe that nobody else has.
    def __init__(self, pin, names, roms):
        self._line = onewire.OneWire(pin)
        self.channels = [(name, "Cel", 625, 4) for name in names]
        self._wanted = roms
        self._roms = [None] * len(roms)
        self.values = ["disconnected"] * len(names)
        self.read_at = None
        self._next = None
        self._started = 0
        self._searched = None
        self._pad = bytearray(9)
        self._again = False

    def step(self, now):
        if self._next is None:
            self._start(now)
        elif now - self._started >= CONVERT_MS:
            # One probe a pass: it takes some 15 ms.
            self._read(self._next)
            if self._again:
                return
            self._next += 1
            if self._next == len(self.channels):
                self._next = None
                self.read_at = now

    def _start(self, now):
        missing = None in self._roms or "disconnected" in self.values
        if missing and (self._searched is None or now - self._searched >= SEARCH_MS):
            self._search(now)
        self._started = now
        self._next = 0
        self._again = False
        if self._line.reset():
            self._line.writebyte(SKIP_ROM)
            self._line.writebyte(CONVERT)

    def _search(self, now):
        self._searched = now
        found = [bytes(rom) for rom in self._line.scan() if rom[0] == FAMILY]
        free = sorted([rom for rom in found if rom not in self._wanted])
        for i in range(len(self._wanted)):
            rom = self._wanted[i]
            if rom is None and self._roms[i] in found:
                rom = self._roms[i]
            if rom is None:
                free = [each for each in free if each not in self._roms]
                rom = free.pop(0) if free else self._roms[i]
            self._roms[i] = rom

    def _read(self, i):
        rom = self._roms[i]
        pad = None
        if rom is not None and self._line.reset():
            self._line.writebyte(MATCH_ROM)
            self._line.write(rom)
            self._line.writebyte(READ_SCRATCHPAD)
            pad = self._pad
            self._line.readinto(pad)
        value = decode(pad, self._line.crc8)
        # A disturbed line deserves a second look, once.
        self._again = value == "fault" and not self._again
        self.values[i] = value
