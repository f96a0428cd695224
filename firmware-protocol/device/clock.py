"""Milliseconds since power-up, from a tick count that wraps."""


class Clock:
    # ticks and diff are time.ticks_ms and time.ticks_diff: their count wraps after some days, this one does not.
    def __init__(self, ticks, diff):
        self._ticks = ticks
        self._diff = diff
        self._last = ticks()
        self._ms = 0

    # To be asked at least once in six days, or a wrap is missed.
    def now(self):
        ticks = self._ticks()
        self._ms += self._diff(ticks, self._last)
        self._last = ticks
        return self._ms
