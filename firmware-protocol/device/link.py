"""From no network to a broker that acknowledges, and back again, for ever."""

from backoff import Backoff
from mqtt import Client, Closed, connect

JOIN_MS = 30000
DIAL_MS = 15000
WILL = '{"online":false}'

OFF = 0  # waiting until the next attempt
JOINING = 1  # the radio looks for its network
DIALLING = 2  # the broker is called
GREETING = 3  # connected, not yet let in
UP = 4


class Link:
    """net is drivers.net.Net or something alike: joined(), join(), dial(host, port)."""

    def __init__(self, settings, net, chance, on_message, say):
        self._net = net
        self._host = settings["broker"]
        self._port = settings["port"]
        device = settings["device"]
        self._root = "brinewatch/v1/%s/" % device
        self._connect = connect(device, device, settings["password"], self._root + "state", WILL)
        self._topics = [self._root + kind for kind in ("config", "alarm", "command")]
        self._on_message = on_message
        self._say = say
        self._backoff = Backoff(chance)
        self._client = Client(self._message)
        self._socket = None
        self._since = 0
        self._wait_ms = 0
        self.state = OFF
        self.up_at = 0
        # When the broker acknowledged something last; the power-up counts as that.
        self.heard_at = 0
        self._acknowledgements = 0

    @property
    def is_up(self):
        return self.state == UP

    @property
    def is_free(self):
        return self.state == UP and not self._client.is_busy

    def publish(self, now, kind, payload, retain=False, again=False):
        self._client.publish(now, self._root + kind, payload, retain, again)

    def step(self, now):
        try:
            self._step(now)
        except (Closed, OSError) as why:
            self._fail(now, str(why))

    def close(self):
        self._client.drop()

    def _step(self, now):
        if self.state == OFF:
            if now - self._since >= self._wait_ms:
                self._go(now, JOINING)
                if not self._net.joined():
                    self._net.join()
        elif not self._net.joined():
            if self.state != JOINING:
                raise Closed("the network is gone")
            if now - self._since > JOIN_MS:
                raise Closed("no network")
        elif self.state == JOINING:
            self._socket = self._net.dial(self._host, self._port)
            self._go(now, DIALLING)
        elif self.state == DIALLING:
            if self._socket.is_connected():
                self._client.open(self._socket, now, self._connect, self._topics)
                self._socket = None
                self._acknowledgements = 0
                self._go(now, GREETING)
            elif now - self._since > DIAL_MS:
                raise Closed("the broker does not answer")
        else:
            self._client.step(now)
            if self.state == GREETING and self._client.is_up:
                self._go(now, UP)
                self.up_at = now
                if self._client.refused:
                    self._say("the broker refused a subscription")
            if self._client.acknowledgements != self._acknowledgements:
                self._acknowledgements = self._client.acknowledgements
                self.heard_at = now
                # Not at the greeting: a broker that lets devices in and then cannot keep anything is not to be stormed.
                self._backoff.reset()

    def _go(self, now, state):
        self.state = state
        self._since = now

    def _fail(self, now, why):
        self._client.drop()
        if self._socket:
            self._socket.close()
            self._socket = None
        self._wait_ms = self._backoff.next_ms()
        self._go(now, OFF)
        self._say("not connected: %s; again in %d s" % (why, self._wait_ms // 1000))

    def _message(self, topic, payload, retained):
        if topic.startswith(self._root):
            self._on_message(topic[len(self._root) :], payload, retained)
