import world

STA_IF = 0


class WLAN:
    def __init__(self, _):
        pass

    def active(self, _):
        pass

    def isconnected(self):
        return world.radio()

    def connect(self, *_):
        pass

    def disconnect(self):
        pass

    def status(self, _):
        return -61
