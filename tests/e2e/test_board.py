# SPDX-License-Identifier: MIT
"""The board as those meet it who mean well, and those who do not: links, cookies, rights, bounds, the stream.

What a browser sends by itself, and other pages cannot make it leave out, is of the Fetch standard: Origin on every
POST, and Host as the page's own address (RFC 9110, 7.2), which a name that was made to lead here betrays. Cookies are
of RFC 6265, and its SameSite of the draft that follows it.
"""
import contextlib
import fcntl
import itertools
import os
import random
import re
import signal
import socket
import stat
import struct
import termios
import threading
import time

import pytest

import harness
import qr
from boards import ORIGINS, Board, Connection, Events
from harness import MockDesk, Process, demo_show, fader_wire, run, until
from test_control import Controlled

PATHS = ["/", "/board.css", "/board.js", "/health"]
CLOSED = ["/me", "/events", "/mix?desk=0&mix=1"]
BUTTONS = ["/seen", "/meant"]
PRESSED = {"desk": 0, "finding": "no-such-finding", "who": "Mo"}


@pytest.fixture
def board(tmp_path):
    return Board(tmp_path)


def listening(pid):
    """(address, port) of each TCP socket at which the process listens, by proc(5)."""
    inodes = set()
    for name in os.listdir(f"/proc/{pid}/fd"):
        with contextlib.suppress(OSError):
            inodes.add(os.readlink(f"/proc/{pid}/fd/{name}"))
    found = set()
    for line in open(f"/proc/{pid}/net/tcp").read().splitlines()[1:]:
        fields = line.split()
        if fields[3] == "0A" and f"socket:[{fields[9]}]" in inodes:
            address, port = fields[1].split(":")
            found.add((socket.inet_ntoa(bytes.fromhex(address)[::-1]), int(port, 16)))
    return found


# ---- whether and where it is ----

def test_it_is_off_unless_asked_for(tmp_path):
    watched = Controlled(tmp_path)
    answer = watched.ask("board")

    assert (answer.status, answer.out) == (2, "")
    assert answer.err == "gainwarden: this watch has no board; `gainwarden watch SHOW --board` has one\n"
    assert listening(watched.watch.popen.pid) == set()
    assert [path.name for path in watched.keep.iterdir() if "board" in path.name] == []


@pytest.mark.parametrize("at", [":0", "127.0.0.1:0", "localhost:0"])
def test_it_is_of_this_computer_alone(tmp_path, at):
    board = Board(tmp_path, at=at)

    assert listening(board.watch.popen.pid) == {("127.0.0.1", board.port)}
    assert board.get("/").status == 200


def test_the_watch_says_where_it_is_and_nothing_more(board):
    (line,) = [line for line in board.watch.out.texts() if "the board is" in line]
    assert line[9:] == f"the board is at http://127.0.0.1:{board.port}/; `gainwarden board SHOW` prints its links"


@pytest.mark.parametrize("at, told", [
    ("0.0.0.0:0", "--board: 0.0.0.0 stands for every network of this computer; name the one address that the tablets "
                  "reach"),
    ("[::]:0", "--board: :: stands for every network of this computer; name the one address that the tablets reach"),
    ("239.1.2.3:0", "--board: 239.1.2.3 is no computer's own address; name one of this computer, as `ip address` lists them"),
    ("255.255.255.255:0", "--board: 255.255.255.255 is no computer's own address; name one of this computer, as `ip "
     "address` lists them"),
    ("[ff02::1]:0", "--board: ff02::1 is no computer's own address; name one of this computer, as `ip address` lists them"),
    ("[::ffff:0.0.0.0]:0", "--board: ::ffff:0.0.0.0 stands for every network of this computer; name the one address "
                           "that the tablets reach"),
    ("192.0.2.7:0", "--board: cannot listen at 192.0.2.7 port 0: Cannot assign requested address; name an address of "
                    "this computer, as `ip address` lists them"),
    ("127.0.0.1:65536", "--board=127.0.0.1:65536: the port must be a whole number from 0 to 65535"),
    ("127.0.0.1:", "--board=127.0.0.1:: the port must be a whole number from 0 to 65535"),
    ("[::1", "--board=[::1: an address in brackets ends with ']' or ']:PORT'")])
