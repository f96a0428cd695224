"""A level switch: 1 while there is water at it, 0 when not."""

# Waves let a float bounce.
STEADY_MS = 2000


class Level:
    # wet: what the pin reads while there is water.
    def __init__(self, pin, name, wet=0):
        self._pin = pin
        self._wet = wet
        self.channels = [(name, "/", 1, 0)]
        self.values = [None]
        self.read_at = None
        self._seen = None
        self._since = 0

    def step(self, now):
        is_wet = 1 if self._pin.value() == self._wet else 0
        if is_wet != self._seen:
            self._seen = is_wet
            self._since = now
        if self.read_at is None or now - self._since >= STEADY_MS:
            self.values[0] = is_wet
            self.read_at = now
