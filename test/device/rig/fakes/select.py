import world

POLLOUT = 4
POLLERR = 8
POLLHUP = 16


class poll:
    def register(self, socket, _):
        self._socket = socket

    def poll(self, _):
        event = world.poll(self._socket.id)
        return [(self._socket, event)] if event else []