def test_an_address_that_cannot_be(tmp_path, desk, at, told):
    result = run("watch", demo_show(tmp_path), "--desk", desk.at, "--keep", tmp_path / "keep", f"--board={at}")

    assert (result.status, result.err) == (2, f"gainwarden: {told}\n")


def test_a_port_that_is_taken(tmp_path, board):
    (tmp_path / "other").mkdir()
    result = run("watch", demo_show(tmp_path / "other"), "--desk", board.desk.at, "--keep", tmp_path / "keep",
                 f"--board=:{board.port}")

    assert (result.status, result.err) == (2, f"gainwarden: --board: cannot listen at 127.0.0.1 port {board.port}: "
                                              "Address already in use; name another port: --board=HOST:PORT\n")
    assert board.get("/").status == 200


def test_one_board_for_all_desks(tmp_path):
    shows = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        desk = MockDesk()
        shows.append(demo_show(tmp_path / name, desk={"profile": str(harness.PROFILE), "host": desk.host,
                                                      "port": desk.port}))
    keep = tmp_path / "keep"
    watch = Process(harness.BUILD / "gainwarden", "watch", "--keep", keep, "--board=:0", *shows)
    until(lambda: watch.text().count("watching: ") == 2)
    links = [run("board", show, "--keep", keep, "--format", "json").json() for show in shows]

    assert links[0]["look"] == links[1]["look"] and links[0]["operate"] == links[1]["operate"]
    assert watch.stop() == 0


# ---- the links ----

def test_the_links(board):
    result = board.ask("board")
    look, operate = re.fullmatch(r"look:    (\S+)\noperate: (\S+)\n(?s:.*secrets.*)", result.out).groups()
    form = rf"http://127\.0\.0\.1:{board.port}/#[0-9a-f]{{32}}"

    assert re.fullmatch(form, look) and re.fullmatch(form, operate) and look != operate
    assert "\x1b" not in result.out


def read_along(fd, into):
    with contextlib.suppress(OSError):  # the other side is closed
        while data := os.read(fd, 65536):
            into.append(data)


def on_terminal(board, columns):
    """What `gainwarden board` prints on a terminal so wide."""
    ours, theirs = os.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 50, columns, 0, 0))
    drawn = []
    reading = threading.Thread(target=read_along, args=(ours, drawn))
    reading.start()
    try:
        result = run("board", board.show, "--keep", board.keep, stdout=theirs, env={"TERM": "xterm"})
    finally:
        os.close(theirs)
        reading.join()
        os.close(ours)
    assert result.status == 0, result.err
    return b"".join(drawn).decode()


def test_a_camera_reads_the_link_to_look(board):
    drawn = on_terminal(board, 100)
    assert qr.read(drawn) == board.links["look"].geturl()
    assert all(link.geturl() in drawn.replace("\r\n", "\n").split() for link in board.links.values())


def test_a_code_that_does_not_fit_is_not_drawn(board):
    width = len(re.search("\x1b\\[30;47m(.*?)\x1b", on_terminal(board, 100))[1])
    assert "\x1b" in on_terminal(board, width)
    narrow = on_terminal(board, width - 1)
    assert "\x1b" not in narrow and board.tokens["look"] in narrow and board.tokens["operate"] in narrow


def test_a_link_is_given_for_a_cookie(board):
    for right in ("look", "operate"):
        answer = board.post("/enter", {"token": board.tokens[right]})
        pair, *attributes = answer.header("Set-Cookie").split("; ")

        assert answer.json() == {"may": right}
        assert pair.startswith(f"gainwarden-{board.port}=")
        assert {"HttpOnly", "SameSite=Strict", "Path=/"} < set(attributes)
        assert board.tokens[right] not in pair
        assert board.get("/me", cookie=pair).json() == {"may": right}
        assert board.get("/me", cookie=f"other=1; {pair}; more=2").json() == {"may": right}


def file_of_links(keep):
    (path,) = keep.glob("*.board.json")
    return path


