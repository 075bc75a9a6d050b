# SPDX-License-Identifier: MIT
"""Messages to a chat hook: the watch posts what it tells, keeps what a hook does not take, never waits
for it, and never shows where it is.
"""
import email.utils
import json
import re
import signal
import socket
import subprocess
import time

import pytest

import osc
from harness import (MockChat, MockDesk, begin_watch, fader_wire, flat, goal, notes, own_port, run, show_at_once, until)
from test_watch import scene

VARIABLE = "GAINWARDEN_CHAT_URL"
DRUM_FILL = "/mix/6/fader"


class Watched:
    """A desk, a hook and a watch between them."""

    def __init__(self, folder, *words, url=None, chat=None, hook=True, desk=None, options=(),
                 **changes):
        self.desk = desk or MockDesk()
        self.hook = MockChat(folder / "chat.jsonl", *words) if hook else None
        self.url = url or self.hook.url
        self.show = show_at_once(folder, tell={"chat": {"url_env": VARIABLE, **(chat or {})}}, **changes)
        self.env = {VARIABLE: self.url}
        self.watch, self.seen = begin_watch(self.desk, "--still-every", "0", *options, show=self.show,
                                            env=self.env)

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
    assert re.fullmatch(r"Ostrel Barn, Saturday: watching: \d+ stop, \d+ fix, \d+ note, "
                        r"0 not known", first)
    assert raised == "Ostrel Barn, Saturday: " + watched.line("raised fix [master-off-unity]")
    assert cleared == "Ostrel Barn, Saturday: " + watched.line("cleared [master-off-unity]")
    assert stopped == "Ostrel Barn, Saturday: " + watched.line("stopped watching after")
    assert watched.told()[1] == []


def test_template_body(tmp_path):
    body = {"blocks": [{"kind": "section", "text": {"plain": "<< ${text} >> and again ${text}"}},
                       {"${text}": [1, 2.5, None, True, "no place here", "$text {text} ${other}"]}],
            "channel": "stage", "urgent": False}
    watched = Watched(tmp_path, chat={"body": body})
    watched.move(-7)
    watched.hook.wait_for(2)
    watched.stop()
    text = "Ostrel Barn, Saturday: " + watched.line("raised fix")
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


def test_words_from_desk_and_show_call_nobody(tmp_path):
    """Neither a label nor a scene nor a player; the template is the hook owner's and stays."""
    watched = Watched(tmp_path, chat={"body": {"text": "@here <!team>: ${text}"}}, show="#1 club\n@all",
                      mixes={"6": {"player": "<@123>\nfake line"}})
    thin = "\u200a"
    watched.desk.move("/mix/6/name", "s", "@everyone [x](http://host.example)")
    watched.desk.move("/desk/scene", "s", "<!channel>")
    watched.move(-7)
    watched.hook.wait_for(2)
    watched.stop()
    texts = [json.loads(record["body"])["text"] for record in watched.hook.records()]
    (text,) = [text for text in texts if "master-off-unity" in text]

    assert all(text.startswith(f"@here <!team>: #{thin}1 club?@{thin}all: ") for text in texts)
    assert (f"mix 6 @{thin}everyone [x]{thin}(http:{thin}/{thin}/host.{thin}example) "
            f"(<{thin}@{thin}123>?fake line): ") in text
    assert "\n" not in text


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


def test_a_scene_recall_is_one_short_message(tmp_path):
    """What was recalled, and what protects no longer: its leaps, and what followed, the terminal has."""
    watched = Watched(tmp_path, desk=MockDesk(bundle=500), checks={"protection-lost": {}, "value-jumped": {}})
    watched.desk.send(osc.bundle(*scene(), *[osc.message(f"/in/{number}/to/1/level", "f", fader_wire(8))
                                             for number in range(1, 25)]))
    watched.watch.expect("the recall has settled")
    time.sleep(0.5)
    watched.stop()
    (text,) = [text for text in watched.hook.texts() if "recall" in text]
    lines = text.splitlines()

    assert len(lines) == 2 and len(text) < 600
    assert re.search(r"a recall changed \d+ values of 24 inputs and 8 mixes so far: .*; \d+ leaps upwards$", lines[0])
    assert re.match(r"protection lost: fix \[protection-lost\] input 1 Kick In, .*; and \d+ more; do: ", lines[1])


