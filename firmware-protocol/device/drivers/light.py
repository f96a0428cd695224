"""BH1750 light sensor on I2C. Numbers are those of its datasheet."""

ADDRESS = 0x23
CONTINUOUS_HIGH_RESOLUTION = b"\x10"
# A measurement at high resolution takes 180 ms at most.
MEASURE_MS = 200
AGAIN_MS = 5000


class Light:
    def __init__(self, i2c, name, address=ADDRESS):
        self._i2c = i2c
        self._address = address
        self.channels = [(name, "lx", 1, 0)]
        self.values = ["disconnected"]
        self.read_at = None
        self._since = None
        self._ready = False

    def step(self, now):
        if self._since is not None and now - self._since < (MEASURE_MS if self._ready else AGAIN_MS):
            return
        self._since = now
        try:
            if self._ready:
                data = self._i2c.readfrom(self._address, 2)
                # A count is 1/1.2 lux.
                self.values[0] = (data[0] << 8 | data[1]) * 10 // 12
                self.read_at = now
            else:
                self._i2c.writeto(self._address, CONTINUOUS_HIGH_RESOLUTION)
                self._ready = True
        except OSError:
            # It may have lost its power, and with that its mode.
            self._ready = False
            self.values[0] = "disconnected"
            self.read_at = now