def test_two_tunnels_of_one_computer_keep_their_boards_apart(board):
    """RFC 6265, 8.5: cookies are not kept apart by port. Two boards at the same port of two computers are."""
    names = set()
    for host in ("localhost:8000", "localhost:8001"):
        answer = board.post("/enter", {"token": board.tokens["look"]}, host=host, origin=f"http://{host}")
        cookie = answer.header("Set-Cookie").partition(";")[0]
        names.add(cookie.partition("=")[0])
        assert board.get("/me", host=host, cookie=cookie).status == 200
    assert len(names) == 2


def test_the_files_are_their_owners(board):
    assert stat.S_IMODE(file_of_links(board.keep).stat().st_mode) == 0o600
    assert stat.S_IMODE(board.keep.stat().st_mode) == 0o700
    assert stat.S_IMODE(board.socket().stat().st_mode) == 0o600


def test_links_outlast_a_crash(tmp_path, board):
    cookie, tokens = board.enter("operate"), board.tokens
    board.watch.popen.send_signal(signal.SIGKILL)
    board.watch.popen.wait()
    harness.started.remove(board.watch)  # a signal ended it
    again = Process(harness.BUILD / "gainwarden", "watch", board.show, "--desk", board.desk.at, "--keep", board.keep,
                    f"--board=127.0.0.1:{board.port}")
    again.expect("the board is at")
    board.watch = again
    board.find()

    assert board.tokens == tokens
    assert board.get("/me", cookie=cookie).json() == {"may": "operate"}


def test_links_that_others_could_read_are_refused(tmp_path, board):
    path = file_of_links(board.keep)
    assert board.watch.stop() == 0
    words = ("watch", board.show, "--desk", board.desk.at, "--keep", board.keep, "--board=:0")
    path.chmod(0o640)
    assert run(*words).err == (f"gainwarden: {path}: others can read it, so the board's links are no secret: delete it, "
                               "and new ones are made\n")
    path.chmod(0o600)
    for text in ("{}", '{"look": "0", "operate": "1"}', f'{{"look": "{"a" * 32}", "operate": "{"a" * 32}"}}'):
        path.write_text(text)
        assert run(*words).err == (f"gainwarden: {path}: holds no links of a board: delete it, and new ones are "
                                   "made\n")
    path.unlink()
    assert Board(tmp_path).tokens != board.tokens


def test_no_secret_is_anywhere_else(tmp_path):
    """Not on the terminal, in what is kept, recorded or told, in the command line or the environment."""
    told = tmp_path / "lines.jsonl"
    board = Board(tmp_path, "--trace", "--record", tmp_path / "recording", tell={"lines": {"file": str(told)}})
    cookie = board.enter("operate")
    board.post("/enter", {"token": board.tokens["look"][:-1]})
    board.get("/?" + board.tokens["look"])
    board.post("/seen", PRESSED, cookie=cookie)
    board.move(-9)
    board.watch.expect("raised", start=board.seen)
    secrets = [*board.tokens.values(), cookie.partition("=")[2]]
    process = "".join(open(f"/proc/{board.watch.popen.pid}/{name}", errors="replace").read()
                      for name in ("cmdline", "environ"))
    assert board.watch.stop() == 0
    texts = {"out": board.watch.text(), "err": "\n".join(board.watch.err.texts()), "process": process}
    texts.update({str(path): path.read_text(errors="replace") for path in tmp_path.rglob("*")
                  if path.is_file() and path != file_of_links(board.keep)})

    assert len(texts) >= 6
    assert [(name, secret) for name, text in texts.items() for secret in secrets if secret in text] == []


# ---- what is served ----

def test_every_answer_forbids_what_it_can(board):
    cookie = board.enter("look")
    answers = [board.get(path) for path in PATHS + CLOSED + ["/none"]]
    answers += [board.get("/", host="evil.example"), board.get("/me", cookie=cookie), board.request("PUT", "/"),
                board.post("/seen", PRESSED, cookie=cookie), board.post("/enter", {"token": "x"})]
    events = Events(board, cookie)
    for answer in [*answers, events.begun]:
        policy = dict(part.split(" ", 1) for part in answer.header("Content-Security-Policy").split("; "))
        assert policy["default-src"] == "'none'" and policy["script-src"] == policy["style-src"] == "'self'"
        assert policy["frame-ancestors"] == policy["base-uri"] == policy["form-action"] == "'none'"
        assert "unsafe" not in str(policy) and "http" not in str(policy)
        assert answer.header("Cache-Control") == "no-store"
        assert answer.header("X-Content-Type-Options") == "nosniff"
        assert answer.header("Referrer-Policy") == "no-referrer"
        assert answer.header("Access-Control-Allow-Origin") is None


