# SPDX-License-Identifier: MIT
"""A watch's board without a watch: serves the page's files and says what it is told to. It proves the page, not the
daemon. On standard input one JSON command a line, each answered by a line:

    {"facts": {...}}       these from now on, and at once to all
    {"may": "look"}        what the next to enter may; null: nobody enters
    {"mute": true}         connections stay and say nothing, as behind a cable that was pulled
    {"beat": false}        no beats but those that follow
    {"flood": N}           N times the facts with another number in them, as fast as they are taken
    {"mix": {...}}         what an opened mix is
    {"refuse": {...}}      what the next press gets, with 409; null: it succeeds
    {"pressed": true}      answered by the presses so far

board_stub.py FOLDER SCRIPT PORT: of the page, its joined script, 0 for any. The first line is its port.
"""
import http.server
import json
import pathlib
import sys
import threading
import time

FOLDER, SCRIPT = map(pathlib.Path, sys.argv[1:3])
TYPES = {".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8"}
POLICY = ("default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
          "img-src 'self' data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'")
TOKEN, COOKIE = "a-token-of-the-stub", "board=cookie"


class Said:
    """What all connections say; `turn` grows with each change."""

    def __init__(self):
        self.news = threading.Condition()
        self.turn, self.facts, self.mix, self.may = 0, None, None, "operate"
        self.mute, self.beat, self.flood, self.refuse, self.pressed = False, True, 0, None, []

    def take(self, command):
        with self.news:
            if "pressed" in command:
                return self.pressed
            for name, value in command.items():
                setattr(self, name, value)
            self.turn += "facts" in command
            self.news.notify_all()
        return True


said = Said()


def now_ms():
    return round(time.time() * 1000)


class Handler(http.server.BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def log_message(self, *_):
        pass

    def answer(self, status, text, kind="application/json", **headers):
        data = text.encode()
        self.send_response(status)
        for name, value in {"Content-Type": kind, "Content-Length": len(data), "Cache-Control": "no-store",
                            "Content-Security-Policy": POLICY, "X-Content-Type-Options": "nosniff", **headers}.items():
            self.send_header(name, value)
        self.end_headers()
        self.wfile.write(data)

    def entered(self):
        return said.may and self.headers.get("Cookie") == COOKIE

    def do_GET(self):
        path, _, _ = self.path.partition("?")
        file = {"/": FOLDER / "board.html", "/board.js": SCRIPT}.get(path, FOLDER / path[1:])
        if file.parent in (FOLDER, SCRIPT.parent) and file.suffix in TYPES and file.exists():
            self.answer(200, file.read_text(), TYPES[file.suffix])
        elif path not in ("/me", "/events", "/mix"):
            self.answer(404, "{}")
        elif not self.entered():
            self.answer(403, "{}")
        elif path == "/me":
            self.answer(200, json.dumps({"may": said.may}))
        elif path == "/mix":
            self.answer(200 if said.mix else 404, json.dumps(said.mix))
        else:
            self.stream()

    def do_POST(self):
        body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        if self.path == "/enter" and body == {"token": TOKEN} and said.may:
            self.answer(200, json.dumps({"may": said.may}), **{"Set-Cookie": COOKIE + "; HttpOnly; SameSite=Strict"})
        elif self.path not in ("/seen", "/meant") or not self.entered() or said.may != "operate":
            self.answer(403, json.dumps({"error": "not with this link"}))
        else:
            said.pressed.append([self.path, body])
            refuse, said.refuse = said.refuse, None
            self.answer(409 if refuse else 200, json.dumps(refuse or {}))

    def event(self, kind, data):
        self.wfile.write(f"event: {kind}\ndata: {json.dumps(data)}\n\n".encode())

    def say(self, turn):
        """What is due: the facts if they are new, else a beat."""
        if turn != said.turn:
            said.facts.update(at_ms=now_ms())
            self.event("facts", said.facts)
        elif said.beat:
            links = [desk["link"] for desk in said.facts["desks"]]
            self.event("beat", {"at_ms": now_ms(), "heard": [{name: link[name] for name in ("heard_ms", "lost")}
                                                             for link in links]})
        return said.turn

    def gush(self):
        while said.flood:
            said.flood -= 1
            said.facts["desks"][0]["tiles"][0]["lines"] = [f"{said.flood} more"]
            said.facts["at_ms"] = now_ms()
            self.event("facts", said.facts)

    def stream(self):
        self.send_response(200)
        self.send_header("Content-Type", "text/event-stream")
        self.send_header("Connection", "close")
        self.end_headers()
        turn = None
        try:
            while True:
                if not said.mute:
                    turn = self.say(turn)
                self.gush()
                with said.news:
                    said.news.wait_for(lambda: said.flood or turn != said.turn and not said.mute, 1)
        except OSError:
            self.close_connection = True


class Server(http.server.ThreadingHTTPServer):
    daemon_threads = True
    request_queue_size = 64


def main():
    server = Server(("127.0.0.1", int(sys.argv[3])), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    print(server.server_address[1], flush=True)
    for line in sys.stdin:
        print(json.dumps(said.take(json.loads(line))), flush=True)


main()
