"""What the broker says on the config topic. A config that does not fit is not applied at all."""

import json

KEPT = "config.json"

# name: (least, most, default), as in device-config.ts.
_FIELDS = {
    "revision": (0, (1 << 53) - 1, 0),
    "sampleIntervalS": (1, 3600, 1),
    "reportIntervalS": (1, 3600, 5),
    "stateIntervalS": (10, 3600, 60),
    "silentBrokerMinutes": (0, 1440, 10),
}

MOST_LIMITS = 64


class Config:
    def __init__(self, folder=None):
        self._folder = folder
        self._text = None
        self.read(b"{}")
        # Kept, so that the limits hold after a power cut without a network.
        try:
            if folder and KEPT in folder.names():
                self._text = bytes(folder.read(KEPT))
                self.read(self._text)
        except OSError:
            pass

    def hear(self, payload):
        """Applies and keeps it; False when it does not fit."""
        text = bytes(payload)
        if text == self._text:
            return True
        if not self.read(text):
            return False
        self._text = text
        try:
            if self._folder:
                self._folder.write(KEPT, text)
        except OSError:
            pass
        return True

    def read(self, text):
        try:
            said = json.loads(text)
        except ValueError:
            return False
        if not isinstance(said, dict):
            return False
        values = {}
        for name in _FIELDS:
            least, most, default = _FIELDS[name]
            value = said.get(name, default)
            if type(value) is not int or not least <= value <= most:
                return False
            values[name] = value
        # Who sends too seldom cannot tell a silent broker from having asked it nothing.
        silent_s = values["silentBrokerMinutes"] * 60
        if 0 < silent_s <= 2 * values["reportIntervalS"]:
            return False
        limits = said.get("limits", {})
        if not isinstance(limits, dict) or len(limits) > MOST_LIMITS:
            return False
        for name in limits:
            limit = limits[name]
            if not isinstance(limit, dict):
                return False
            for end in ("low", "high"):
                if type(limit.get(end, 0)) not in (int, float):
                    return False
            if "low" in limit and "high" in limit and not limit["low"] < limit["high"]:
                return False
        self.revision = values["revision"]
        self.sample_ms = values["sampleIntervalS"] * 1000
        self.report_ms = values["reportIntervalS"] * 1000
        self.state_ms = values["stateIntervalS"] * 1000
        self.silent_ms = values["silentBrokerMinutes"] * 60000
        self.limits = limits
        return True
