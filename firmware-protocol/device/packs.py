"""What a pack is: readings that are sent together, under a number that never changes."""


class Pack:
    # at_ms: when its first sampling was, on the clock of its power-up. epoch_ms: when that power-up began, Unix ms, for
    # packs of earlier power-ups; None for this one. channels: (name, unit, factor, decimals) each.
    def __init__(self, boot, seq, at_ms, readings, data, channels, epoch_ms=None):
        self.boot = boot
        self.seq = seq
        self.at_ms = at_ms
        self.readings = readings
        self.data = data
        self.channels = channels
        self.epoch_ms = epoch_ms


def channels_as_text(channels):
    return ";".join(["%s,%s,%d,%d" % channel for channel in channels])


def channels_from_text(text):
    channels = []
    for each in text.split(";"):
        name, unit, factor, decimals = each.split(",")
        channels.append((name, unit, int(factor), int(decimals)))
    return channels
