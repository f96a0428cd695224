"""How long to wait before trying again: doubling, and spread out so that a room of devices does not come back in step."""

FIRST_MS = 1000
MOST_MS = 60000


class Backoff:
    # chance(n) gives a whole number from 0 to n - 1.
    def __init__(self, chance):
        self._chance = chance
        self._tries = 0

    # Between half and all of 1, 2, 4 ... 60 s.
    def next_ms(self):
        full = min(MOST_MS, FIRST_MS << min(self._tries, 6))
        self._tries += 1
        return full // 2 + self._chance(full // 2 + 1)

    # Something worked.
    def reset(self):
        self._tries = 0