def test_what_a_recall_did_to_ears_later_is_told(tmp_path):
    """While it settles, as a message of its own; the summary, where it says of nothing new that somebody can be hurt,
    is the terminal's."""
    watched = Watched(tmp_path, desk=MockDesk(bundle=500))
    watched.desk.send(osc.bundle(*scene()))
    watched.watch.expect("a recall changed")
    time.sleep(1)
    watched.desk.move("/mix/7/limit/on", "i", 0)
    watched.watch.expect("the recall has settled")
    time.sleep(0.5)
    watched.stop()
    texts = watched.hook.texts()[1:-1]

    assert all("raised stop [ears-unprotected] mix 7" in text for text in texts[-1:])
    assert not any("settled" in text for text in texts)


@pytest.mark.limit(40)
def test_a_line_is_there_whole_or_counted(tmp_path):
    """With names as long as they may be not all lines have room: here of a desk that is back with every limiter off."""
    desk = MockDesk()
    for number in range(1, 9):
        desk.move(f"/mix/{number}/name", "s", f"mix {number} " + 50 * "long ")
        desk.move(f"/mix/{number}/limit/on", "i", 1)
    mixes = {str(number): {"player": f"player {number} " + 9 * "long ", "feeds": "in-ear"} for number in range(1, 9)}
    watched = Watched(tmp_path, desk=desk, mixes=mixes)
    desk.rig("silent", 1)
    watched.watch.expect("lost the desk", 10)
    desk.rig("silent", 0)  # until then it hears nothing, too
    for number in range(1, 9):
        desk.move(f"/mix/{number}/limit/on", "i", 0)
    watched.watch.expect("now: ", 5)
    time.sleep(0.5)
    watched.stop()
    (text,) = [text for text in watched.hook.texts() if "the desk is back" in text]
    *lines, left_out = text.splitlines()
    said = [line.replace("`", "'") for line in notes(watched.watch)]
    missing = [line for line in said if re.match("raised|worse", line) and line not in lines]

    assert missing and re.fullmatch(rf"{len(missing)} lines? did not fit here: the watch has all", left_out)
    assert len(lines) > 3 and all(line in said for line in lines[1:])


@pytest.mark.limit(30)
def test_a_lost_desk_is_told(tmp_path):
    watched = Watched(tmp_path)
    watched.desk.rig("silent", 1)
    watched.watch.expect("lost the desk", 10)
    watched.desk.rig("silent", 0)
    watched.watch.expect("now: ", 5)
    watched.hook.wait_for(3)
    watched.stop()
    texts = watched.hook.texts()

    assert re.search(r"lost the desk: nothing heard for \d+ s \(no answer\)", texts[1])
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
    for gap in gaps(records)[:2]:
        assert gap >= 1
        goal(gap, 1.6)
    assert watched.told()[1] == ["chat: a message was not delivered, it is tried again (the hook "
                                 "answered 429)", "chat: messages are delivered again"]


def test_429_with_a_date(tmp_path):
    """The other form of the header; a date has whole seconds."""
    at = int(time.time()) + 6
    date = email.utils.formatdate(at, usegmt=True)
    watched = Watched(tmp_path, "--answer", 429, "--times", 1, "--retry-after", date)
    records = watched.hook.wait_for(2)
    watched.stop()

    # no sooner than that; without the header it would be 1 to 1.25 s
    late = (when(records[1]) - at + 0.1) % 86400
    assert late < 43200, "before its time"
    goal(late, 1.7)


