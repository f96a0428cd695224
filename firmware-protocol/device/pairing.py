"""A code for a name and a password: asked for over HTTP, where the dashboard is."""

import json

PORT = 8080
# An answer is a few hundred bytes.
MOST = 2048
PATIENCE_MS = 15000


class Refused(Exception):
    """In words for whoever typed the code."""


# "192.168.1.20:8080", also as it stands in a browser.
def split(at):
    at = at.strip()
    if at.startswith("http://"):
        at = at[7:]
    at = at.split("/")[0]
    host, _, port = at.partition(":")
    if not host or (port and not port.isdigit()):
        raise Refused("The address is like 192.168.1.20:8080.")
    return host, int(port) if port else PORT


class Redeem:
    """net is drivers.net.Net or something alike: dial(host, port)."""

    def __init__(self, net, at, code, now):
        host, port = split(at)
        body = json.dumps({"code": code})
        self._host = host
        self._out = (
            "POST /api/v1/pairing HTTP/1.0\r\nHost: %s:%d\r\nContent-Type: application/json\r\n"
            "Content-Length: %d\r\nConnection: close\r\n\r\n%s" % (host, port, len(body.encode()), body)
        ).encode()
        self._in = b""
        self._until = now + PATIENCE_MS
        self._is_open = False
        try:
            self._line = net.dial(host, port)
        except OSError:
            raise self._silent()

    # None until it is known: then the name, the password and the port of the broker.
    def step(self, now):
        try:
            answer = self._step()
        except OSError:
            self._line.close()
            raise self._silent()
        except Refused:
            self._line.close()
            raise
        if answer is None and now > self._until:
            self._line.close()
            raise self._silent()
        return answer

    def _step(self):
        if not self._is_open:
            self._is_open = self._line.is_connected()
            return None
        if self._out:
            sent = self._line.send(self._out)
            if sent:
                self._out = self._out[sent:]
            return None
        data = self._line.receive(512)
        if data is None:
            return None
        if data:
            self._in += data
            if len(self._in) > MOST:
                raise self._strange()
            if not _is_whole(self._in):
                return None
        self._line.close()
        return self._read()

    def _read(self):
        head, _, body = self._in.partition(b"\r\n\r\n")
        try:
            status = int(head.split(b" ")[1])
            answer = json.loads(body)
            if status != 200:
                raise Refused(str(answer.get("detail", "")) or "It refuses, and says %d." % status)
            if not answer["device"] or not answer["password"] or not 0 < answer["mqttPort"] < 65536:
                raise self._strange()
            return {
                "device": str(answer["device"]),
                "password": str(answer["password"]),
                "broker": self._host,
                "port": answer["mqttPort"],
            }
        except (ValueError, IndexError, KeyError, TypeError, AttributeError):
            raise self._strange()

    def _silent(self):
        return Refused(
            "%s does not answer. Is it the address of the dashboard, and was that started with --lan?" % self._host
        )

    def _strange(self):
        return Refused("What answers at %s is not brinewatch." % self._host)


def _is_whole(data):
    head, end, body = data.partition(b"\r\n\r\n")
    if not end:
        return False
    for line in head.split(b"\r\n"):
        name, _, value = line.partition(b":")
        if name.lower() == b"content-length":
            return len(body) >= int(value)
    return False
