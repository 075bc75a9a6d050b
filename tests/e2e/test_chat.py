"""Messages to a chat hook: the watch posts what it tells, keeps what a hook does not take, never waits
for it, and never shows where it is.
"""
import email.utils
import json
import re
import signal
import subprocess
import time

import pytest

import osc
from harness import MockChat, MockDesk, begin_watch, demo_show, fader_wire, notes, run, until
from test_watch import scene

VARIABLE = "GAINWARDEN_CHAT_URL"
DRUM_FILL = "/mix/6/fader"


class Watched:
    """A desk, a hook and a watch between them."""

    def __init__(self, folder, *words, url=None, chat=None, hook=True, desk=None):
        self.desk = desk or MockDesk()
        self.hook = MockChat(folder / "chat.jsonl", *words) if hook else None
        self.url = url or self.hook.url
        show = demo_show(folder, tell={"chat": {"url_env": VARIABLE, **(chat or {})}})
        self.watch, self.seen = begin_watch(self.desk, "--still-every", "0", show=show,
                                            env={VARIABLE: self.url})

    def told(self):
        """The lines on the terminal since the first page, those about the hook apart."""
        lines = notes(self.watch, self.seen)
        return ([line for line in lines if not line.startswith("chat: ")],
                [line for line in lines if line.startswith("chat: ")])

    def move(self, db, address=DRUM_FILL):
        """Moves the drum-fill's master, and returns how long the terminal took to say so."""
        start, begun = self.watch.out.count(), time.monotonic()
        self.desk.move(address, "f", fader_wire(db))
        word = "cleared" if db == 0 else "raised|worse"
        _, at, _ = self.watch.expect(rf"({word}) .*\[master-off-unity\] mix 6 ", 5, start)
        return at - begun

    def line(self, start):
        """The last line on the terminal that begins so, as the hook is to get it."""
        return [line for line in self.told()[0] if line.startswith(start)][-1]

    def stop(self, number=signal.SIGINT, timeout=5):
        """Ends the watch; the hook's address is searched for in all that it said."""
        begun = time.monotonic()
        assert self.watch.stop(number, timeout) == 0
        keeps_secret(self.watch.text() + "\n".join(self.watch.err.texts()))
        return time.monotonic() - begun


def keeps_secret(text):
    assert MockChat.SECRET not in text
    assert "token" not in text


def when(record):
    """Seconds of the day at which the hook got it."""
    hours, minutes, seconds = re.search(r"T(\d\d):(\d\d):([\d.]+)Z", record["time"]).groups()
    return int(hours) * 3600 + int(minutes) * 60 + float(seconds)


def gaps(records):
    times = [when(record) for record in records]
    return [(later - earlier) % 86400 for earlier, later in zip(times, times[1:])]


# ---- what is posted ----

def test_default_body(tmp_path):
    watched = Watched(tmp_path)
    watched.move(-7)
    watched.move(0)
    watched.hook.wait_for(3)
    watched.stop()
    records = watched.hook.wait_for(4)

    assert all((one["method"], one["path"], one["content_type"]) ==
               ("POST", "/" + MockChat.SECRET, "application/json") for one in records)
    assert all(list(json.loads(one["body"])) == ["text"] for one in records)
    first, raised, cleared, stopped = watched.hook.texts()
    assert re.fullmatch(r"Lantern Yard, Saturday: watching: \d+ to stop for, \d+ to fix, \d+ to know, "
                        r"0 not known", first)
    assert raised == "Lantern Yard, Saturday: " + watched.line("raised fix [master-off-unity]")
    assert cleared == "Lantern Yard, Saturday: " + watched.line("cleared [master-off-unity]")
    assert stopped == "Lantern Yard, Saturday: " + watched.line("stopped watching after")
    assert watched.told()[1] == []