@pytest.mark.parametrize("status, times", [(500, 2), (503, 1), (408, 1)])
def test_a_hook_in_trouble_is_tried_again(tmp_path, status, times):
    """After 1 s, then 2 s, each up to a quarter longer."""
    watched = Watched(tmp_path, "--answer", status, "--times", times)
    records = watched.hook.wait_for(times + 1)
    watched.watch.expect("chat: messages are delivered again")
    watched.stop()

    waits = gaps(records)[:times]
    for wait, gap in zip((1, 2), waits):
        assert gap >= wait
        goal(gap, 1.25 * wait + 0.3)
    assert watched.told()[1] == ["chat: a message was not delivered, it is tried again (the hook "
                                 f"answered {status})", "chat: messages are delivered again"]


@pytest.mark.parametrize("status", [301, 404, 413])
def test_a_hook_that_will_never_take_it_stops_delivery(tmp_path, status):
    """Nothing more is offered, nothing is lost, and the terminal is told once, with the cure."""
    watched = Watched(tmp_path, "--answer", status)
    watched.watch.expect("chat: ")
    for _ in range(3):
        watched.move(-7)
        watched.move(0)
    time.sleep(1.5)  # longer than the wait before a second try
    watched.stop()

    assert len(watched.hook.texts()) == 1
    assert watched.told()[1] == [f"chat: the hook answered {status} and delivery stopped; 1 message is kept. "
                                 "Mend the hook, then `gainwarden reload` or start again"]


# ---- what status says of it ----

def status_of(watched, folder, *words):
    return run("status", watched.show, "--keep", folder / "keep", *words, env=watched.env)


def test_status_says_what_waits_for_the_hook_and_why(tmp_path):
    watched = Watched(tmp_path, "--answer", 503, "--times", 9, options=("--keep", tmp_path / "keep"))
    watched.watch.expect("chat: a message was not delivered")
    watched.move(-7)
    watched.move(0)
    text = until(lambda: re.search(r"chat: 3 messages wait .*", flat(status_of(watched, tmp_path).out)),
                 what="the hook in the status").group()
    answer = json.loads(status_of(watched, tmp_path, "--format", "json").out)
    watched.stop()

    assert re.match(r"chat: 3 messages wait for the hook, the oldest for \d+(\.\d)? s: the hook answered 503; "
                    r"(tried again in \d+(\.\d)? s|being tried now)", text)
    assert answer["messages_waiting"] == 3
    assert answer["hook"]["waiting"] == 3 and answer["hook"]["waited_s"] > 0 and not answer["hook"]["stopped"]
    assert answer["hook"]["why"] == "the hook answered 503"
    assert 0 <= answer["hook"].get("next_try_s", 0) < 10


def test_status_says_that_delivery_stopped(tmp_path):
    watched = Watched(tmp_path, "--answer", 404, options=("--keep", tmp_path / "keep"))
    watched.watch.expect("delivery stopped")
    text = flat(status_of(watched, tmp_path).out)
    answer = json.loads(status_of(watched, tmp_path, "--format", "json").out)
    watched.stop()

    assert re.search(r"chat: 1 message waits for the hook for \d+(\.\d)? s: the hook answered 404; delivery stopped: "
                     r"mend the hook, then `gainwarden reload SHOW`", text)
    assert answer["hook"]["stopped"] is True and "next_try_s" not in answer["hook"]


def test_status_says_that_nothing_waits(tmp_path):
    watched = Watched(tmp_path, options=("--keep", tmp_path / "keep"))
    watched.hook.wait_for(1)
    text = until(lambda: "chat: nothing waits for the hook" in status_of(watched, tmp_path).out,
                 what="a hook that took all")
    answer = json.loads(status_of(watched, tmp_path, "--format", "json").out)
    watched.stop()

    assert text and answer["hook"] == {"waiting": 0, "waited_s": 0, "why": "", "stopped": False}