def test_the_page_is_served_as_it_was_built(board):
    """Its scripts as one."""
    folder = harness.ROOT / "daemon/board"
    for name, path, kind in (("board.html", "/", "text/html"), ("board.css", "/board.css", "text/css")):
        answer = board.get(path)
        assert answer.header("Content-Type") == kind + "; charset=utf-8"
        assert answer.body == (folder / name).read_bytes()
    script, parts = board.get("/board.js"), list(folder.glob("*.js"))
    lines = {line for part in parts for line in part.read_text().splitlines()}
    served = set(script.body.decode().splitlines())
    assert script.header("Content-Type") == "text/javascript; charset=utf-8"
    assert len(parts) > 1 and len(served & lines) > 0.9 * len(lines)  # each once; how they are joined is told there


def test_what_a_probe_sees(tmp_path):
    silent = MockDesk(silent=1)
    board = Board(tmp_path)
    told = board.get("/health").json()

    assert set(told) == {"alive", "desks"} and told["alive"] is True
    assert len(told["desks"]) == 1 and set(told["desks"][0]) == {"heard_s"}
    assert 0 <= told["desks"][0]["heard_s"] < 100
    assert board.get("/health", host="evil.example").status == 421
    (tmp_path / "silent").mkdir()
    watch = Process(harness.BUILD / "gainwarden", "watch", demo_show(tmp_path / "silent"), "--desk", silent.at, "--keep",
                    tmp_path / "keep", "--board=:0")
    port = int(watch.expect(r"the board is at http://127\.0\.0\.1:(\d+)/", 12)[2][1])
    board.port = port
    assert board.get("/health").json() == {"alive": True, "desks": [{"heard_s": None}]}


# ---- who is not let in ----

def test_nothing_is_shown_without_a_link(board):
    forged = [board.tokens["look"], board.tokens["operate"], "", "0" * 64]
    cookies = [None, "x=1", *(f"gainwarden-{board.port}={value}" for value in forged)]
    real = board.enter("operate")
    cookies += [real[:-1], real + "0", real.upper(), real.replace(str(board.port), "1", 1), real.replace("=", "", 1)]
    for path, cookie in itertools.product(CLOSED, cookies):
        answer = board.get(path, cookie=cookie)
        assert (answer.status, answer.json()) == (403, {"error": "open a link of `gainwarden board SHOW` first"}), cookie
    for path, cookie in itertools.product(BUTTONS, cookies):
        assert board.post(path, PRESSED, cookie=cookie).status == 403, cookie
    assert board.get("/me", cookie=real).status == 200


def test_a_link_to_look_presses_nothing(board):
    look, operate = board.enter("look"), board.enter("operate")
    for path in BUTTONS:
        answer = board.post(path, PRESSED, cookie=look)
        assert (answer.status, answer.json()) == (
            403, {"error": "this link only looks; the buttons want the other one"})
        assert board.post(path, PRESSED, cookie=operate).status not in (200, 403)


def test_guesses_fail_late_and_hold_nobody_up(board):
    """Bodies of all kinds. Each is told a second late, and meanwhile who has the link comes in."""
    token = board.tokens["look"]
    guesses = [b"", b"{}", b"[]", b"null", b"\0", b"{", token.encode(), b'{"token": 1}', b'{"token": null}',
               *(f'{{"token": {value}}}'.encode() for value in (
                   '""', f'"{token[:-1]}"', f'"{token}0"', f'"{token.upper()}"', f'"{token}\\u0000"', f'["{token}"]',
                   f'"{token}", "token": "x"', f'"{"0" * 32}"'))]
    begun = time.monotonic()
    waiting = []
    for at, guess in enumerate(guesses):
        connection = Connection(board, f"127.0.0.{2 + at // 8}")
        connection.send(board.head("POST", "/enter", origin=ORIGINS, length=len(guess)) + guess)
        waiting.append(connection)
    assert board.get("/me", cookie=board.enter("look")).status == 200
    answers = [connection.answer() for connection in waiting]

    assert [answer.status for answer in answers] == [403] * len(guesses)
    assert time.monotonic() - begun >= 1
    assert [answer.header("Set-Cookie") for answer in answers] == [None] * len(guesses)


