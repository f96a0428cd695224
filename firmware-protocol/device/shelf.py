"""Packs on the flash, in files of at most one flash block each, oldest first.

A file is named after its number, and "n" behind it, or "s" once a pack of it may have been sent. Its first line tells the
power-up that the packs are of, and the channels; then come packs, each with its length and a sum.
"""

import json
import struct

from packs import Pack, channels_as_text, channels_from_text

FILE_BYTES = 4096
_FRAME = "<HIQH"
_FRAME_BYTES = struct.calcsize(_FRAME)
_EPOCHS = "epochs"
_DROPPED = "dropped"


class Shelf:
    def __init__(self, folder, files, boot, channels):
        self._folder = folder
        self._most = max(4, files)
        self._boot = boot
        self._head = ("%s %s\n" % (boot, channels_as_text(channels))).encode()
        self._names = []
        self._counts = []
        # Bytes in the newest file, while this power-up still writes to it.
        self._open_bytes = 0
        # The oldest file, read: what is in it, where its next pack begins, and whose it is.
        self._oldest = None
        self._at = 0
        self._oldest_boot = None
        self._oldest_channels = None
        self._next_at = 0
        self.epoch_ms = None
        self._epoch_kept = None
        names = folder.names()
        self.dropped = int(folder.read(_DROPPED)) if _DROPPED in names else 0
        self._epochs = json.loads(folder.read(_EPOCHS)) if _EPOCHS in names else {}
        self._take_stock(names)

    @property
    def readings(self):
        return sum(self._counts)

    @property
    def is_empty(self):
        return not self._names

    # Times of earlier power-ups are known if that power-up ever heard the time; those of others can never be placed.
    def _take_stock(self, names):
        boots = {}
        undated = 0
        for name in names:
            if len(name) != 9:
                continue
            data = self._folder.read(name)
            boot, _, at = _read_head(data)
            count = 0
            while True:
                pack = _read_pack(data, at)
                if pack is None:
                    break
                count += pack[3]
                at = pack[5]
            if boot in self._epochs and count:
                boots[boot] = self._epochs[boot]
                self._names.append(name)
                self._counts.append(count)
            else:
                undated += count
                self._folder.remove(name)
        if undated:
            self._drop(undated)
        self._epochs = boots

    def learn_epoch(self, epoch_ms):
        self.epoch_ms = epoch_ms
        if self._names:
            self._keep_epoch()

    def _keep_epoch(self):
        known = self._epochs.get(self._boot)
        if self.epoch_ms is None or (known is not None and abs(known - self.epoch_ms) < 500):
            return
        self._epochs[self._boot] = self.epoch_ms
        self._folder.write(_EPOCHS, json.dumps(self._epochs).encode())

    def put(self, packs, begun):
        """Moves packs behind all others, and off the list. `begun`: the first of them may have been sent already."""
        while packs:
            if begun:
                self._open_bytes = 0
            room = FILE_BYTES - (self._open_bytes or len(self._head))
            data = bytearray()
            several = 0
            for pack in packs:
                framed = _frame(pack)
                if len(data) + len(framed) > room:
                    break
                data.extend(framed)
                several += 1
            if several:
                self._write(data, sum([pack.readings for pack in packs[:several]]), begun)
                begun = False
                del packs[:several]
            else:
                self._open_bytes = 0
        self._keep_epoch()

    def _write(self, data, count, begun):
        if self._open_bytes:
            self._folder.append(self._names[-1], data)
            self._counts[-1] += count
        else:
            if len(self._names) >= self._most:
                self._drop_oldest()
            name = "%08d%s" % (int(self._names[-1][:8]) + 1 if self._names else 1, "s" if begun else "n")
            self._folder.append(name, self._head + data)
            self._names.append(name)
            self._counts.append(count)
            self._open_bytes = len(self._head)
        self._open_bytes += len(data)

    # The oldest of which nothing can have been sent: what may be stored already is not also counted as dropped.
    def _drop_oldest(self):
        for i in range(len(self._names)):
            if self._names[i][8] == "n":
                if i == 0:
                    self._oldest = None
                name = self._names.pop(i)
                self._drop(self._counts.pop(i))
                self._folder.remove(name)
                return

    def _drop(self, readings):
        self.dropped += readings
        self._folder.write(_DROPPED, str(self.dropped).encode())

    def first(self):
        """The oldest pack. From now on its file counts as begun."""
        while self._names:
            name = self._names[0]
            if self._oldest is None:
                if name[8] == "n":
                    begun = name[:8] + "s"
                    self._folder.rename(name, begun)
                    self._names[0] = name = begun
                if len(self._names) == 1:
                    self._open_bytes = 0
                self._oldest = self._folder.read(name)
                self._oldest_boot, self._oldest_channels, self._at = _read_head(self._oldest)
            pack = _read_pack(self._oldest, self._at)
            if pack is not None:
                seq, at_ms, data, readings, _, self._next_at = pack
                epoch_ms = None if self._oldest_boot == self._boot else self._epochs[self._oldest_boot]
                return Pack(self._oldest_boot, seq, at_ms, readings, data, self._oldest_channels, epoch_ms)
            self._forget_oldest()
        return None

    # The first pack is stored elsewhere.
    def let_go(self):
        if self._oldest is None:
            self.first()
        pack = _read_pack(self._oldest, self._at)
        self._counts[0] -= pack[3]
        self._at = pack[5]
        if _read_pack(self._oldest, self._at) is None:
            self._forget_oldest()

    def _forget_oldest(self):
        self._folder.remove(self._names.pop(0))
        self._counts.pop(0)
        self._oldest = None
        if not self._names:
            self._open_bytes = 0


def _frame(pack):
    head = struct.pack(_FRAME, len(pack.data), pack.seq, pack.at_ms, pack.readings)
    return head + pack.data + struct.pack("<H", (sum(head) + sum(pack.data)) & 0xFFFF)


# seq, at_ms, data, readings, None, where the next begins; None at the end, or where a write was cut short.
def _read_pack(data, at):
    body = at + _FRAME_BYTES
    if body > len(data):
        return None
    length, seq, at_ms, readings = struct.unpack_from(_FRAME, data, at)
    end = body + length
    if end + 2 > len(data):
        return None
    if (sum(data[at:end])) & 0xFFFF != data[end] | data[end + 1] << 8:
        return None
    return seq, at_ms, data[body:end], readings, None, end + 2


def _read_head(data):
    end = data.find(b"\n")
    if end < 0:
        return None, None, len(data)
    boot, text = data[:end].decode().split(" ", 1)
    return boot, channels_from_text(text), end + 1
