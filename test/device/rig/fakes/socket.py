import binascii
import errno

import world


def getaddrinfo(host, port):
    return [(0, 0, 0, "", (host, port))]


class socket:
    def setblocking(self, _):
        pass

    def connect(self, address):
        self.id = world.dial(address[0], address[1])
        raise OSError(errno.EINPROGRESS)

    # A little at a time, as a board's network does; what the rig itself allocates for it stays small, too.
    def send(self, data):
        data = data[:256]
        sent = world.send(self.id, binascii.b2a_base64(data).decode())
        if sent < 0:
            raise OSError(errno.EAGAIN if sent == -1 else errno.ECONNRESET)
        return sent

    def recv(self, most):
        text = world.receive(self.id, most)
        if text == "wait":
            raise OSError(errno.EAGAIN)
        if text == "reset":
            raise OSError(errno.ECONNRESET)
        data = binascii.a2b_base64(text)
        return data

    def close(self):
        world.close(self.id)