def test_template_body(tmp_path):
    body = {"blocks": [{"kind": "section", "text": {"plain": "<< ${text} >> and again ${text}"}},
                       {"${text}": [1, 2.5, None, True, "no place here", "$text {text} ${other}"]}],
            "channel": "stage", "urgent": False}
    watched = Watched(tmp_path, chat={"body": body})
    watched.move(-7)
    watched.hook.wait_for(2)
    watched.stop()
    text = "Lantern Yard, Saturday: " + watched.line("raised fix")
    posted = json.loads(watched.hook.records()[1]["body"])

    body["blocks"][0]["text"]["plain"] = f"<< {text} >> and again {text}"
    assert posted == body  # and so are keys, numbers and other texts as they were


@pytest.mark.parametrize("body", ["${text}", ["${text}"], "!"], ids=str)
def test_a_template_may_be_any_json(tmp_path, body):
    watched = Watched(tmp_path, chat={"body": body})
    (record,) = watched.hook.wait_for(1)
    watched.stop()
    posted = json.loads(record["body"])

    assert type(posted) is type(body)
    assert ("watching: " in str(posted)) == ("${text}" in body)


def test_words_from_the_desk_stay_words(tmp_path):
    """Quotes, a backslash, letters of other tongues, and a placeholder in a label."""
    watched = Watched(tmp_path, chat={"body": {"a": "${text}", "b": ["${text}"]}})
    label = 'D"r\\um ${text} größe 太鼓'
    watched.desk.move("/mix/6/name", "s", label)
    watched.move(-7)
    watched.hook.wait_for(2)
    watched.stop()
    posted = json.loads(watched.hook.records()[1]["body"])

    assert f"mix 6 {label}" in posted["a"]
    assert posted["b"] == [posted["a"]]


@pytest.mark.parametrize("weight, expected", [
    ("note", ["raised note", "worse fix", "cleared"]),
    ("fix", ["worse fix", "cleared"]),
    (None, ["worse fix", "cleared"]),
    ("stop", [])])
def test_from_weight(tmp_path, weight, expected):
    watched = Watched(tmp_path, chat={"from_weight": weight} if weight else {})
    for db in (-2, -7, 0):
        watched.move(db)
    watched.move(-2)
    watched.move(0)  # a note that comes and goes: for those only who asked for notes
    watched.stop()
    texts = watched.hook.texts()
    ours = [text for text in texts if "master-off-unity" in text]

    assert "watching: " in texts[0] and "stopped watching" in texts[-1]
    if weight == "note":
        expected = expected + ["raised note", "cleared"]
    assert [re.search("raised note|worse fix|cleared", text)[0] for text in ours] == expected


def test_a_scene_recall_is_one_message(tmp_path):
    watched = Watched(tmp_path, desk=MockDesk(bundle=500))
    watched.desk.send(osc.bundle(*scene()))
    watched.hook.wait_for(2)
    time.sleep(0.3)
    watched.stop()
    texts = [text for text in watched.hook.texts() if "raised" in text]

    assert len(texts) == 1
    lines = texts[0].splitlines()
    assert len(lines) == 10
    assert re.fullmatch(r"and \d+ more at the same moment", lines[9])


@pytest.mark.limit(30)
def test_a_lost_desk_is_told(tmp_path):
    watched = Watched(tmp_path)
    watched.desk.rig("silent", 1)
    watched.watch.expect("lost the desk", 10)
    watched.desk.rig("silent", 0)
    watched.watch.expect("the desk was read again", 5)
    watched.hook.wait_for(3)
    watched.stop()
    texts = watched.hook.texts()

    assert "lost the desk: nothing heard for 5 s (no answer)" in texts[1]
    assert "the desk is back after" in texts[2]


# ---- hooks that do not take it ----

def test_429_with_a_wait_in_seconds(tmp_path):
    """The wait is honoured, nothing is lost, and what came meanwhile follows in order."""
    watched = Watched(tmp_path, "--answer", 429, "--times", 2, "--retry-after", "1")
    watched.move(-7)
    watched.move(0)
    records = watched.hook.wait_for(5)
    watched.stop()
    texts = watched.hook.texts()

    assert "watching: " in texts[0] and texts[0] == texts[1] == texts[2]
    assert "raised fix" in texts[3] and "cleared" in texts[4]
    first, second = gaps(records)[:2]
    assert 1 <= first < 1.6 and 1 <= second < 1.6
    assert watched.told()[1] == ["chat: a message was not delivered, it is tried again (the hook "
                                 "answered 429)", "chat: messages are delivered again"]


