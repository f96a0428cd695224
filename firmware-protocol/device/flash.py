"""The few things that are asked of the board's flash, in one folder."""

import os


class Folder:
    def __init__(self, path):
        self._path = path
        try:
            os.mkdir(path)
        except OSError:
            pass  # It is there already.

    def names(self):
        return sorted(os.listdir(self._path))

    def read(self, name):
        with open(self._at(name), "rb") as file:
            return file.read()

    # From a place on, as much as there is room for; how much it was.
    def read_into(self, name, at, room):
        with open(self._at(name), "rb") as file:
            file.seek(at)
            return file.readinto(room)

    def read_line(self, name):
        with open(self._at(name), "rb") as file:
            return file.readline()

    # Several pieces, one after the other.
    def append(self, name, pieces):
        with open(self._at(name), "ab") as file:
            for piece in pieces:
                file.write(piece)

    # Whole or not at all: the power may go in the middle.
    def write(self, name, data):
        with open(self._at("new"), "wb") as file:
            file.write(data)
        os.rename(self._at("new"), self._at(name))

    def rename(self, name, to):
        os.rename(self._at(name), self._at(to))

    def remove(self, name):
        os.remove(self._at(name))

    def _at(self, name):
        return self._path + "/" + name
