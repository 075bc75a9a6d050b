# SPDX-License-Identifier: MIT
"""How long it takes from a changed value on the wire to the line on the terminal, and to the chat hook,
with holds set to 0: medians of 400 changes. The peer of the first is a bare round trip to the same desk
(a question and its answer), that of the second the same with a bare POST to the same hook.

latency.py BUILD
"""
import http.client
import http.server
import json
import os
import pathlib
import socket
import statistics
import struct
import subprocess
import sys
import tempfile
import threading
import time

CHANGES = 400
OFF, ON = -7.0, 0.0


def message(address, value=None):
    text = address.encode() + b"\0"
    data = text + b"\0" * (-len(text) % 4)
    return data + (b",\0\0\0" if value is None else b",f\0\0" + struct.pack(">f", value))


class Hook(http.server.BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    came = []  # (time, text)
    news = threading.Condition()

    def do_POST(self):
        body = self.rfile.read(int(self.headers["Content-Length"]))
        with self.news:
            self.came.append((time.monotonic(), json.loads(body)["text"]))
            self.news.notify()
        self.send_response(204)
        self.end_headers()

    def log_message(self, *words):
        pass


def median_ms(times):
    return 1000 * statistics.median(times)


def bare_question(port):
    times = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as end:
        end.connect(("127.0.0.1", port))
        for _ in range(CHANGES):
            begun = time.monotonic()
            end.send(message("/mix/1/fader"))
            end.recv(1000)
            times.append(time.monotonic() - begun)
    return median_ms(times)


def bare_post(port):
    times = []
    connection = http.client.HTTPConnection("127.0.0.1", port)
    for _ in range(CHANGES):
        begun = time.monotonic()
        connection.request("POST", "/", json.dumps({"text": "bare"}))
        connection.getresponse().read()
        times.append(time.monotonic() - begun)
    return median_ms(times)


def write(path, value):
    path.write_text(json.dumps(value))
    return path


def write_show(folder, port):
    profile = write(folder / "profile.json", {
        "profile_format": 1, "desk": "Bench", "link": {"transport": "udp", "port": 9100},
        "renew": [{"send": ["/stay"], "every_s": 4}], "counts": {"input": 1, "mix": 2},
        "values": [{"at": "/mix/{mix}/trim", "is": "mix.fader"}]})
    return write(folder / "show.json", {
        "show_format": 1, "show": "Bench", "mixes": {"1": {"feeds": "wedge"}},
        "watch": {"raise_after_s": 0, "clear_after_s": 0}, "tell": {"chat": {"url_env": "BENCH_HOOK"}},
        "checks": {"value-jumped": "off", "protection-lost": "off"},
        "desk": {"profile": str(profile), "host": "127.0.0.1", "port": port, "role": "monitor"}})


def change(watch, port):
    """Each change is told before the next is made."""
    lines, posts = [], []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as end:
        for turn in range(CHANGES):
            seen = len(Hook.came)
            begun = time.monotonic()
            end.sendto(message("/mix/1/trim", ON if turn % 2 else OFF), ("127.0.0.1", port))
            line = watch.stdout.readline()
            lines.append(time.monotonic() - begun)
            assert ("cleared" if turn % 2 else "raised") in line, line
            with Hook.news:
                assert Hook.news.wait_for(lambda: len(Hook.came) > seen, 5), "the hook heard nothing"
            posts.append(Hook.came[seen][0] - begun)
    return median_ms(lines), median_ms(posts)


def measure(build, folder):
    hook = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Hook)
    threading.Thread(target=hook.serve_forever, daemon=True).start()
    state = write(folder / "state.json", {"desk_state": 1, "counts": {"inputs": 1, "mixes": 2},
                                          "inputs": [{"name": "In"}], "mixes": [{"name": "W"}, {"name": "W"}]})
    desk = subprocess.Popen([build / "mock-desk", "--state", state, "--port", "0"], stdout=subprocess.PIPE)
    port = int(desk.stdout.readline().rsplit(b":", 1)[1])
    watch = subprocess.Popen(
        [build / "gainwarden", "watch", "--yes", "--keep", folder / "keep", "--still-every", "0", write_show(folder, port)],
        stdout=subprocess.PIPE, text=True, env={**os.environ, "BENCH_HOOK": f"http://127.0.0.1:{hook.server_port}/"})
    try:
        while " watching: " not in watch.stdout.readline():
            pass
        while not Hook.came:
            time.sleep(0.01)
        lines, posts = change(watch, port)
        question, post = bare_question(port), bare_post(hook.server_port)
        print(f"from the wire to the terminal: {lines:.2f} ms (goal 5) = {lines / question:.1f} x a bare question "
              f"({question:.2f} ms)")
        print(f"from the wire to the hook:     {posts:.2f} ms (goal 20) = {posts / post:.1f} x a bare POST "
              f"({post:.2f} ms)")
    finally:
        watch.terminate()
        watch.wait()
        desk.terminate()
        desk.wait()
        hook.shutdown()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        measure(pathlib.Path(sys.argv[1]), pathlib.Path(folder))
