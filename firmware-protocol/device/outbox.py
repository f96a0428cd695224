"""What was measured and nobody has acknowledged.

Samplings gather in an open pack. It is closed when it is full, when it is to be sent, or when it is 30 s old. A pack keeps its
number, and the name of its power-up, until it is acknowledged, over restarts too, so that a repeat is known as one.
Packs that nobody has acknowledged 30 s after they began move from memory to the flash.

The rule of what is lost, and when:
- The flash is full: the oldest file (up to 4 KiB) of which no pack can have been sent is dropped and its readings are counted.
- There is no flash, or it fails: memory holds so many packs; the oldest that was not sent is dropped and counted.
- The power is cut: what is in memory is gone, at most what was measured in the last 30 s, and nobody can count it.
- A whole power-up during which nobody ever told the time, and then a power cut: its readings cannot be placed in time; they are
  dropped and counted.
The count is kept on the flash and goes on over restarts.
"""

from packing import PACK_BYTES, Packer
from packs import Pack
from senml import CHANNEL_BYTES, HEAD_BYTES, READING_BYTES, Writer
from shelf import Shelf

SAVE_MS = 30000
# A pack has at most so many readings, so that its JSON fits a buffer that a small board can spare.
PACK_READINGS = 64
MEMORY_PACKS = 8


class Outbox:
    # folder: a flash.Folder, or None where there is no flash to write to. files: so many on it at most.
    def __init__(self, boot, channels, folder, files=128):
        self._boot = boot
        self._channels = channels
        self._packer = Packer(len(channels), PACK_BYTES)
        self._memory = []
        self._seq = 0
        self._flight = None
        self._lost = 0
        self._shelf = None
        if folder:
            try:
                self._shelf = Shelf(folder, files, boot, channels)
            except (OSError, ValueError):
                pass  # A flash that cannot be read is as good as none.
        self.flash_failed = folder is not None and self._shelf is None

    # A buffer that any pack fits when written as JSON.
    def writer(self):
        return Writer(HEAD_BYTES + CHANNEL_BYTES * len(self._channels) + READING_BYTES * PACK_READINGS)

    @property
    def backlog(self):
        waiting = self._packer.readings + sum([pack.readings for pack in self._memory])
        return waiting + (self._shelf.readings if self._shelf else 0)

    @property
    def dropped(self):
        return self._lost + (self._shelf.dropped if self._shelf else 0)

    # Whether packs wait that may be of an earlier power-up.
    @property
    def has_kept(self):
        return self._shelf is not None and not self._shelf.is_empty

    # Readings that would be gone if the power went now.
    @property
    def unsaved(self):
        return self._packer.readings + sum([pack.readings for pack in self._memory])

    def learn_epoch(self, epoch_ms):
        if self._shelf:
            self._on_flash(lambda: self._shelf.learn_epoch(epoch_ms))

    def add(self, at_ms, values):
        self._packer.add(at_ms, values)
        if self._packer.is_full or self._packer.readings + len(values) > PACK_READINGS:
            self.close()

    def step(self, now):
        if self._packer.readings and now - self._packer.at_ms >= SAVE_MS:
            self.close()
        if self._memory and now - self._memory[0].at_ms >= SAVE_MS:
            self.save()

    # To be called before a restart on purpose, after close().
    def save(self):
        if self._shelf and self._memory:
            begun = self._flight is not None and self._flight is self._memory[0]
            self._on_flash(lambda: self._shelf.put(self._memory, begun))
        while len(self._memory) > MEMORY_PACKS:
            at = 1 if self._memory[0] is self._flight else 0
            self._lost += self._memory.pop(at).readings

    def next(self, may_close):
        """The pack to send: the one that was not acknowledged yet, or the oldest; of what gathers only if `may_close`."""
        if self._flight:
            return self._flight
        if self._shelf and not self._shelf.is_empty:
            self._on_flash(self._take_from_shelf)
            if self._flight:
                return self._flight
        if not self._memory and may_close:
            self.close()
        if self._memory:
            self._flight = self._memory[0]
        return self._flight

    def _take_from_shelf(self):
        self._flight = self._shelf.first()

    def acknowledged(self):
        flight = self._flight
        self._flight = None
        if self._memory and self._memory[0] is flight:
            self._memory.pop(0)
        elif flight and self._shelf:
            self._on_flash(self._shelf.let_go)

    def close(self):
        packer = self._packer
        if not packer.readings:
            return
        self._memory.append(
            Pack(self._boot, self._seq, packer.at_ms, packer.readings, packer.bytes(), self._channels)
        )
        self._seq += 1
        packer.readings = 0
        if len(self._memory) > MEMORY_PACKS:
            self.save()

    # A flash that fails must not keep the device from measuring and calling.
    def _on_flash(self, act):
        try:
            act()
            self.flash_failed = False
            return True
        except OSError:
            self.flash_failed = True
            return False
