"""A pack as SenML (RFC 8428) in JSON, written into one buffer, a little at a time."""

from packing import unpack

# What a reading takes at most: {"t":99.99,"vs":"disconnected"}, is longer than any number.
READING_BYTES = 34
# boot, seq, uptime and brackets; and what a channel's first record has more than others.
HEAD_BYTES = 160
CHANNEL_BYTES = 96
_ROOM = " " * 16


# A whole number of 10^-decimals, times `factor`, without floating point: many boards have 24 bits of it only.
def number(value, factor, decimals):
    value *= factor
    sign = "-" if value < 0 else ""
    one = 10**decimals
    value = abs(value)
    part = str(one + value % one)[1:].rstrip("0") if decimals else ""
    return "%s%d.%s" % (sign, value // one, part) if part else "%s%d" % (sign, value // one)


class Writer:
    """Writes packs, one after the other, into the same buffer."""

    def __init__(self, size):
        self._buffer = bytearray(size)
        self.length = 0

    def view(self):
        return memoryview(self._buffer)[: self.length]

    def _put(self, text):
        data = text.encode()
        end = self.length + len(data)
        self._buffer[self.length : end] = data
        self.length = end

    def write(self, pack):
        """Yields between channels and every few readings, so that nothing else has to wait for a long pack."""
        self._pack = pack
        self.length = 0
        self._put('[{"n":"boot","vs":"%s"},{"n":"seq","v":%d}' % (pack.boot, pack.seq))
        self._uptime_at = None
        if pack.epoch_ms is None:
            self._put(',{"n":"uptime","u":"s","v":')
            self._uptime_at = self._leave_room()
            self._put("}")
        self._base_at = None
        for index in range(len(pack.channels)):
            name, unit, factor, decimals = pack.channels[index]
            first = ',{"bn":"%s","bu":"%s",' % (name, unit)
            several = 0
            for since, value in unpack(pack.data, len(pack.channels), index):
                self._put(first)
                if self._base_at is None:
                    self._put('"bt":')
                    self._base_at = self._leave_room()
                    self._put(",")
                if since:
                    self._put('"t":%s,' % number(since, 1, 2))
                if isinstance(value, str):
                    self._put('"vs":"%s"}' % value)
                else:
                    self._put('"v":%s}' % number(value, factor, decimals))
                first = ",{"
                several += 1
                if not several & 7:
                    yield
            yield
        self._put("]")

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
        if at is not None:
            text = number(ms, 1, 3).encode()
            end = at + len(_ROOM)
            self._buffer[end - len(text) : end] = text
