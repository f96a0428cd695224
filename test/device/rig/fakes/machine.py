import binascii

import world

PWRON_RESET = 1
HARD_RESET = 2
WDT_RESET = 3
SOFT_RESET = 5


def reset_cause():
    return world.reset_cause()


def reset():
    world.reset()


class Pin:
    IN = 0
    OUT = 1
    PULL_UP = 2
    IRQ_RISING = 1
    handlers = {}

    def __init__(self, number, *_):
        self.number = number

    def value(self, value=None):
        if value is None:
            return world.pin_read(self.number)
        world.pin_write(self.number, value)

    def irq(self, handler, _):
        Pin.handlers[self.number] = handler


class PWM:
    def __init__(self, pin, freq, duty_u16):
        self._number = pin.number
        world.pin_write(self._number, duty_u16)

    def duty_u16(self, duty):
        world.pin_write(self._number, duty)


class ADC:
    def __init__(self, pin):
        self._number = pin.number

    def read_uv(self):
        return world.microvolts(self._number)


class SoftI2C:
    def __init__(self, scl, sda, freq):
        pass

    def writeto(self, address, data):
        if not world.i2c_write(address, binascii.hexlify(data).decode()):
            raise OSError(19)

    def readfrom(self, address, count):
        data = world.i2c_read(address, count)
        if not data:
            raise OSError(19)
        return binascii.unhexlify(data)


class WDT:
    def __init__(self, timeout):
        pass

    def feed(self):
        pass
