"""settings.json on the flash: who this device is, where the broker is, and what hangs on which pin."""

import json

FILE = "settings.json"

# What the drawing shows. Pins are those of the board at hand.
PINS = {
    "channels": [
        {"name": "water", "kind": "probe", "pin": 4},
        {"name": "room", "kind": "probe", "pin": 4},
        {"name": "light", "kind": "light", "scl": 22, "sda": 21},
        {"name": "air", "kind": "flow", "pin": 27, "pulses_per_litre": 1000},
    ],
    "lamps": [{"pin": 26, "on": 1, "channels": ["water"]}],
    "buzzer": {"pin": 25, "hz": 2700},
    "led": {"pin": 2, "on": 1},
    "button": {"pin": 0},
    "flash_kb": 512,
}
_KINDS = ("probe", "light", "flow", "pressure", "level")


def load():
    """The settings, or None when there are none yet."""
    try:
        with open(FILE) as file:
            return check(json.load(file))
    except OSError:
        return None


def keep(settings):
    with open(FILE, "w") as file:
        json.dump(settings, file)


def check(settings):
    for name in ("device", "password", "broker"):
        if not isinstance(settings.get(name), str) or not settings[name]:
            raise ValueError("Cannot use settings.json: %s must be text" % name)
    settings["port"] = settings.get("port", 1883)
    wifi = settings.get("wifi", {})
    settings["wifi"] = {"name": wifi.get("name", ""), "password": wifi.get("password", "")}
    for name in PINS:
        if name not in settings:
            settings[name] = PINS[name]
    names = []
    for channel in settings["channels"]:
        if channel.get("kind") not in _KINDS:
            raise ValueError("Cannot use settings.json: a channel is one of %s, got %s" % (_KINDS, channel))
        if not channel.get("name") or channel["name"] in names or len(channel["name"]) > 32:
            raise ValueError("Cannot use settings.json: channels have different names, got %s" % channel)
        names.append(channel["name"])
    if not 1 <= len(names) <= 16:
        raise ValueError("Cannot use settings.json: 1 to 16 channels, got %d" % len(names))
    return settings
