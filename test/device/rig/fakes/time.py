import world


def ticks_ms():
    return world.ticks()


def ticks_diff(a, b):
    return ((a - b + (1 << 29)) & ((1 << 30) - 1)) - (1 << 29)


def sleep_ms(_):
    pass
