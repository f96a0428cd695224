import binascii

import world


class OneWire:
    def __init__(self, pin):
        self._number = pin.number

    def reset(self):
        return world.wire_reset(self._number)

    def writebyte(self, byte):
        world.wire_write(self._number, byte)

    def write(self, data):
        for byte in data:
            world.wire_write(self._number, byte)

    def readinto(self, data):
        for i in range(len(data)):
            data[i] = world.wire_read(self._number)

    def scan(self):
        found = world.wire_search(self._number)
        return [bytearray(binascii.unhexlify(rom)) for rom in found.split()]

    def crc8(self, data):
        crc = 0
        for byte in data:
            crc ^= byte
            for _ in range(8):
                crc = crc >> 1 ^ 0x8C if crc & 1 else crc >> 1
        return crc
