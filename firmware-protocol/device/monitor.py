"""Everything together. Knows no hardware: whatever touches the world is given to it."""

import gc
import json

from config import Config
from link import Link
from outbox import Outbox
from safety import Safety

FIRMWARE = "brinewatch-cone 1"
# A sensor that has said nothing for so long is broken, whatever it said last.
STALE_MS = 10000
# After connecting, the time may come with the first alarm message; packs of earlier power-ups wait for it no longer.
TIME_WITHIN_MS = 3000
# A crystal may be wrong by this much, ten thousandths (100 parts per million).
DRIFT = 10000

# After the order to restart, so that its acknowledgement can go.
RESTART_MS = 500


class Monitor:
    """
    settings: see settings.py. sensors: each with channels, values, read_at and step(now). outputs: lamps(list), sound(bool),
    light(bool). world: say(text), chance(n), restart(), reset_reason, pressed().
    """

    def __init__(self, settings, clock, sensors, outputs, net, folder, world):
        self._clock = clock
        self._sensors = sensors
        self._outputs = outputs
        self._net = net
        self._world = world
        now = clock.now()
        self.channels = [channel for sensor in sensors for channel in sensor.channels]
        self._values = ["fault"] * len(self.channels)
        self._turn = 0
        self.boot = "%08x" % (world.chance(1 << 16) << 16 | world.chance(1 << 16))
        self.outbox = Outbox(self.boot, self.channels, folder, settings["flash_kb"] // 4)
        self._writer = self.outbox.writer()
        self._writing = None
        self._sent_seq = None
        self.config = Config(folder)
        self.safety = Safety(self.channels, settings["lamps"], now)
        self.safety.apply(self.config)
        self.link = Link(settings, net, world.chance, self._hear, world.say)
        self._flying = None
        self._was_up = False
        self._sample_at = now
        self._report_at = now
        self._state_at = None
        self._told = None
        self._identify_until = 0
        self._restart_at = None
        self._epoch = None
        self._epoch_at = 0

    def step(self):
        """One pass, well under 20 ms on any board."""
        now = self._clock.now()
        if self._restart_at is not None and now >= self._restart_at:
            self.restart()
            return
        self._read_sensors(now)
        if self._world.pressed():
            self.safety.hush(now)
        self.safety.step(now, self.link.heard_at)
        self._show(now)
        if now >= self._sample_at:
            self._sample(now)
        self.outbox.step(now)
        was_flying = self._flying
        self.link.step(now)
        if self.link.is_up != self._was_up:
            self._was_up = self.link.is_up
            self._state_at = None
            self._flying = None
            self._writing = None
        elif was_flying and self.link.is_free:
            self._flying = None
            if was_flying == "measurements":
                self.outbox.acknowledged()
        if self.link.is_free:
            self._send(now)

    def _read_sensors(self, now):
        if not self._sensors:
            return
        # One sensor a pass, so that two slow ones do not add up.
        self._turn = (self._turn + 1) % len(self._sensors)
        first = 0
        for i in range(len(self._sensors)):
            sensor = self._sensors[i]
            if i == self._turn:
                before = sensor.read_at
                sensor.step(now)
                if sensor.read_at != before:
                    for j in range(len(sensor.channels)):
                        self._values[first + j] = sensor.values[j]
                        self.safety.reading(now, first + j, sensor.values[j])
                elif now - (before or 0) > STALE_MS:
                    for j in range(len(sensor.channels)):
                        self._values[first + j] = "fault"
            first += len(sensor.channels)

    def _sample(self, now):
        self._sample_at += self.config.sample_ms
        if self._sample_at <= now:
            self._sample_at = now + self.config.sample_ms
        # Before every sensor had time for a first reading there is nothing to tell.
        if all([sensor.read_at is not None or now > STALE_MS for sensor in self._sensors]):
            self.outbox.add(now, self._values)

    def _show(self, now):
        self._outputs.lamps([lamp.is_lit for lamp in self.safety.lamps])
        self._outputs.sound(self.safety.sound, now)
        if now < self._identify_until:
            light = "identify"
        else:
            light = "well" if self.link.is_up else "alone"
        self._outputs.light(light, now)

    def _send(self, now):
        if self._writing:
            self._write_on(now)
        elif self._state_due(now):
            self._tell_state(now)
        else:
            self._begin_pack(now)

    def _begin_pack(self, now):
        # Packs of an earlier power-up need the time only then; but the first look at them must not come before it can be known.
        if self._epoch is None and now - self.link.up_at < TIME_WITHIN_MS and self.outbox.has_kept:
            return
        due = now >= self._report_at
        pack = self.outbox.next(due)
        if due:
            self._report_at = now + self.config.report_ms
        if pack:
            self._pack = pack
            self._writing = self._writer.write(pack)

    def _write_on(self, now):
        for _ in self._writing:
            return
        self._writing = None
        self._writer.place(self._clock.now())
        again = self._sent_seq == (self._pack.boot, self._pack.seq)
        self._sent_seq = (self._pack.boot, self._pack.seq)
        self._flying = "measurements"
        self.link.publish(now, "measurements", self._writer.view(), again=again)

    def _facts(self):
        return (self.config.revision, self.outbox.dropped, self.outbox.flash_failed)

    def _state_due(self, now):
        if self._state_at is None:
            return True
        since = now - self._state_at
        return since >= self.config.state_ms or (since >= 5000 and self._told != self._facts())

    def _tell_state(self, now):
        self._state_at = now
        self._told = self._facts()
        state = {
            "online": True,
            "firmware": FIRMWARE,
            "uptimeS": now // 1000,
            "backlog": self.outbox.backlog,
            "dropped": self.outbox.dropped,
            "resetReason": self._world.reset_reason,
            "freeBytes": gc.mem_free(),
            "configRevision": self.config.revision,
        }
        if self._epoch is not None:
            state["atMs"] = self._epoch + now
        strength = self._net.strength()
        if strength is not None:
            state["rssiDbm"] = strength
        self._flying = "state"
        self.link.publish(now, "state", json.dumps(state).encode(), retain=True)

    def restart(self):
        self.outbox.close()
        self.outbox.save()
        self.link.close()
        self._world.restart()

    def _hear(self, kind, payload, retained):
        now = self._clock.now()
        if kind == "config":
            if self.config.hear(payload):
                self.safety.apply(self.config)
                self._sample_at = min(self._sample_at, now + self.config.sample_ms)
                self._report_at = min(self._report_at, now + self.config.report_ms)
            else:
                self._world.say("a config that does not fit was not applied")
            return
        try:
            said = json.loads(payload) if len(payload) else None
        except (ValueError, MemoryError):
            return
        if kind == "alarm":
            self._hear_alarm(now, said, retained)
        elif kind == "command" and isinstance(said, dict):
            self._obey(now, said)

    def _hear_alarm(self, now, alarm, retained):
        if alarm is not None:
            if not isinstance(alarm, dict) or type(alarm.get("sound")) is not bool:
                return
            if alarm.get("priority") not in ("critical", "high", "low", None):
                return
            # What was retained was written long ago, perhaps.
            if not retained and type(alarm.get("atMs")) is int:
                self._learn(now, alarm["atMs"] - now)
        self.safety.hear(now, alarm)

    # A message can only come late, so the latest beginning that was ever told is nearest; a crystal may drift.
    def _learn(self, now, epoch):
        if self._epoch is None or epoch > self._epoch - (now - self._epoch_at) // DRIFT:
            self._epoch = epoch
            self._epoch_at = now
            self.outbox.learn_epoch(epoch)

    def _obey(self, now, said):
        command = said.get("command")
        if command == "identify":
            seconds = said.get("seconds", 30)
            if type(seconds) is int and 1 <= seconds <= 600:
                self._identify_until = now + seconds * 1000
        elif command == "report":
            self._sample_at = now
            self._report_at = now
            self._state_at = None
        elif command == "restart":
            self._restart_at = now + RESTART_MS
