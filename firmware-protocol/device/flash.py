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

    def append(self, name, data):
        with open(self._at(name), "ab") as file:
            file.write(data)

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
