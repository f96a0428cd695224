"""The page of a device without settings, in the network that it opens itself. Knows no hardware."""

from pairing import Redeem, Refused

ADDRESS = "192.168.4.1"
JOIN_MS = 30000
# A browser's request is some hundred bytes; what is longer is none of ours.
MOST = 4096

FIELDS = ("wifi", "secret", "at", "code")
_LABELS = (
    ("wifi", "Name of your Wi-Fi network", "text"),
    ("secret", "Its password", "password"),
    ("at", "Address of the dashboard, like 192.168.1.20:8080", "text"),
    ("code", "Code that the dashboard shows", "text"),
)
_HEAD = (
    "<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content='width=device-width'>"
    "<title>Set this device up</title><style>body{font:18px/1.5 system-ui,sans-serif;max-width:26em;margin:1em auto;"
    "padding:0 1em;background:#0b1110;color:#f4efe4}label{display:block;margin:1em 0 .3em}input,button{font:inherit;"
    "width:100%;box-sizing:border-box;padding:.7em;border-radius:.6em;border:2px solid #7c8883;background:#151d1b;"
    "color:inherit}button{margin-top:1.5em;background:#f4efe4;color:#0b1110;font-weight:700}p{font-weight:650}</style>"
)


def unquote(text):
    out = bytearray()
    i = 0
    while i < len(text):
        each = text[i]
        if each == "%" and i + 2 < len(text):
            try:
                out.append(int(text[i + 1 : i + 3], 16))
                i += 3
                continue
            except ValueError:
                pass
        out.extend(b" " if each == "+" else each.encode())
        i += 1
    try:
        return out.decode()
    except (ValueError, UnicodeError):
        return ""


def form(text):
    """What stands in a query or in a form that was sent; nothing else than the fields of the page."""
    values = {}
    for pair in text.split("&"):
        name, _, value = pair.partition("=")
        if name in FIELDS:
            values[name] = unquote(value)[:128]
    return values


def escape(text):
    for each, as_html in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;"), ("'", "&#39;")):
        text = text.replace(each, as_html)
    return text


# The whole request, or None while more is to come; empty when it is not one.
def whole(data):
    head, end, body = data.partition(b"\r\n\r\n")
    if not end:
        return None if len(data) < MOST else b""
    length = 0
    for line in head.split(b"\r\n"):
        name, _, value = line.partition(b":")
        if name.lower() == b"content-length" and value.strip().isdigit():
            length = int(value)
    if length > MOST:
        return b""
    return data if len(body) >= length else None


def answer_name(query):
    """To whoever asks for any name by DNS (RFC 1035): it is here. So that a phone opens the page by itself."""
    if len(query) < 17 or query[2] & 0x80 or query[4:6] != b"\x00\x01":
        return None
    end = 12
    while end < len(query) and query[end]:
        end += query[end] + 1
    end += 5
    if end > len(query):
        return None
    address = bytes([int(each) for each in ADDRESS.split(".")])
    # Of the address type alone there is an answer; a minute is long enough.
    is_address = query[end - 4 : end - 2] == b"\x00\x01"
    head = query[:2] + b"\x81\x80\x00\x01" + (b"\x00\x01" if is_address else b"\x00\x00") + b"\x00\x00\x00\x00"
    found = b"\xc0\x0c\x00\x01\x00\x01\x00\x00\x00\x3c\x00\x04" + address if is_address else b""
    return head + query[12:end] + found


class Setup:
    """Takes what is typed, joins the network, redeems the code. net as in pairing; joined() and join() beside."""

    def __init__(self, make_net):
        self._make_net = make_net
        self._values = dict([(field, "") for field in FIELDS])
        self._net = None
        self._redeem = None
        self._until = 0
        self.said = ""
        self.is_busy = False

    def handle(self, request):
        """The answer to a whole request of a browser."""
        head, _, body = request.partition(b"\r\n\r\n")
        try:
            method, target = head.split(b"\r\n")[0].decode().split(" ")[:2]
            sent = body.decode()
        except (ValueError, UnicodeError):
            return _reply("400 Bad Request", "")
        path, _, query = target.partition("?")
        if path != "/":
            # Phones ask for pages of their own to see whether there is a page to be shown first.
            return _reply("302 Found", "", "Location: http://%s/\r\n" % ADDRESS)
        if method == "POST":
            self._take(form(sent))
        elif query:
            self._values.update(form(query))
        return _reply("200 OK", self._page())

    def _take(self, values):
        if self.is_busy:
            return
        self._values.update(values)
        for name, label, _ in _LABELS:
            if name != "secret" and not self._values[name].strip():
                self.said = "Still missing: %s." % label
                return
        self.is_busy = True
        self.said = "Joining the network…"
        self._net = None

    # None until it is done: then the settings.
    def step(self, now):
        if not self.is_busy:
            return None
        values = self._values
        try:
            if self._net is None:
                self._net = self._make_net(values["wifi"], values["secret"])
                self._net.join()
                self._until = now + JOIN_MS
                self._redeem = None
            elif self._redeem is None:
                if self._net.joined():
                    self.said = "Asking the dashboard…"
                    self._redeem = Redeem(self._net, values["at"], values["code"], now)
                elif now > self._until:
                    raise Refused("This network could not be joined. Are its name and password right? It must be one of 2.4 GHz.")
            else:
                found = self._redeem.step(now)
                if found:
                    found["wifi"] = {"name": values["wifi"], "password": values["secret"]}
                    self.said = "Done: this is %s now. The page can be closed; the device starts anew." % found["device"]
                    self.is_busy = False
                    return found
        except Refused as why:
            self.said = str(why)
            self.is_busy = False
        return None

    def _page(self):
        if self.is_busy:
            return "%s<meta http-equiv=refresh content=2><h1>Set this device up</h1><p role=status>%s" % (
                _HEAD,
                escape(self.said),
            )
        parts = [_HEAD, "<h1>Set this device up</h1>"]
        if self.said:
            parts.append("<p role=status>%s</p>" % escape(self.said))
        parts.append("<form method=post action=/>")
        for name, label, kind in _LABELS:
            parts.append(
                "<label for=%s>%s</label><input id=%s name=%s type=%s maxlength=128 autocapitalize=off autocomplete=off value='%s'>"
                % (name, label, name, name, kind, escape(self._values[name]) if name != "secret" else "")
            )
        parts.append("<button>Set up</button></form>")
        return "".join(parts)


def _reply(status, body, more=""):
    data = body.encode()
    return (
        "HTTP/1.0 %s\r\nContent-Type: text/html; charset=utf-8\r\nContent-Length: %d\r\nCache-Control: no-store\r\n"
        "%sConnection: close\r\n\r\n" % (status, len(data), more)
    ).encode() + data