def test_429_with_a_date(tmp_path):
    """The other form of the header; a date has whole seconds."""
    date = email.utils.formatdate(time.time() + 3.99, usegmt=True)
    watched = Watched(tmp_path, "--answer", 429, "--times", 1, "--retry-after", date)
    records = watched.hook.wait_for(2)
    watched.stop()

    # what is left of it when the hook is asked; without the header it would be 1 to 1.25 s
    assert 1.6 < gaps(records)[0] < 4.6


@pytest.mark.parametrize("status, times", [(500, 2), (503, 1), (408, 1)])
def test_a_hook_in_trouble_is_tried_again(tmp_path, status, times):
    """After 1 s, then 2 s, each up to a quarter longer."""
    watched = Watched(tmp_path, "--answer", status, "--times", times)
    records = watched.hook.wait_for(times + 1)
    watched.watch.expect("chat: messages are delivered again")
    watched.stop()

    waits = gaps(records)[:times]
    assert all(wait <= gap < 1.25 * wait + 0.3 for wait, gap in zip((1, 2), waits)), waits
    assert watched.told()[1] == ["chat: a message was not delivered, it is tried again (the hook "
                                 f"answered {status})", "chat: messages are delivered again"]


@pytest.mark.parametrize("status", [404, 413])
def test_a_hook_that_does_not_want_it_is_given_up_on(tmp_path, status):
    watched = Watched(tmp_path, "--answer", status)
    watched.watch.expect("chat: ")
    time.sleep(1.5)  # longer than the wait before a second try
    watched.stop()
    texts = watched.hook.texts()

    assert len([text for text in texts if "watching: " in text and "stopped" not in text]) == 1
    assert watched.told()[1][0] == ("chat: a message was not delivered and is given up (the hook "
                                    f"answered {status})")


def test_a_hook_that_is_gone_is_told_once(tmp_path):
    """Each message is still offered, but the terminal has heard of the 404."""
    watched = Watched(tmp_path, "--answer", 404)
    for _ in range(3):
        watched.move(-7)
        watched.move(0)
    watched.hook.wait_for(7)
    watched.stop()

    assert len(watched.told()[1]) == 1


def test_a_hook_that_hangs_delays_nothing(tmp_path):
    watched = Watched(tmp_path, "--hang", 60)
    watched.hook.wait_for(1)
    late = [watched.move(db) for _ in range(5) for db in (-7, 0)]
    took = watched.stop()

    assert max(late) < 0.5
    assert took < 4  # it is given two seconds for the last words
    assert len(watched.hook.records()) == 1
    assert watched.told()[1] == []


def test_a_hook_that_hangs_may_be_left_at_once(tmp_path):
    """The second Ctrl-C does not wait for last words."""
    watched = Watched(tmp_path, "--hang", 60)
    watched.hook.wait_for(1)
    watched.watch.popen.send_signal(signal.SIGINT)
    watched.watch.expect("stopped watching")

    assert watched.stop() < 1


def test_a_hook_that_closes(tmp_path):
    watched = Watched(tmp_path, "--close", 1, "--times", 1)
    late = [watched.move(db) for db in (-7, 0)]
    watched.hook.wait_for(4)
    watched.stop()
    texts = watched.hook.texts()

    assert max(late) < 0.5
    assert texts[0] == texts[1] and "watching: " in texts[0]
    trouble, well = watched.told()[1]
    assert re.fullmatch(r"chat: a message was not delivered, it is tried again \([\w ,()]+\)", trouble)
    assert well == "chat: messages are delivered again"


