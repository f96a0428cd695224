"""The board itself: why it started, its watchdog, chance, and the serial line."""

import random

import machine

# Boards count differently, and not every board knows every reason.
_REASONS = (
    "PWRON_RESET power-on WDT_RESET watchdog BROWNOUT_RESET brown-out SOFT_RESET software "
    "DEEPSLEEP_RESET deep-sleep HARD_RESET reset"
)


class Board:
    # button: a pin that reads 0 while it is pressed, or None.
    def __init__(self, button):
        self._button = button
        self._watchdog = None
        cause = machine.reset_cause()
        self.reset_reason = "other"
        # In one text, because each name by itself takes memory for good.
        words = _REASONS.split()
        for i in range(0, len(words), 2):
            if getattr(machine, words[i], None) == cause:
                self.reset_reason = words[i + 1]
                break

    def say(self, text):
        print(text)

    def chance(self, below):
        return random.getrandbits(24) % below

    def pressed(self):
        return self._button is not None and self._button.value() == 0

    def restart(self):
        machine.reset()

    # 8 s: more than the slowest write to the flash, and all that some boards can.
    def guard(self):
        self._watchdog = machine.WDT(timeout=8000)

    def feed(self):
        if self._watchdog:
            self._watchdog.feed()

