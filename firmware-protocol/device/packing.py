"""Readings as few bytes: what waits to be sent is kept like this, in memory and on the flash.

A sampling is all channels read at one moment: its time since the one before in hundredths of a second, then a code for each
channel. A code is a fault, nothing, or the step since the channel's last value. All are whole numbers of 7 bits a byte.
"""

FAULTS = ("disconnected", "power-on", "fault")
NOTHING = 3
FIRST_STEP = 4
PACK_BYTES = 384
# The longest sampling of so many channels: 5 bytes for the time, 4 for each code.
LONGEST_CODE = 4


def longest(channels):
    return 5 + LONGEST_CODE * channels


class Packer:
    """One pack that is being filled. Its buffer is made once and used over and over."""

    def __init__(self, channels, size):
        self._buffer = bytearray(size)
        self._last = [0] * channels
        self._longest = longest(channels)
        self.begin(0)

    def begin(self, at_ms):
        self.at_ms = at_ms
        self.readings = 0
        self._length = 0
        self._elapsed = 0
        for i in range(len(self._last)):
            self._last[i] = 0

    @property
    def is_full(self):
        return self._length + self._longest > len(self._buffer)

    # values: for each channel a whole number, a fault's name, or None where nothing was read.
    def add(self, at_ms, values):
        if not self.readings:
            self.begin(at_ms)
        since = (at_ms - self.at_ms) // 10
        self._put(since - self._elapsed)
        self._elapsed = since
        for i in range(len(values)):
            value = values[i]
            if value is None:
                self._put(NOTHING)
                continue
            self.readings += 1
            if isinstance(value, str):
                self._put(FAULTS.index(value))
                continue
            step = value - self._last[i]
            self._last[i] = value
            self._put(FIRST_STEP + (step * 2 if step >= 0 else -step * 2 - 1))

    def bytes(self):
        return bytes(memoryview(self._buffer)[: self._length])

    def _put(self, number):
        while number > 127:
            self._buffer[self._length] = number & 127 | 128
            self._length += 1
            number >>= 7
        self._buffer[self._length] = number
        self._length += 1


def unpack(data, channels, wanted):
    """Of one channel, in order: hundredths of a second since the pack began, and the value or the fault's name."""
    at = 0
    elapsed = 0
    last = 0
    end = len(data)
    channel = -1
    while at < end:
        number = 0
        shift = 0
        while True:
            byte = data[at]
            at += 1
            number |= (byte & 127) << shift
            if byte < 128:
                break
            shift += 7
        if channel < 0:
            elapsed += number
        elif channel == wanted:
            if number >= FIRST_STEP:
                number -= FIRST_STEP
                last += -(number + 1) // 2 if number & 1 else number // 2
                yield elapsed, last
            elif number != NOTHING:
                yield elapsed, FAULTS[number]
        channel += 1
        if channel == channels:
            channel = -1