def test_nobody_at_the_hook(tmp_path):
    hook = MockChat(tmp_path / "gone.jsonl")
    assert hook.stop() == 0
    watched = Watched(tmp_path, url=hook.url, hook=False)
    watched.watch.expect(r"chat: a message was not delivered, it is tried again")
    late = [watched.move(db) for db in (-7, 0, -7)]
    took = watched.stop()

    assert max(late) < 0.5
    assert took < 4
    assert len(watched.told()[1]) == 1


def test_a_hook_whose_host_does_not_resolve(tmp_path):
    watched = Watched(tmp_path, hook=False,
                      url=f"https://{MockChat.SECRET}.invalid/{MockChat.SECRET}?token=1")
    watched.watch.expect(r"chat: a message was not delivered, it is tried again", 15)
    late = [watched.move(db) for db in (-7, 0)]
    watched.stop(timeout=15)

    assert max(late) < 0.5


def test_what_is_kept_is_bounded(tmp_path):
    """While the hook takes nothing, more comes than is kept: the oldest of those that wait are
    dropped, which the next one says, and the latest are there."""
    hook = MockChat(tmp_path / "stopped.jsonl")
    hook.popen.send_signal(signal.SIGSTOP)
    watched = Watched(tmp_path, hook=False, url=hook.url)
    for _ in range(35):
        watched.move(-7)
        watched.move(0)
    told, _ = watched.told()
    hook.popen.send_signal(signal.SIGCONT)
    hook.wait_for(64)
    until(lambda: told[-1] in hook.texts()[-1], what="the last message")
    texts = [text.removeprefix("Lantern Yard, Saturday: ") for text in hook.texts()]
    watched.stop()

    assert len(told) == 70
    assert len(texts) == 64  # the one that hung, and 63 of the 70
    assert "watching: " in texts[0]
    assert texts[1] == "(7 older messages were dropped) Lantern Yard, Saturday: " + told[7]
    assert texts[2:] == told[8:]


# ---- https ----

def openssl(folder, *words):
    subprocess.run(["openssl", *words], cwd=folder, check=True, timeout=15, capture_output=True)


@pytest.fixture(scope="module")
def certificates(tmp_path_factory):
    """An authority of the test's own, and certificates it gives: for this host and for another."""
    folder = tmp_path_factory.mktemp("certificates")
    openssl(folder, "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1",
            "-nodes", "-days", "2", "-subj", "/CN=Test authority", "-keyout", "ca.key", "-out", "ca.pem",
            "-addext", "basicConstraints=critical,CA:TRUE", "-addext", "keyUsage=critical,keyCertSign")
    for name, alternative in (("here", "IP:127.0.0.1,DNS:localhost"), ("there", "DNS:hook.example")):
        openssl(folder, "req", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes",
                "-subj", f"/CN={name}", "-keyout", f"{name}.key", "-out", f"{name}.csr")
        (folder / f"{name}.cnf").write_text(f"subjectAltName={alternative}\n")
        openssl(folder, "x509", "-req", "-in", f"{name}.csr", "-CA", "ca.pem", "-CAkey", "ca.key",
                "-CAcreateserial", "-days", "2", "-extfile", f"{name}.cnf", "-out", f"{name}.pem")
    return folder


def serve_tls(certificates, name):
    return "--cert", certificates / f"{name}.pem", "--key", certificates / f"{name}.key"


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost"])
def test_https_with_the_authority_named(tmp_path, certificates, host):
    hook = MockChat(tmp_path / "tls.jsonl", *serve_tls(certificates, "here"), host=host)
    watched = Watched(tmp_path, hook=False, url=hook.url, chat={"ca_file": str(certificates / "ca.pem")})
    watched.move(-7)
    hook.wait_for(2)
    watched.stop()

    assert hook.url.startswith(f"https://{host}:")
    assert "raised fix" in hook.texts()[1]
    assert watched.told()[1] == []


@pytest.mark.parametrize("name, ca", [("here", None), ("there", "ca.pem"), ("here", "there.pem")],
                         ids=["unknown authority", "another host", "another authority"])
