"""Lamp relays, the buzzer, and the light on the board."""

from patterns import is_on


class Outputs:
    # lamps: pins and what lights each; led likewise. tone: a PWM, or None for a buzzer that hums by itself on `buzzer`.
    def __init__(self, lamps, buzzer, tone, led):
        self._lamps = lamps
        self._buzzer = buzzer
        self._tone = tone
        self._led = led
        self._sounding = None
        self.sound(None, 0)

    def lamps(self, lit):
        for i in range(len(lit)):
            pin, on = self._lamps[i]
            pin.value(on if lit[i] else 1 - on)

    def sound(self, pattern, now):
        on = is_on(pattern, now)
        if on == self._sounding:
            return
        self._sounding = on
        if self._tone:
            self._tone.duty_u16(32768 if on else 0)
        elif self._buzzer:
            self._buzzer.value(1 if on else 0)

    def light(self, pattern, now):
        if self._led:
            pin, on = self._led
            pin.value(on if is_on(pattern, now) else 1 - on)
