"""What the device does by itself, network or not: drop a lamp over hot water, and sound.

A lamp is dark until its water was read once, and goes dark
- when two readings in a row are over the limit, until they are half a degree under it;
- when its water could not be read for 5 min: nobody knows how hot it is, and cool only delays;
- when the broker says so, until it says otherwise and for 5 min more.
Whatever made it dark, it stays so for 5 min at least: a relay that follows each change wears out.

This is not what stands between a lamp and a fire. A thermal cut-out in the lamp's line is.
"""

import math

# Water from here on is taken to kill (the trade's 85 degrees Fahrenheit); a config says otherwise.
HOT_C = 29.4
COOLER_BY_C = 0.5
HOT_READINGS = 2
DARK_MS = 300000
BLIND_MS = 300000
# For limits on anything but hot water: so long before it sounds, and back by so much of the limit.
DELAY_MS = 15000
BACK_BY = 0.05
# A person pressed the button: they know.
HUSH_MS = 600000


class _Limit:
    """One end of one channel, in the channel's whole numbers. Over means beyond it, on either side."""

    def __init__(self, index, side, limit, back, is_hot):
        self.index = index
        self.side = side
        self.limit = limit
        self.back = back
        self.is_hot = is_hot
        self.is_over = False
        self.since = None
        self.several = 0

    def read(self, now, value):
        if isinstance(value, str):
            return
        beyond = (value - self.limit) * self.side
        if beyond > 0:
            self.several += 1
            if self.since is None:
                self.since = now
            if self.several >= HOT_READINGS if self.is_hot else now - self.since >= DELAY_MS:
                self.is_over = True
        else:
            self.several = 0
            self.since = None
            if beyond <= -self.back:
                self.is_over = False


class _Lamp:
    def __init__(self, indexes, names):
        self.indexes = indexes
        self.names = names
        self.is_lit = False
        self.dark_at = None
        self.told_off = False


class Safety:
    # channels: (name, unit, factor, decimals) each. lamps: for each lamp the names of its vessel's channels.
    def __init__(self, channels, lamps, now):
        self._channels = channels
        self._read_at = [None] * len(channels)
        self._limits = []
        self.lamps = []
        for names in lamps:
            water = [i for i in range(len(channels)) if channels[i][0] in names and _is_water(channels[i][0])]
            self.lamps.append(_Lamp(water, names))
        self._alarm_sound = None
        self._silent_ms = 0
        self._hush_until = None
        self._was_hot = False
        self.sound = None
        self._started = now

    def apply(self, config):
        self._silent_ms = config.silent_ms
        self._limits = []
        for i in range(len(self._channels)):
            name, _, factor, decimals = self._channels[i]
            one = 10**decimals / factor
            said = config.limits.get(name, {})
            water = _is_water(name)
            high = said.get("high", HOT_C if water else None)
            if high is not None:
                back = COOLER_BY_C if water else abs(high) * BACK_BY
                # A tiny step keeps 29.5, which is 472 sixteenths, from being taken for 471.
                self._limits.append(_Limit(i, 1, math.floor(high * one + 1e-3), math.ceil(back * one), water))
            low = said.get("low")
            if low is not None:
                back = COOLER_BY_C if water else abs(low) * BACK_BY
                self._limits.append(_Limit(i, -1, math.ceil(low * one - 1e-3), math.ceil(back * one), False))

    def reading(self, now, index, value):
        if not isinstance(value, str):
            self._read_at[index] = now
        for limit in self._limits:
            if limit.index == index:
                limit.read(now, value)

    # alarm: the broker's, as in device-alarm.ts; None when it took back what it said.
    def hear(self, now, alarm):
        self._alarm_sound = alarm["priority"] if alarm and alarm.get("sound") else None
        off = bool(alarm and alarm.get("lampOff"))
        hot = alarm.get("hot", []) if off else []
        for lamp in self.lamps:
            meant = off and (not hot or any([name in lamp.names for name in hot]))
            if lamp.told_off and not meant:
                lamp.dark_at = now
            lamp.told_off = meant

    def hush(self, now):
        self._hush_until = now + HUSH_MS

    def step(self, now, heard_at):
        """heard_at: when the broker acknowledged something last."""
        hot = False
        other = False
        for limit in self._limits:
            if limit.is_over:
                if limit.is_hot:
                    hot = True
                else:
                    other = True
        blind = False
        for lamp in self.lamps:
            blind = self._mind(now, lamp) or blind
        if hot and not self._was_hot:
            self._hush_until = None
        self._was_hot = hot
        self.sound = None
        if self._hush_until is not None and now < self._hush_until:
            return
        if hot or self._alarm_sound == "critical":
            self.sound = "critical"
        elif other or blind or self._alarm_sound == "high":
            self.sound = "high"
        elif self._silent_ms and now - heard_at >= self._silent_ms:
            self.sound = "silent"
        elif self._alarm_sound:
            self.sound = "low"

    # True when nobody can tell how hot the lamp's water is.
    def _mind(self, now, lamp):
        hot = lamp.told_off
        for limit in self._limits:
            if limit.is_over and limit.is_hot and limit.index in lamp.indexes:
                hot = True
        blind = False
        unread = False
        for index in lamp.indexes:
            at = self._read_at[index]
            if at is None:
                unread = True
                blind = blind or now - self._started >= BLIND_MS
            elif now - at >= BLIND_MS:
                blind = True
        if hot or blind:
            lamp.dark_at = now
            lamp.is_lit = False
        elif not unread and not lamp.is_lit:
            lamp.is_lit = lamp.dark_at is None or now - lamp.dark_at >= DARK_MS
        return blind


def _is_water(name):
    return name.replace(":", "/").split("/")[-1] == "water"