def test_https_that_cannot_be_verified(tmp_path, certificates, name, ca):
    hook = MockChat(tmp_path / "tls.jsonl", *serve_tls(certificates, name))
    watched = Watched(tmp_path, hook=False, url=hook.url,
                      chat={"ca_file": str(certificates / ca)} if ca else {})
    watched.watch.expect(r"chat: a message was not delivered, it is tried again \(.*(certificate|SSL)")
    watched.move(-7)
    watched.stop()

    assert hook.records() == []  # not a byte of it


def test_http_to_a_hook_that_speaks_https(tmp_path, certificates):
    hook = MockChat(tmp_path / "tls.jsonl", *serve_tls(certificates, "here"))
    watched = Watched(tmp_path, hook=False, url=hook.url.replace("https", "http"))
    watched.watch.expect("chat: a message was not delivered")
    watched.stop()

    assert hook.records() == []


def test_a_certificate_file_relative_to_the_show_file(tmp_path, certificates):
    hook = MockChat(tmp_path / "tls.jsonl", *serve_tls(certificates, "here"))
    (tmp_path / "own-ca.pem").write_text((certificates / "ca.pem").read_text())
    watched = Watched(tmp_path, hook=False, url=hook.url, chat={"ca_file": "own-ca.pem"})
    hook.wait_for(1)
    watched.stop()


# ---- settings that cannot be used ----

def refused_watch(tmp_path, env, chat=None):
    desk = MockDesk(log=tmp_path / "log")
    show = demo_show(tmp_path, tell={"chat": {"url_env": VARIABLE, **(chat or {})}})
    result = run("watch", show, "--desk", desk.at, env=env)

    assert result.status == 2
    assert result.out == ""
    assert desk.heard() == []  # the desk was not even asked
    keeps_secret(result.err)
    return result.err


@pytest.mark.parametrize("env", [{}, {VARIABLE: ""}])
def test_the_variable_is_not_set(tmp_path, env):
    assert refused_watch(tmp_path, env) == (
        f"gainwarden: tell.chat.url_env: the environment variable {VARIABLE} is not set\n")


@pytest.mark.parametrize("url", [
    MockChat.SECRET, f"ftp://127.0.0.1/{MockChat.SECRET}", f"file:///{MockChat.SECRET}",
    "http://", f"https://[::1/{MockChat.SECRET}", f"http:// {MockChat.SECRET}"])
def test_the_variable_holds_no_address(tmp_path, url):
    assert refused_watch(tmp_path, {VARIABLE: url}) == (
        f"gainwarden: tell.chat.url_env: the environment variable {VARIABLE} holds no http:// or "
        "https:// address\n")


def test_the_certificates_cannot_be_read(tmp_path):
    err = refused_watch(tmp_path, {VARIABLE: f"https://127.0.0.1:9/{MockChat.SECRET}"},
                        {"ca_file": "gone.pem"})

    assert err == f"gainwarden: {tmp_path}/gone.pem: cannot read: No such file or directory\n"


@pytest.mark.parametrize("chat, what", [
    ({"url": f"http://127.0.0.1/{MockChat.SECRET}"},
     ["tell.chat.url: unknown key", "tell.chat.url_env: is missing; it must be a string"]),
    ({"url_env": VARIABLE, "from_weight": "loud"},
     ['tell.chat.from_weight: is "loud"; allowed are "note", "fix" and "stop"']),
    ({"url_env": 3}, ["tell.chat.url_env: is a number, must be a string"]),
])
def test_settings_that_are_wrong(tmp_path, chat, what):
    """An address in the show file is refused, and not repeated."""
    show = demo_show(tmp_path, tell={"chat": chat})
    result = run("check", show)

    assert result.err.splitlines() == [f"gainwarden: {show}: {line}" for line in what]
    assert result.status == 2
    keeps_secret(result.err + result.out)


def test_audit_and_check_need_no_hook(tmp_path):
    """Only the watch tells; the others run where the secret is not."""
    show = demo_show(tmp_path, tell={"chat": {"url_env": VARIABLE}})

    assert run("check", show).status == 0
    assert run("audit", show, "--desk", MockDesk().at).status == 1
