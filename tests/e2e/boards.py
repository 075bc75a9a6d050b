# SPDX-License-Identifier: MIT
"""A browser of the tests' own, of bare sockets: it says what it is told to, and reads HTTP/1.1 (RFC 9112) and
server-sent events (WHATWG HTML, 9.2) by itself.
"""
import json
import re
import socket
from urllib.parse import urlsplit

import harness
from test_control import Controlled

ORIGINS = object()  # of the board's own page


class Answer:
    def __init__(self, head, body):
        line, *fields = head.decode("latin-1").split("\r\n")
        self.status = int(line.split(" ")[1])
        self.headers = [tuple(re.split(r":\s*", field, maxsplit=1)) for field in fields]
        self.body = body

    def header(self, name):
        found = [value for key, value in self.headers if key.lower() == name.lower()]
        assert len(found) <= 1, self.headers
        return found[0] if found else None

    def json(self):
        assert self.header("Content-Type") == "application/json", self.headers
        return json.loads(self.body)


class Connection:
    """One connection: what came is read up to the end of an answer, or of the connection."""

    def __init__(self, board, source="127.0.0.1", receive=None):
        self.socket = socket.socket()
        if receive:
            self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, receive)
        self.socket.settimeout(10 * harness.PATIENCE)
        self.socket.bind((source, 0))
        self.socket.connect((board.host, board.port))
        self.came = b""
        self.ended = False

    def send(self, data):
        self.socket.sendall(data)

    def read(self):
        """More, unless it has ended."""
        try:
            data = self.socket.recv(65536)
        except ConnectionResetError:
            data = b""
        self.ended = self.ended or not data
        self.came += data
        return bool(data)

    def take(self, mark):
        """All up to the mark, and without it."""
        while mark not in self.came:
            assert self.read(), f"it ended behind {self.came[-300:]!r}"
        found, _, self.came = self.came.partition(mark)
        return found

    def answer(self, method="GET"):
        head = self.take(b"\r\n\r\n")
        length = re.search(rb"(?im)^Content-Length: (\d+)", head)
        if not length or method == "HEAD":
            return Answer(head, b"")
        while len(self.came) < int(length[1]):
            assert self.read(), self.came
        body, self.came = self.came[:int(length[1])], self.came[int(length[1]):]
        return Answer(head, body)

    def to_end(self):
        """All that comes until the other side ends it."""
        while self.read():
            pass
        return self.came

    def close(self):
        self.socket.close()


class Events(Connection):
    """A stream that has begun."""

    def __init__(self, board, cookie, **options):
        super().__init__(board, **options)
        self.send(board.head("GET", "/events", cookie=cookie))
        self.begun = Answer(self.take(b"\r\n\r\n"), b"")
        self.text = b""

    def chunk(self):
        size = int(self.take(b"\r\n"), 16)
        while len(self.came) < size + 2:
            assert self.read(), "the stream ended"
        data, self.came = self.came[:size], self.came[size + 2:]
        return data

    def event(self, name=None):
        """The next one, of that name: its fields."""
        while True:
            while b"\n\n" not in self.text:
                self.text += self.chunk()
            block, _, self.text = self.text.partition(b"\n\n")
            lines = [line for line in block.decode().split("\n") if line]
            fields = dict(line.split(": ", 1) for line in lines)
            assert len(fields) == len(lines), lines
            if name in (None, fields["event"]):
                return {**fields, "data": json.loads(fields["data"])}


class Board(Controlled):
    """A watch with a board; any port that is free, and that it may have again."""

    def __init__(self, folder, *words, at=None, **changes):
        super().__init__(folder, f"--board={at or f'127.0.0.1:{harness.own_port()}'}", *words, **changes)
        self.find()

    def find(self):
        links = self.ask("board", "--format", "json").json()
        self.links = {right: urlsplit(links[right]) for right in ("look", "operate")}
        self.tokens = {right: link.fragment for right, link in self.links.items()}
        self.host, self.port = self.links["look"].hostname, self.links["look"].port

    def head(self, method, path, *, host=None, origin=None, cookie=None, length=None, kind="application/json", more=()):
        """A request's head; what is None is left out, but the host, which is the board's own."""
        own = f"{self.host}:{self.port}"
        fields = [("Host", own if host is None else host)] if host != "" else []
        fields += [("Origin", f"http://{own}" if origin is ORIGINS else origin)] if origin is not None else []
        fields += [("Cookie", cookie)] if cookie else []
        fields += [("Content-Length", length), ("Content-Type", kind)] if length is not None else []
        text = f"{method} {path} HTTP/1.1\r\n" + "".join(f"{key}: {value}\r\n" for key, value in [*fields, *more])
        return text.encode("latin-1") + b"\r\n"

    def request(self, method, path, body=None, *, source="127.0.0.1", **fields):
        """One request on a connection of its own, and its answer."""
        data = b"" if body is None else body if isinstance(body, bytes) else json.dumps(body).encode()
        if body is not None:
            fields = {"length": len(data), "origin": ORIGINS, **fields}
        connection = Connection(self, source)
        try:
            connection.send(self.head(method, path, **fields) + data)
            return connection.answer(method)
        finally:
            connection.close()

    def get(self, path, **fields):
        return self.request("GET", path, **fields)

    def post(self, path, body, **fields):
        return self.request("POST", path, body, **fields)

    def enter(self, right):
        """The cookie that a link is given for."""
        answer = self.post("/enter", {"token": self.tokens[right]})
        assert (answer.status, answer.json()) == (200, {"may": right}), answer.body
        return answer.header("Set-Cookie").partition(";")[0]

    def serves(self, path="/", **fields):
        """Whether it is answered, and not refused for want of room."""
        try:
            return self.get(path, **fields).status == 200
        except (AssertionError, OSError):  # cut off unanswered
            return False

    def holds(self, connection):
        """Whether its own end of a connection stands, by proc(5): who takes nothing does not hear that it does not."""
        return connection.socket.getsockname()[1] in self.peers()

    def peers(self):
        """The ports of all whose connections stand at its own end."""
        rows = [line.split() for line in open("/proc/net/tcp").read().splitlines()[1:]]
        return {int(row[2].rpartition(":")[2], 16) for row in rows
                if row[3] == "01" and row[1].endswith(f":{self.port:04X}")}

    def lives(self):
        answer = self.ask("status")
        assert answer.status == 0, answer.err
        return "steady" in answer.out