def test_who_guesses_and_goes_is_forgotten(board):
    for _ in range(3):
        for _ in range(8):
            connection = Connection(board)
            connection.send(board.head("POST", "/enter", origin=ORIGINS, length=2) + b"{}")
            connection.close()
        until(board.serves)
    assert board.lives() and board.watch.stop() == 0


def test_a_watch_ends_while_a_guess_waits(board):
    connection = Connection(board)
    connection.send(board.head("POST", "/enter", origin=ORIGINS, length=2) + b"{}")
    events = Events(board, board.enter("look"))
    events.event("facts")
    assert board.watch.stop() == 0
    connection.to_end()
    events.to_end()


HOSTS = ["evil.example", "evil.example:{port}", "127.0.0.1.evil.example:{port}", "127.0.0.2:{port}", "192.0.2.1:{port}",
         "0.0.0.0:{port}", "[::]:{port}", "[::ffff:192.0.2.1]:{port}", "2130706433:{port}", "0x7f000001:{port}x", "127.1:{port}",
         "localhost.evil.example:{port}", "localhost.:{port}", "user@127.0.0.1:{port}", "127.0.0.1:{port}:1",
         "127.0.0.1:", "127.0.0.1:port", "127.0.0.1:999999", "[127.0.0.1]:{port}", "::1", "[::1", "[]:{port}", ":{port}",
         "127.0.0.1:{port}/", "127.0.0.1:{port}, evil.example", "a" * 300]
OWN = {"127.0.0.2"}  # of this computer, too: what comes in at loopback is its own


def test_another_name_is_not_served(board):
    cookie = board.enter("operate")
    for host in HOSTS:
        host = host.format(port=board.port)
        expected = 200 if host.partition(":")[0] in OWN else 421
        for path in ("/", "/health", "/me"):
            answer = board.get(path, host=host, cookie=cookie)
            assert answer.status == expected, host
            assert expected == 200 or "alive" not in answer.body.decode()
        assert board.post("/seen", PRESSED, host=host, cookie=cookie).status in (403, 421)


def test_a_request_names_one_host(board):
    own = f"127.0.0.1:{board.port}"
    assert board.get("/", host="").status == 400
    for more in ([("Host", own)], [("Host", "evil.example")], [("host", own)]):
        assert board.get("/", more=more).status in (400, 421)
    for host in (own, f"localhost:{board.port}", f"LocalHost:{board.port}", "localhost:8000", "[::1]:8000"):
        assert board.get("/", host=host).status == 200, host  # the last are a tunnel's other end


ELSEWHERE = [None, "", "null", "http://evil.example", "https://127.0.0.1:{port}", "http://127.0.0.1", "http://127.0.0.1:1",
             "http://localhost:{port}", "http://127.0.0.1:{port}/", "http://127.0.0.1:{port}.evil.example",
             "http://127.0.0.1:{port} http://evil.example", "127.0.0.1:{port}"]


def test_another_page_posts_nothing(board):
    for path in ("/enter", *BUTTONS):
        another_page_posts_nothing(board, path)


def another_page_posts_nothing(board, path):
    cookie = board.enter("operate")
    body = {"token": board.tokens["operate"], **PRESSED}
    for origin in ELSEWHERE:
        answer = board.post(path, body, cookie=cookie, origin=origin and origin.format(port=board.port))
        assert (answer.status, answer.json()) == (403, {"error": "only the board's own page may ask this"}), origin
    own = f"http://127.0.0.1:{board.port}"
    assert board.post(path, body, cookie=cookie, more=[("Origin", own)]).status == 403  # twice
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "", "application/jsonx"):
        assert board.post(path, body, cookie=cookie, kind=kind).status == 403, kind
    assert board.post(path, body, cookie=cookie).status != 403