@pytest.mark.limit(40)
@pytest.mark.parametrize("command", ["reload", "tell-test"])
def test_what_a_stopped_hook_did_not_take_comes_after(tmp_path, command):
    """A reload, or a test message that arrives, sets it going again."""
    hook = MockChat(tmp_path / "mended.jsonl", "--answer", 404, "--times", 1)
    watched = Watched(tmp_path, hook=False, url=hook.url, options=("--keep", tmp_path / "keep"))
    watched.watch.expect("chat: the hook answered 404 and delivery stopped")
    for _ in range(3):
        watched.move(-7)
        watched.move(0)
    answer = run(command, watched.show, "--keep", tmp_path / "keep", env=watched.env)
    texts = until(lambda: [text.removeprefix("Ostrel Barn, Saturday: ") for text in hook.texts()
                           if "TEST" not in text][2:8:] if len(hook.records()) >= 8 else None,
                  what="all that was kept")
    watched.stop()
    told, _ = watched.told()

    assert answer.status == 0, answer.err
    assert texts == told[:len(texts)] and len(texts) >= 5


def test_a_hook_that_hangs_delays_nothing(tmp_path):
    watched = Watched(tmp_path, "--hang", 60)
    watched.hook.wait_for(1)
    late = [watched.move(db) for _ in range(5) for db in (-7, 0)]
    took = watched.stop()

    assert max(late) + took < 55  # not as long as it hangs
    goal(max(late), 0.5)
    goal(took, 4)  # it is given two seconds for the last words
    assert len(watched.hook.records()) == 1
    assert watched.told()[1] == []


def test_a_hook_that_hangs_may_be_left_at_once(tmp_path):
    """The second Ctrl-C does not wait for last words."""
    watched = Watched(tmp_path, "--hang", 60)
    watched.hook.wait_for(1)
    watched.watch.popen.send_signal(signal.SIGINT)
    watched.watch.expect("stopped watching")

    goal(watched.stop(), 1)


def test_a_hook_that_closes(tmp_path):
    watched = Watched(tmp_path, "--close", 1, "--times", 1)
    late = [watched.move(db) for db in (-7, 0)]
    watched.hook.wait_for(4)
    watched.stop()
    texts = watched.hook.texts()

    goal(max(late), 0.5)
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

    goal(max(late), 0.5)
    goal(took, 4)
    assert len(watched.told()[1]) == 1


def test_a_hook_whose_host_does_not_resolve(tmp_path):
    watched = Watched(tmp_path, hook=False,
                      url=f"https://{MockChat.SECRET}.invalid/{MockChat.SECRET}?token=1")
    watched.watch.expect(r"chat: a message was not delivered, it is tried again", 15)
    late = [watched.move(db) for db in (-7, 0)]
    watched.stop(timeout=15)

    goal(max(late), 0.5)


def test_a_hook_that_hangs_for_long_loses_nothing(tmp_path):
    hook = MockChat(tmp_path / "stopped.jsonl")
    hook.popen.send_signal(signal.SIGSTOP)
    watched = Watched(tmp_path, hook=False, url=hook.url)
    for _ in range(35):
        watched.move(-7)
        watched.move(0)
    told, _ = watched.told()
    hook.popen.send_signal(signal.SIGCONT)

    def taken():
        """Each message once: what hung for so long that it was given up comes again, with its identity."""
        return list({record["identity"]: text.removeprefix("Ostrel Barn, Saturday: ")
                     for record, text in zip(hook.records(), hook.texts())}.values())

    texts = until(lambda: len(taken()) >= 71 and taken(), what="all messages")
    watched.stop()

    assert len(told) == 70
    assert "watching: " in texts[0]
    assert texts[1:71] == told


