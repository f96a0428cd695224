"""Air: a flow meter that gives pulses, or a pressure sensor in the line that gives a voltage."""

EVERY_MS = 1000
# Few pulses are counted for longer, or a slow flow would look like a jumping one.
FEW = 20
FEW_MS = 5000


class Flow:
    def __init__(self, pin, name, pulses_per_litre):
        self.channels = [(name, "l/min", 1, 3)]
        self.values = [0]
        self.read_at = None
        self._pulses = 0
        self._per_litre = pulses_per_litre
        self._since = None
        pin.irq(self._count, pin.IRQ_RISING)

    # Called at an interrupt: no memory may be taken here, so it only counts.
    def _count(self, _):
        self._pulses += 1

    def step(self, now):
        if self._since is None:
            self._since = now
            self._pulses = 0
            return
        pulses = self._pulses
        if now - self._since >= (EVERY_MS if pulses >= FEW else FEW_MS):
            self._pulses -= pulses
            # Millilitres a minute.
            self.values[0] = pulses * 60000 * 1000 // (self._per_litre * (now - self._since))
            self._since = now
            self.read_at = now


class Pressure:
    """Near nothing: the line came off or the pump stopped. Well above the depth of the outlet: it is blocked."""

    # volts: gives microvolts. zero_mv at no pressure; pa_per_mv from the sensor's datasheet.
    def __init__(self, adc, name, zero_mv, pa_per_mv):
        self.channels = [(name, "Pa", 1, 0)]
        self.values = ["fault"]
        self.read_at = None
        self._adc = adc
        self._zero_uv = zero_mv * 1000
        self._pa_per_mv = pa_per_mv
        self._since = None

    def step(self, now):
        if self._since is not None and now - self._since < EVERY_MS:
            return
        self._since = now
        # Bubbles make it swing.
        swing = sum([self._adc.read_uv() for _ in range(16)]) // 16 - self._zero_uv
        self.values[0] = int(swing * self._pa_per_mv) // 1000
        self.read_at = now