def test_only_what_is_meant_to_be_asked(board):
    cookie = board.enter("operate")
    for method in ("HEAD", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "get", "PROPFIND"):
        for path in PATHS + CLOSED:
            answer = board.request(method, path, cookie=cookie)
            assert answer.status == 405 and answer.header("Allow") == "GET", (method, path)
            assert answer.body == b"" or "error" in answer.json()
    for path in ("/enter", *BUTTONS):
        assert board.get(path, cookie=cookie).status == 405


TRICKS = ["/../board.js", "/./board.js", "//board.js", "/board.js/", "/board.js/..", "/%62oard.js", "/board.js%00",
          "/board.js%00.css", "/BOARD.JS", "/board.js;x", "/%2e%2e/%2e%2e/etc/passwd", "/../../../../etc/passwd",
          "/..%2f..%2fetc%2fpasswd", "/\\..\\board.js", "/.git/config", "/me/", "/me%3f", "/events/", "board.js", "*", "/%",
          "/health%20", "/\xff", "/" + "a" * 8000]


def test_a_path_is_itself_or_nothing(board):
    cookie = board.enter("look")
    for path in TRICKS:
        answer = board.get(path, cookie=cookie)
        assert answer.status in (400, 404), path
        assert b"root:" not in answer.body


NO_MIX = ["", "?desk=0", "?mix=1", "?desk=-1&mix=1", "?desk=0&mix=0", "?desk=0x0&mix=1", "?desk=1e0&mix=1",
          "?desk=0&mix=99999999999999999999", "?desk=0&mix=%31", "?desk=9&mix=1", "?desk=0&mix=9", "?desk=%200&mix=1"]


def test_a_mix_that_is_none(board):
    cookie = board.enter("look")
    for asked in NO_MIX:
        assert board.get("/mix" + asked, cookie=cookie).status == 404, asked
    assert board.get("/mix?desk=0&mix=8", cookie=cookie).json()["mix"] == 8


def test_a_press_that_is_none(board):
    cookie = board.enter("operate")
    for path, body in itertools.product(BUTTONS, (b"", b"{", b"[]", b"\xff\xfe", b'{"desk": 0}', {**PRESSED, "who": ""}, {**PRESSED, "who": "x" * 61},
                 {**PRESSED, "who": "Mo\nMo"}, {**PRESSED, "who": "\x7f"}, {**PRESSED, "who": 7},
                 {**PRESSED, "finding": ""}, {**PRESSED, "finding": "x" * 201}, {**PRESSED, "finding": "\x1b[2J"},
                 {**PRESSED, "desk": -1}, {**PRESSED, "desk": "0"}, {**PRESSED, "desk": 1e300})):
        answer = board.post(path, body, cookie=cookie)
        assert answer.status == 400 and answer.json()["error"], body
    for path, desk in itertools.product(BUTTONS, (0, 999)):
        assert board.post(path, {**PRESSED, "desk": desk}, cookie=cookie).status == 422


# ---- too much, too slow, too many ----

def test_too_much_is_not_read(board):
    cookie = board.enter("operate")
    assert board.post("/seen", b"x" * 1024, cookie=cookie).status == 413
    assert board.request("POST", "/seen", origin=ORIGINS, length=1 << 60, cookie=cookie).status == 413
    assert board.request("POST", "/seen", origin=ORIGINS, cookie=cookie, kind=None,
                         more=[("Transfer-Encoding", "chunked"), ("Content-Type", "application/json")]).status == 411
    for more in ([("X", "y" * 100_000)], [(f"X{number}", "y") for number in range(5000)],
                 [("Cookie", "; ".join(f"a{number}=b" for number in range(9000)))]):
        connection = Connection(board)
        with contextlib.suppress(ConnectionError):
            connection.send(board.head("GET", "/health", more=more))
        with contextlib.suppress(AssertionError):  # it ended without an answer
            assert connection.answer().status in (400, 413, 431)
        connection.close()
    assert board.get("/health").status == 200 and board.lives()


def dribble(connection, data):
    """A byte a while, of the data and then on, until the other side ends it."""
    connection.socket.setblocking(False)
    for byte in itertools.chain(data, itertools.repeat(ord("x"))):
        time.sleep(0.25)
        with contextlib.suppress(ConnectionError):
            connection.send(bytes([byte]))
        with contextlib.suppress(BlockingIOError):
            if not connection.read():
                return


