"""Packs on the flash, in files of at most one flash block each, oldest first.

A file is named after its number, and "n" behind it, or "s" once a pack of it may have been sent. Its first line tells the
power-up that the packs are of, and the channels; then come packs, each with its length and a sum.
"""

import json
import struct

from packing import PACK_BYTES
from packs import Pack, channels_as_text, channels_from_text

FILE_BYTES = 4096
_FRAME = "<HIQH"
_FRAME_BYTES = struct.calcsize(_FRAME)
_PACK_MOST = _FRAME_BYTES + PACK_BYTES + 2
_EPOCHS = "epochs"
_DROPPED = "dropped"


class Shelf:
    def __init__(self, folder, files, boot, channels):
        self._folder = folder
        self._most = max(4, files)
        self._boot = boot
        self._channels = channels
        self._head = ("%s %s\n" % (boot, channels_as_text(channels))).encode()
        # Where packs are read to, one after the other.
        self._piece = bytearray(_PACK_MOST)
        self._names = []
        self._counts = []
        # Bytes in the newest file, while this power-up still writes to it.
        self._open_bytes = 0
        # Of the oldest file: where its next pack begins, and whose it is. None: not looked at yet.
        self._at = None
        self._oldest_boot = None
        self._oldest_channels = None
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
            boot, _, at = self._read_head(name)
            count = 0
            while True:
                length = self._read_pack(name, at)
                if length is None:
                    break
                count += self._readings_of_piece()
                at += length
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
            length = self._open_bytes or len(self._head)
            several = 0
            for pack in packs:
                if length + _FRAME_BYTES + len(pack.data) + 2 > FILE_BYTES:
                    break
                length += _FRAME_BYTES + len(pack.data) + 2
                several += 1
            if several:
                self._write(packs[:several], begun)
                self._open_bytes = length
                begun = False
                del packs[:several]
            else:
                self._open_bytes = 0
        self._keep_epoch()

    def _write(self, packs, begun):
        count = sum([pack.readings for pack in packs])
        if self._open_bytes:
            self._folder.append(self._names[-1], self._pieces(None, packs))
            self._counts[-1] += count
        else:
            if len(self._names) >= self._most:
                self._drop_oldest()
            name = "%08d%s" % (int(self._names[-1][:8]) + 1 if self._names else 1, "s" if begun else "n")
            self._folder.append(name, self._pieces(self._head, packs))
            self._names.append(name)
            self._counts.append(count)

    def _pieces(self, head, packs):
        if head:
            yield head
        for pack in packs:
            yield _frame(pack)

    # The oldest of which nothing can have been sent: what may be stored already is not also counted as dropped.
    def _drop_oldest(self):
        for i in range(len(self._names)):
            if self._names[i][8] == "n":
                if i == 0:
                    self._at = None
                name = self._names.pop(i)
                self._drop(self._counts.pop(i))
                self._folder.remove(name)
                return

    def _drop(self, readings):
        self.dropped += readings
        self._folder.write(_DROPPED, str(self.dropped).encode())

    def first(self):
        """The oldest pack. From now on its file counts as begun. Its data hold until it is let go."""
        while self._names:
            name = self._names[0]
            if self._at is None:
                if name[8] == "n":
                    begun = name[:8] + "s"
                    self._folder.rename(name, begun)
                    self._names[0] = name = begun
                if len(self._names) == 1:
                    self._open_bytes = 0
                self._oldest_boot, self._oldest_channels, self._at = self._read_head(name)
            if self._read_pack(name, self._at):
                length, seq, at_ms, readings = struct.unpack_from(_FRAME, self._piece)
                data = memoryview(self._piece)[_FRAME_BYTES : _FRAME_BYTES + length]
                epoch_ms = None if self._oldest_boot == self._boot else self._epochs[self._oldest_boot]
                return Pack(self._oldest_boot, seq, at_ms, readings, data, self._oldest_channels, epoch_ms)
            self._forget_oldest()
        return None

    # The first pack is stored elsewhere.
    def let_go(self):
        if self._at is None:
            self.first()
        self._at += self._read_pack(self._names[0], self._at)
        self._counts[0] -= self._readings_of_piece()
        if not self._read_pack(self._names[0], self._at):
            self._forget_oldest()

    def _forget_oldest(self):
        self._folder.remove(self._names.pop(0))
        self._counts.pop(0)
        self._at = None
        if not self._names:
            self._open_bytes = 0

    # How long it is, with its frame; None at the end, or where a write was cut short.
    def _read_pack(self, name, at):
        piece = self._piece
        found = self._folder.read_into(name, at, piece)
        if found < _FRAME_BYTES:
            return None
        end = _FRAME_BYTES + (piece[0] | piece[1] << 8)
        if end + 2 > found or _sum(piece, end) != piece[end] | piece[end + 1] << 8:
            return None
        return end + 2

    def _readings_of_piece(self):
        return self._piece[_FRAME_BYTES - 2] | self._piece[_FRAME_BYTES - 1] << 8

    def _read_head(self, name):
        line = self._folder.read_line(name)
        if line == self._head:
            return self._boot, self._channels, len(line)
        if not line.endswith(b"\n"):
            return None, None, len(line)
        boot, text = line.decode().strip().split(" ", 1)
        return boot, channels_from_text(text), len(line)


def _frame(pack):
    frame = bytearray(_FRAME_BYTES + len(pack.data) + 2)
    struct.pack_into(_FRAME, frame, 0, len(pack.data), pack.seq, pack.at_ms, pack.readings)
    end = len(frame) - 2
    frame[_FRAME_BYTES:end] = pack.data
    struct.pack_into("<H", frame, end, _sum(frame, end))
    return frame


def _sum(data, end):
    return sum(memoryview(data)[:end]) & 0xFFFF
