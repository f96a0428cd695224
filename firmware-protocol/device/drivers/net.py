"""The radio, and one TCP connection that never waits."""

import errno
import socket

import network
import select

# What boards say to a connect or a read that would have to wait.
_WAIT = (errno.EAGAIN, errno.EINPROGRESS, 119)


class Net:
    def __init__(self, name, password):
        self._name = name
        self._password = password
        self._radio = network.WLAN(network.STA_IF)

    def joined(self):
        return self._radio.isconnected()

    def join(self):
        self._radio.active(True)
        try:
            self._radio.disconnect()
            self._radio.connect(self._name, self._password)
        except OSError:
            pass  # It is at it already.

    # dBm, or None where the board cannot tell.
    def strength(self):
        try:
            return self._radio.status("rssi")
        except (OSError, ValueError, TypeError):
            return None

    def dial(self, host, port):
        # A name has to be looked up, which waits; give the address as numbers.
        address = socket.getaddrinfo(host, port)[0][-1]
        return Line(address)


class Line:
    def __init__(self, address):
        self._socket = socket.socket()
        self._socket.setblocking(False)
        try:
            self._socket.connect(address)
        except OSError as error:
            if error.errno not in _WAIT:
                self._socket.close()
                raise
        self._poll = select.poll()
        self._poll.register(self._socket, select.POLLOUT)

    def is_connected(self):
        for _, event in self._poll.poll(0):
            if event & (select.POLLERR | select.POLLHUP):
                raise OSError(errno.ECONNREFUSED)
            if event & select.POLLOUT:
                return True
        return False

    # How much of it went; None when it has to wait.
    def send(self, data):
        try:
            return self._socket.send(data)
        except OSError as error:
            if error.errno in _WAIT:
                return None
            raise

    # What is there, up to so much; None when nothing is, empty when the other side has ended.
    def receive(self, most):
        try:
            return self._socket.recv(most)
        except OSError as error:
            if error.errno in _WAIT:
                return None
            raise

    def close(self):
        self._socket.close()
