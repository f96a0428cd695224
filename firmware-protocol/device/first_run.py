"""The questions at the first start, on the serial line."""

from settings import FILE, check, keep


def ask(read, say):
    # read(question) gives a line.
    say("This device has no settings yet. On the computer with the dashboard, run: npm run -s brinewatch -- device add NAME")
    settings = {"wifi": {}}
    settings["wifi"]["name"] = _must(read, "Name of the Wi-Fi network: ")
    settings["wifi"]["password"] = read("Its password: ")
    settings["broker"] = _must(read, "Address of that computer, as numbers (192.168.1.20): ")
    port = read("Port of the broker (1883): ")
    settings["port"] = int(port) if port else 1883
    settings["device"] = _must(read, "Name of the device: ")
    settings["password"] = _must(read, "Password that was printed: ")
    keep(check(settings))
    say("Kept in " + FILE + "; pins and channels can be changed there.")
    return settings


def _must(read, question):
    while True:
        answer = read(question).strip()
        if answer:
            return answer