def test_a_request_has_its_time_and_no_more(board):
    """However it is drawn out, it is ended: nothing said, half a head, half a body, and a byte a while."""
    slow = [Connection(board) for _ in range(3)]
    begun = time.monotonic()
    slow[1].send(b"GET / HTTP/1.1\r\nHost: x")
    slow[2].send(board.head("POST", "/enter", origin=ORIGINS, length=100) + b"{")
    dribbling = Connection(board)
    dribble(dribbling, board.head("GET", "/health")[:-2])
    for connection in slow:
        connection.to_end()
    assert time.monotonic() - begun > 9
    assert [connection.came for connection in [*slow, dribbling]] == [b""] * 4
    assert board.lives()


def test_what_comes_behind_a_request_is_not_read(board):
    """One connection, one request: what is pipelined behind it (RFC 9112, 9.3.2) was sent for nothing."""
    connection = Connection(board)
    connection.send(b"".join(board.head("GET", path) for path in ("/health", "/", "/none") * 5))
    answer = connection.answer()
    assert (answer.status, answer.header("Connection")) == (200, "close") and "alive" in answer.json()
    assert connection.to_end() == b""
    assert board.serves()


def test_loading_the_page_again_and_again_takes_no_place(board):
    """Three streams of one address, and the page five times, its files at once, from who would keep connections."""
    cookie = board.enter("look")
    streams = [Events(board, cookie) for _ in range(3)]
    for _ in range(5):
        loading = [Connection(board) for _ in range(5)]
        for connection, path in zip(loading, ("/", "/board.css", "/board.js", "/me", "/health")):
            connection.send(board.head("GET", path, cookie=cookie, more=[("Connection", "keep-alive")]))
        assert [connection.answer().status for connection in loading] == [200] * 5
    for stream in streams:
        stream.event("beat")


def test_rubbish(board):
    """Drawn at random: bytes, and requests with bytes changed, dropped and doubled, several in one go."""
    cookie = board.enter("operate")
    good = [board.head("GET", "/health"), board.head("GET", "/me", cookie=cookie),
            board.head("POST", "/seen", origin=ORIGINS, cookie=cookie, length=2) + b"{}"]
    for number in range(harness.rounds(60, 3000)):
        data = bytearray(b"".join(random.choices(good, k=random.randint(1, 4))))
        if number % 4 == 0:
            data = bytearray(random.randbytes(random.randint(1, 5000)))
        for _ in range(random.randint(0, 5)):
            at = random.randrange(len(data))
            data[at:at + random.randint(0, 3)] = random.randbytes(random.randint(0, 3))
        connection = Connection(board, f"127.0.0.{2 + number % 50}")
        with contextlib.suppress(ConnectionError):
            connection.send(bytes(data))
        connection.close()
    until(board.serves)
    assert board.lives() and board.watch.stop() == 0


NO_ROOM = {"error": "so many look at the board already as can at once; close one and try again"}


def test_the_ninth_of_one_address_is_told_so(board):
    cookie = board.enter("look")
    held = [Events(board, cookie, source="127.0.0.2") for _ in range(8)]
    for stream in held:
        stream.event("facts")
    for _ in range(3):
        answer = board.get("/", source="127.0.0.2")
        assert (answer.status, answer.json(), answer.header("Connection")) == (503, NO_ROOM, "close")
    assert board.get("/", source="127.0.0.3").status == 200
    held.pop().close()
    until(lambda: board.serves(source="127.0.0.2"))
    for stream in held:  # nobody lost his place
        stream.event("beat")


def test_the_65th_is_told_so(board):
    cookie = board.enter("look")
    held = [Events(board, cookie, source=f"127.0.0.{2 + number // 8}") for number in range(64)]
    for stream in held:
        stream.event("facts")
    for _ in range(20):  # of those, too, some at once
        assert board.get("/", source="127.0.0.20").json() == NO_ROOM
    waiting = [Connection(board, "127.0.0.21") for _ in range(40)]  # and say nothing
    for stream in held:
        stream.event("beat")
    for connection in waiting:
        assert connection.to_end() == b""  # nobody asked anything
    held.pop().close()
    until(lambda: board.serves(source="127.0.0.20"))
    board.move(-9)
    board.watch.expect("raised", start=board.seen)
    assert board.watch.stop() == 0


