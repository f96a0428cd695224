"""MQTT 3.1.1 for one device: one PUBLISH of QoS 1 in flight, and nothing that waits.

Everything goes through step(), which does what can be done at once and returns. Clause numbers are those of the OASIS standard.
"""

import struct

# An alarm has at most 12 KiB (the link's specification), and its topic at most 84 bytes.
MOST_BYTES = 12288 + 128
# Sent or heard nothing for so long: ask. No answer for so long: the connection is dead.
PING_MS = 20000
ANSWER_MS = 20000
# Packets that the network has not taken yet; each of the broker's messages asks for an answer.
MOST_WAITING = 32
KEEP_ALIVE_S = 45

_CONNACK_WORDS = {
    1: "this broker does not speak MQTT 3.1.1",
    2: "the broker refuses the client identifier",
    3: "the broker is busy",
    4: "the broker does not know this device, or the password is wrong",
    5: "the broker lets this device not in",
}


class Closed(Exception):
    """The connection is over; the text says why."""


def _text(text):
    data = text.encode()
    return struct.pack(">H", len(data)) + data


def _packet(kind, length):
    head = bytearray([kind])
    while True:
        byte = length & 127
        length >>= 7
        head.append(byte | (128 if length else 0))
        if not length:
            return head


def connect(client, user, password, will_topic, will):
    # 3.1.2.3: clean session, will, will QoS 1, will retain, user name and password.
    body = _text("MQTT") + bytes([4, 0b11101110]) + struct.pack(">H", KEEP_ALIVE_S)
    body += _text(client) + _text(will_topic) + _text(will) + _text(user) + _text(password)
    return bytes(_packet(0x10, len(body)) + body)


def subscribe(number, topics):
    body = struct.pack(">H", number)
    for topic in topics:
        body += _text(topic) + b"\x01"
    return bytes(_packet(0x82, len(body)) + body)


# What comes before the payload. 3.3.1.1: DUP tells that it may have been sent before.
def publish_head(topic, length, number, retain, again):
    body = _text(topic) + struct.pack(">H", number)
    kind = 0x32 | (8 if again else 0) | (1 if retain else 0)
    return bytes(_packet(kind, len(body) + length) + body)


class Client:
    # on_message(topic, payload, retained) is called from step().
    def __init__(self, on_message):
        self._on_message = on_message
        self._socket = None

    def open(self, socket, now, connect_packet, topics):
        self._socket = socket
        self._topics = topics
        # Whole packets, and payloads, in the order in which they are to go.
        self._out = [memoryview(connect_packet)]
        self._head = bytearray()
        self._body = None
        self._got = 0
        self._skip = 0
        self._number = 0
        self._sent_at = self._heard_at = now
        self._asked_at = now
        self._awaits = True
        self._flight = 0
        self.is_up = False
        # Of the topics, those that the broker refused to give.
        self.refused = 0
        self.acknowledgements = 0

    @property
    def is_busy(self):
        return self._flight != 0

    def publish(self, now, topic, payload, retain, again):
        """QoS 1; acknowledged when `is_busy` is false again. The payload's buffer must not change until then."""
        self._number = self._number % 65535 + 1
        self._flight = self._number
        self._asked_at = now
        self._out.append(memoryview(publish_head(topic, len(payload), self._number, retain, again)))
        self._out.append(memoryview(payload))

    def step(self, now):
        self._write(now)
        if len(self._out) > MOST_WAITING:
            raise Closed("the broker takes nothing")
        # Each pass takes in a bounded piece, so that a flood does not keep the sensors waiting.
        for _ in range(8):
            if not self._read(now):
                break
        if (self._flight or self._awaits) and now - self._asked_at > ANSWER_MS:
            raise Closed("no answer for %d s" % (ANSWER_MS // 1000))
        # 3.1.2.10: something must be sent within the keep alive.
        if self.is_up and not self._awaits and not self._flight:
            if now - min(self._sent_at, self._heard_at) > PING_MS:
                self._ask(now, b"\xc0\x00")

    # Without a word, so that the broker publishes the will.
    def drop(self):
        if self._socket:
            self._socket.close()
        self._socket = None
        self.is_up = False

    def _ask(self, now, packet):
        self._awaits = True
        self._asked_at = now
        self._out.append(memoryview(packet))

    def _write(self, now):
        while self._out:
            first = self._out[0]
            sent = self._socket.send(first) if len(first) else 0
            if sent is None:
                return
            if sent:
                self._sent_at = now
            if sent < len(first):
                self._out[0] = first[sent:]
                return
            self._out.pop(0)

    # True when there may be more.
    def _read(self, now):
        if self._body is None:
            data = self._socket.receive(1)
        elif self._skip:
            data = self._socket.receive(min(self._skip, 256))
        else:
            data = self._socket.receive(len(self._body) - self._got)
        if data is None:
            return False
        if not data:
            raise Closed("the broker ended the connection")
        self._heard_at = now
        if self._body is None:
            self._head.append(data[0])
            return self._read_head(now)
        if self._skip:
            self._skip -= len(data)
            if not self._skip:
                self._body = None
            return True
        self._body[self._got : self._got + len(data)] = data
        self._got += len(data)
        if self._got == len(self._body):
            self._finish(now)
        return True

    def _read_head(self, now):
        head = self._head
        if len(head) == 1 or head[-1] & 128:
            # 2.2.3: at most four bytes tell the length.
            if len(head) > 4:
                raise Closed("the broker does not speak MQTT")
            return True
        length = 0
        for i in range(1, len(head)):
            length |= (head[i] & 127) << 7 * (i - 1)
        self._got = 0
        if length > MOST_BYTES:
            # Nothing of ours is so long. A QoS 1 message of it stays without an answer, and is not sent again in this session.
            self._skip = length
            self._body = b""
            self._head = bytearray()
            return True
        self._body = bytearray(length)
        if not length:
            self._finish(now)
        return True

    def _finish(self, now):
        kind = self._head[0]
        body = self._body
        self._head = bytearray()
        self._body = None
        if kind >> 4 == 3:
            self._take_publish(kind, body)
        elif kind == 0x20 and len(body) == 2:
            if body[1]:
                raise Closed(_CONNACK_WORDS.get(body[1], "the broker says no"))
            self._number = 1
            self._ask(now, subscribe(1, self._topics))
        elif kind == 0x90:
            # Connected only now: before this nothing can be heard.
            self._awaits = False
            self.refused = sum([1 for answer in memoryview(body)[2:] if answer > 1])
            self.is_up = True
        elif kind == 0x40 and len(body) == 2:
            if body[0] << 8 | body[1] == self._flight:
                self._flight = 0
                self.acknowledgements += 1
        elif kind == 0xD0:
            self._awaits = False
        else:
            raise Closed("the broker sent something unknown, 0x%02x" % kind)

    def _take_publish(self, kind, body):
        end = 2 + (body[0] << 8 | body[1])
        topic = bytes(body[2:end]).decode()
        if kind & 6:
            # 4.3.2: acknowledged as soon as it is ours; it is acted on at once.
            self._out.append(memoryview(b"\x40\x02" + bytes(body[end : end + 2])))
            end += 2
        self._on_message(topic, memoryview(body)[end:], bool(kind & 1))