@pytest.mark.limit(40)
def test_a_hook_that_is_down_gets_each_message_once_and_in_order(tmp_path):
    """Nobody listens for a while; the identity of a message is the same at each try."""
    port = own_port()
    watched = Watched(tmp_path, hook=False, url=f"http://127.0.0.1:{port}/{MockChat.SECRET}")
    for _ in range(5):
        watched.move(-7)
        watched.move(0)
    time.sleep(3)
    hook = MockChat(tmp_path / "late.jsonl", "--port", port)
    hook.wait_for(11, timeout=20)
    told, trouble = watched.told()
    watched.stop()
    texts = [text.removeprefix("Ostrel Barn, Saturday: ") for text in hook.texts()]
    ids = [record["identity"] for record in hook.records()]

    assert texts[1:11] == told[:10]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r'"[0-9a-f]{32}"', one) for one in ids)
    assert trouble[0].startswith("chat: a message was not delivered, it is tried again (")


def test_the_identity_is_the_same_at_each_try(tmp_path):
    watched = Watched(tmp_path, "--answer", 503, "--times", 2)
    watched.hook.wait_for(3, timeout=15)
    watched.stop()
    ids = [record["identity"] for record in watched.hook.records()]

    assert len(set(ids[:3])) == 1
    assert len(set(ids)) == len(ids) - 2


def test_a_regular_all_clear_reaches_the_hook_where_it_is_wanted(tmp_path):
    """With every "still watching" that is due; without the setting the hook hears of what happens alone."""
    for wanted in (True, False):
        (tmp_path / str(wanted)).mkdir()
        watched = Watched(tmp_path / str(wanted), chat={"all_clear_s": 1} if wanted else {},
                          options=("--still-every", "0.5"))

        def clear():
            return [text for text in watched.hook.texts() if "still watching: doors, 1 stop" in text]

        def said():
            return [line for line in watched.told()[0] if line.startswith("still watching")]

        until(lambda: len(said()) > 4 and (not wanted or 1 <= len(clear()) < len(said())), what="the all-clear")
        watched.stop()
        assert wanted or not clear()


# ---- https ----

def openssl(folder, *words):
    subprocess.run(["openssl", *words], cwd=folder, check=True, timeout=150, capture_output=True)


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
    _, _, line = watched.watch.expect(r"chat: a message was not delivered, it is tried again \((.*)\)")
    watched.move(-7)
    watched.stop()

    signed = "nobody known here signed the hook's certificate: name a file with it under tell.chat.ca_file"
    assert (line[1] == signed) == (ca != "ca.pem"), line[1]  # the cure, where it is one
    assert re.search("certificate|SSL", line[1])
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
    show = show_at_once(tmp_path, tell={"chat": {"url_env": VARIABLE, **(chat or {})}})
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
     ["tell.chat.url: unknown key", "tell.chat: has neither; either url_env or url_file says where the hook's "
      "address stands"]),
    ({"url_env": VARIABLE, "url_file": "hook"},
     ["tell.chat: has both; either url_env or url_file says where the hook's address stands"]),
    ({"url_file": 3}, ["tell.chat.url_file: is a number, must be a string"]),
    ({"url_env": VARIABLE, "from_weight": "loud"},
     ['tell.chat.from_weight: is "loud"; allowed are "note", "fix" and "stop"']),
    ({"url_env": 3}, ["tell.chat.url_env: is a number, must be a string"]),
])
def test_settings_that_are_wrong(tmp_path, chat, what):
    """An address in the show file is refused, and not repeated."""
    show = show_at_once(tmp_path, tell={"chat": chat})
    result = run("check", show)

    assert result.err.splitlines() == [f"gainwarden: {show}: {line}" for line in what]
    assert result.status == 2
    keeps_secret(result.err + result.out)


def test_audit_and_check_need_no_hook(tmp_path):
    """Only the watch tells; the others run where the secret is not."""
    show = show_at_once(tmp_path, tell={"chat": {"url_env": VARIABLE}})

    assert run("check", show).status == 0
    assert run("audit", show, "--desk", MockDesk().at).status == 1