def is_shut_out(board, source):
    """Whether somebody who has had his places and is told so twice is, thirdly, not let in: unheard."""
    told = [Connection(board, source) for _ in range(2)]  # each for two seconds, or until it asks
    third = Connection(board, source)
    try:
        third.send(board.head("GET", "/"))
        shut_out = third.to_end() == b""
    except OSError:
        shut_out = True
    for connection in [*told, third]:
        connection.close()
    return shut_out


def test_who_knocks_and_knocks_takes_nothing_from_others(board):
    cookie = board.enter("look")
    held = [Events(board, cookie, source="127.0.0.2") for _ in range(8)]
    until(lambda: is_shut_out(board, "127.0.0.2"))
    assert board.get("/", source="127.0.0.3").status == 200
    for stream in held:
        stream.event("beat")


# ---- the stream ----

def test_what_changes_is_sent(board):
    events = Events(board, board.enter("look"))
    assert (events.begun.status, events.begun.header("Content-Type")) == (200, "text/event-stream")
    first = events.event()
    assert (first["event"], first["data"]["version"]) == ("facts", 1)
    board.move(-9)
    second = events.event("facts")
    assert int(second["id"]) > int(first["id"])
    beat = events.event("beat")["data"]
    assert set(beat) == {"at_ms", "heard"} and abs(beat["at_ms"] / 1000 - time.time()) < 100
    (heard,) = beat["heard"]
    assert heard["lost"] is False and heard["heard_ms"] >= 0


def test_what_is_no_news_is_sent_too(board):
    """A figure that grows by little raises nothing, and no figure on a tablet is an old one."""
    board.move(-9)
    board.watch.expect("raised", start=board.seen)
    events = Events(board, board.enter("look"))
    for db in (-9.5, -10, -10.5):
        board.move(db)
        until(lambda: f"{db:g} dB" in [one["figure"] for one in events.event("facts")["data"]["desks"][0]["now"]])


def test_who_comes_later_gets_what_is(board):
    """Also what changed while nobody looked."""
    cookie = board.enter("look")
    events = Events(board, cookie)
    first = events.event("facts")
    events.close()
    board.move(-9)
    board.watch.expect("raised", start=board.seen)
    again = Events(board, cookie).event("facts")
    assert int(again["id"]) > int(first["id"])
    assert again["data"]["at_ms"] >= first["data"]["at_ms"]


def test_labels_break_no_line_of_the_stream(board):
    """Whatever is sent, an event is its three lines."""
    events = Events(board, board.enter("look"))
    events.event("facts")
    for label in ("\n\nevent: evil\ndata: {}\n\n", "\r\rdata: x", "</script><script>", "\u2028\u2029", "\0x", "\x1b[2J"):
        board.desk.move("/in/1/name", "s", label.replace("\0", ""))
        event = events.event()
        assert event["event"] in ("facts", "beat") and set(event) <= {"event", "id", "data"}


def test_who_opens_the_board_later_gets_no_beat_of_before(board):
    """Nobody looked for a while: what comes on a new stream is never older than what came on it before."""
    cookie = board.enter("look")
    before = Events(board, cookie)
    before.event("beat")
    before.close()
    time.sleep(4)  # longer than a page believes
    events = Events(board, cookie)
    at_ms = [events.event()["data"]["at_ms"] for _ in range(3)]
    assert at_ms == sorted(at_ms)


@pytest.mark.limit(60)
def test_who_takes_nothing_is_cut_and_holds_nobody_up(board):
    """One never reads what he asked for; another, beside him, gets everything, until the first is gone, and on."""
    cookie = board.enter("look")
    stuck = Connection(board, "127.0.0.2", receive=2304)
    stuck.send(board.head("GET", "/events", cookie=cookie))
    reader = Events(board, cookie)
    reader.event("facts")
    for number in itertools.count():
        board.move(0 if number % 2 else -9)
        reader.event("facts")
        if number > 20 and not board.holds(stuck):
            break
    for number in range(20):
        board.move(0 if number % 2 else -9)
        reader.event("facts")
    assert board.lives() and board.watch.stop() == 0
