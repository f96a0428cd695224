"""A pack as SenML (RFC 8428) in JSON, written into one buffer, a little at a time."""

from packing import unpack

# What a reading takes at most: {"t":99.99,"vs":"disconnected"}, is longer than any number.
READING_BYTES = 34
# boot, seq, uptime and brackets; and what a channel's first record has more than others.
HEAD_BYTES = 160
CHANNEL_BYTES = 96
_ROOM = b" " * 16


# Whole numbers of 10^-decimals are written without floating point, of which many boards have 24 bits only, and without making
# text of them, which takes memory.
def _digits(value, decimals):
    digits = 1
    top = 10
    while top <= value:
        top *= 10
        digits += 1
    return max(digits, decimals + 1)


# Ends before `end`; gives where it begins. value is not negative.
def _write_number(buffer, end, value, decimals, digits):
    for place in range(digits):
        if decimals and place == decimals:
            end -= 1
            buffer[end] = 46
        end -= 1
        buffer[end] = 48 + value % 10
        value //= 10
    return end


class Writer:
    """Writes packs, one after the other, into the same buffer."""

    def __init__(self, size):
        self._buffer = bytearray(size)
        self.length = 0

    def view(self):
        return memoryview(self._buffer)[: self.length]

    def _put(self, data):
        end = self.length + len(data)
        self._buffer[self.length : end] = data
        self.length = end

    def _put_number(self, value, decimals):
        if value < 0:
            self._put(b"-")
            value = -value
        while decimals and value % 10 == 0:
            value //= 10
            decimals -= 1
        digits = _digits(value, decimals)
        self.length += digits + (1 if decimals else 0)
        _write_number(self._buffer, self.length, value, decimals, digits)

    def write(self, pack):
        """Yields every few readings, so that nothing else has to wait for a long pack."""
        self._pack = pack
        self.length = 0
        self._put(('[{"n":"boot","vs":"%s"},{"n":"seq","v":%d}' % (pack.boot, pack.seq)).encode())
        self._uptime_at = None
        if pack.epoch_ms is None:
            self._put(b',{"n":"uptime","u":"s","v":')
            self._uptime_at = self._leave_room()
            self._put(b"}")
        self._base_at = None
        several = 0
        for index in range(len(pack.channels)):
            name, unit, factor, decimals = pack.channels[index]
            first = True
            for since, value in unpack(pack.data, len(pack.channels), index):
                if first:
                    self._put((',{"bn":"%s","bu":"%s",' % (name, unit)).encode())
                    first = False
                else:
                    self._put(b",{")
                if self._base_at is None:
                    self._put(b'"bt":')
                    self._base_at = self._leave_room()
                    self._put(b",")
                if since:
                    self._put(b'"t":')
                    self._put_number(since, 2)
                    self._put(b",")
                if isinstance(value, str):
                    self._put(b'"vs":"')
                    self._put(value.encode())
                    self._put(b'"}')
                else:
                    self._put(b'"v":')
                    self._put_number(value * factor, decimals)
                    self._put(b"}")
                several += 1
                if not several & 7:
                    yield
        self._put(b"]")

    # At the moment of sending: only two numbers depend on it.
    def place(self, now_ms):
        pack = self._pack
        if pack.epoch_ms is not None:
            # Of an earlier power-up, whose clock has stopped: Unix time.
            self._fill(self._base_at, pack.at_ms + pack.epoch_ms)
            return
        self._fill(self._uptime_at, now_ms)
        self._fill(self._base_at, pack.at_ms - now_ms)

    def _leave_room(self):
        self._put(_ROOM)
        return self.length - len(_ROOM)

    # White space before a number is good JSON.
    def _fill(self, at, ms):
        if at is None:
            return
        end = at + len(_ROOM)
        self._buffer[at:end] = _ROOM
        value = abs(ms)
        begin = _write_number(self._buffer, end, value, 3, _digits(value, 3))
        if ms < 0:
            self._buffer[begin - 1] = 45
