"""The questions at the first start, on the serial line."""

from pairing import Redeem, Refused
from settings import FILE, check, keep


# read(question) gives a line; make_net(name, password) as drivers.net.Net; now() in ms; rest() waits a moment.
def ask(read, say, make_net, now, rest):
    say("On the dashboard open Devices and press Add a device. Or, with a name and a password, leave the code empty.")
    while True:
        wifi = {"name": _must(read, "Name of the Wi-Fi network: "), "password": read("Its password: ")}
        code = read("Code: ").strip()
        if code:
            at = _must(read, "Address of the dashboard (192.168.1.20:8080): ")
            try:
                return finish(_paired(make_net, wifi, at, code, now, rest), wifi, say)
            except Refused as why:
                say(str(why))
                continue
        settings = {"broker": _must(read, "Address of the computer with the dashboard, as numbers (192.168.1.20): ")}
        port = read("Port of the broker (1883): ")
        settings["port"] = int(port) if port else 1883
        settings["device"] = _must(read, "Name of the device: ")
        settings["password"] = _must(read, "Password that was printed: ")
        return finish(settings, wifi, say)


# Keeps what was found out, with the pins that were there before or the usual ones.
def finish(found, wifi, say, before=None):
    settings = dict(before or {})
    settings.update(found)
    settings["wifi"] = wifi
    keep(check(settings))
    say("Kept in " + FILE + "; pins and channels can be changed there.")
    return settings


def _paired(make_net, wifi, at, code, now, rest):
    net = make_net(wifi["name"], wifi["password"])
    net.join()
    until = now() + 30000
    while not net.joined():
        if now() > until:
            raise Refused("This network could not be joined. Are its name and password right?")
        rest()
    redeem = Redeem(net, at, code, now())
    while True:
        found = redeem.step(now())
        if found:
            return found
        rest()


def _must(read, question):
    while True:
        answer = read(question).strip()
        if answer:
            return answer
