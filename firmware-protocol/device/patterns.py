"""How the buzzer and the light tell things apart: on from and to, within a period, ms."""

PATTERNS = {
    "critical": (500, (0, 300)),
    "high": (1500, (0, 150, 300, 450)),
    "low": (10000, (0, 150)),
    # Nobody is watching: two long ones, rarely, so that it is not taken for the others.
    "silent": (6000, (0, 600, 900, 1500)),
    "identify": (250, (0, 125)),
    "well": (5000, (0, 50)),
    "alone": (1000, (0, 500)),
}


def is_on(pattern, now):
    if pattern is None:
        return False
    period, spans = PATTERNS[pattern]
    at = now % period
    for i in range(0, len(spans), 2):
        if spans[i] <= at < spans[i + 1]:
            return True
    return False
