# SPDX-License-Identifier: MIT
"""The OSC cue: what it says, and that it never reaches a host where a desk is read, nor with an address that
means something to one.

All addresses of this machine are one host. So a cue that shall arrive needs a second host: namespaces of the
test's own (tests/weather/net.py), where they are allowed.
"""
import re
import signal
import sys
import time

import pytest

from harness import (AT_ONCE, BUILD, DEMO, PROFILE, ROOT, SHOW, STATE, MockDesk, OwnDesk, Process, fader_wire, notes,
                     read_json, run, show_at_once, started, until, write_json)

sys.path.append(str(ROOT / "tests" / "weather"))
import net  # noqa: E402

MASTER = "/mix/6/fader"
DESK = "10.77.0.2"

needs_two_hosts = pytest.mark.skipif(not net.is_possible(), reason="no namespaces here")


def show_with_cue(folder, host, port, **cue):
    folder.mkdir(exist_ok=True)
    return show_at_once(folder, tell={"osc": {"host": host, "port": port, "from_weight": "note", **cue}})


def move(desk, watch, db):
    start = watch.out.count()
    desk.move(MASTER, "f", fader_wire(db))
    watch.expect(r"(raised|cleared|worse) .*\[master-off-unity\] mix 6", start=start)


def cue_lines(watch):
    return [line for line in notes(watch) if "tell.osc" in line]


def refused(result, show, what):
    assert (result.status, result.out) == (2, "")
    assert result.err == f"gainwarden: {show}: {what}\n"


# ---- where it goes ----

class Hall:
    """A desk at the other end of a cable, and at our end whoever hears cues, on loopback."""

    def __init__(self, cable, folder):
        self.cable, self.folder = cable, folder

    def desk(self, host=DESK, port=9100):
        desk = self.cable.start(self.cable.desks, BUILD / "mock-desk", "--state", STATE, "--host", host, "--port", port,
                                "--log", self.folder / f"log-{host}-{port}")
        desk.expect(r"^mock-desk: listening on ")
        return self.folder / f"log-{host}-{port}"

    def ears(self, space=None, host="127.0.0.1", port=9200):
        """Prints the address and words of each cue that comes."""
        ears = self.cable.start(space or self.cable.ours, sys.executable, "-u", "-c", EARS, host, port)
        ears.expect("listening")
        return ears

    def heard_so_far(self, ears, host, port):
        """Every line that came until now: a datagram of our own goes the same way, behind whatever is on it."""
        start = ears.out.count()
        self.send(host, port, "/until/now", "s", "all")
        ears.expect("^/until/now", start=start)
        return ears.out.texts()

    def watch(self, *shows, words=()):
        return self.cable.start(self.cable.ours, BUILD / "gainwarden", "watch", *shows, "--still-every", "0", "--keep",
                                self.folder / "keep", *words)

    def move(self, db, mix=6, host=DESK, port=9100):
        """As another hand at the desk would."""
        self.send(host, port, f"/mix/{mix}/fader", "f", fader_wire(db))

    def send(self, host, port, *words):
        done = net.command("ip", "netns", "exec", self.cable.ours, "oscsend", host, port, *words)
        assert done.returncode == 0, done.stderr


EARS = """
import socket, sys
ears = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
ears.bind((sys.argv[1], int(sys.argv[2])))
print("listening")
while True:
    print(*[part.decode() for part in ears.recv(4096).split(b"\\0") if part], sep=" | ")
"""


@pytest.fixture
def hall(tmp_path):
    with net.opened() as cable:
        yield Hall(cable, tmp_path)


@needs_two_hosts
def test_an_osc_message_an_edge(hall):
    hall.desk()
    ears = hall.ears()
    show = show_with_cue(hall.folder, "127.0.0.1", 9200, address="/lamp/1", from_weight="fix")
    watch = hall.watch(show, words=("--desk", DESK))
    watch.expect("watching: ")
    for db in (-3, -9, 0):  # a note first: less than the cue wants
        start = watch.out.count()
        hall.move(db)
        watch.expect(r"(raised|cleared|worse) .*\[master-off-unity\] mix 6", start=start)
    ears.expect(r"^/lamp/1 \| ,sssss \| worse \| fix \| master-off-unity \| mix 6 Drum-fill \| the master stands at "
                r"-9 dB")
    ears.expect(r"^/lamp/1 \| ,sssss \| cleared \| fix \| master-off-unity \| mix 6 Drum-fill")
    assert "note" not in ears.text()
    assert cue_lines(watch) == []
    assert watch.stop() == 0
    started.remove(ears)
    ears.kill()


@needs_two_hosts
def test_one_shows_cue_never_reaches_another_watched_desk(hall):
    """Neither by the other desk's port, nor by another port of its host; names are looked up."""
    first, second = hall.desk(), hall.desk("10.77.0.3")
    hall.cable.name("light", "10.77.0.3")
    ears = hall.ears(hall.cable.desks, "10.77.0.3", 9300)
    shows = []
    for number, (desk, port) in enumerate(((DESK, 9100), ("10.77.0.3", 9300))):
        show = read_json(show_with_cue(hall.folder / str(number), "light", port))
        show["desk"]["host"] = desk
        shows.append(write_json(hall.folder / f"{number}.json", show))
    watch = hall.watch(*shows)
    until(lambda: watch.text().count(" watching: ") == 2)  # both desks are read: a move is an edge now
    until(lambda: len(cue_lines_of_several(watch)) == 2)
    hall.move(-9)
    hall.move(-9, host="10.77.0.3")
    until(lambda: watch.text().count("master-off-unity] mix 6") >= 2)
    time.sleep(0.3)

    assert all("is where a desk is read, or many hear; nothing is sent there" in line
               for line in cue_lines_of_several(watch))
    for log in (first, second):
        assert "gainwarden" not in "".join(bytes.fromhex(row.split(" ")[2]).decode("latin1")
                                           for row in log.read_text().splitlines() if row.count(" ") == 2)
    assert ears.out.texts() == ["listening"]
    assert watch.stop() == 0
    started.remove(ears)
    ears.kill()


def cue_lines_of_several(watch):
    return [line for line in watch.out.texts() if "tell.osc" in line]


@needs_two_hosts
def test_a_desk_that_moves_to_the_host_of_the_cue(hall):
    """Looked up anew, the desk's name leads to where the cue went until then: from now on it does not."""
    hall.desk("10.77.0.2")
    hall.cable.name("desk", "10.77.0.2")
    show = show_with_cue(hall.folder, "10.77.0.3", 9300)
    ears = hall.ears(hall.cable.desks, "10.77.0.3", 9300)
    watch = hall.watch(show, words=("--desk", "desk"))
    watch.expect("watching: ")
    hall.move(-9)
    ears.expect("master-off-unity")
    hall.cable.name("desk", "10.77.0.3")
    watch_desk = [process for process in started if process.name == "ip" and "mock-desk" in " ".join(process.argv)]
    watch_desk[0].stop()
    watch.expect("is where a desk is read", 15)
    before = hall.heard_so_far(ears, "10.77.0.3", 9300)
    hall.desk("10.77.0.3")
    watch.expect("now: ", 10)
    start = watch.out.count()
    hall.move(-9, mix=4, host="10.77.0.3")
    watch.expect(r"master-off-unity\] mix 4", start=start)
    time.sleep(0.3)

    assert hall.heard_so_far(ears, "10.77.0.3", 9300)[len(before):] == ["/until/now | ,s | all"]
    assert watch.stop() == 0
    started.remove(ears)
    ears.kill()


@needs_two_hosts
def test_a_whole_network_is_no_host_of_a_cue(hall):
    """The system lets nobody send to a broadcast address who did not ask for it."""
    log = hall.desk("0.0.0.0", 9100)
    watch = hall.watch(show_with_cue(hall.folder, "10.77.0.255", 9100), words=("--desk", DESK))
    watch.expect(r"tell\.osc: .* cannot be sent to: |tell\.osc: .*nothing is sent there")
    watch.expect("watching: ")
    hall.move(-9)
    watch.expect(r"master-off-unity\] mix 6")
    time.sleep(0.3)

    assert b"gainwarden".hex() not in log.read_text()
    assert watch.stop() == 0


@needs_two_hosts
def test_nothing_is_sent_before_every_desk_is_known(hall):
    """A name that is not found yet may be the cue's own host."""
    hall.desk()
    ears = hall.ears()
    shows = []
    for number, desk in enumerate((DESK, "desk.invalid")):
        show = read_json(show_at_once(hall.folder))
        show["desk"]["host"] = desk
        if number == 0:
            show["tell"] = {"osc": {"host": "127.0.0.1", "port": 9200}}
        shows.append(write_json(hall.folder / f"{number}.json", show))
    watch = hall.watch(*shows)
    watch.expect("watching: ")
    hall.move(-9)
    watch.expect(r'tell\.osc: "127\.0\.0\.1" port 9200 is not sent to before it is known where every desk is')
    time.sleep(0.3)

    assert ears.out.texts() == ["listening"]
    assert len(cue_lines_of_several(watch)) == 1
    assert watch.stop() == 0
    started.remove(ears)
    ears.kill()


def local_spellings():
    return ["127.0.0.1", "localhost", "127.1", "2130706433", "0x7f.1", "127.0.0.2", "127.255.255.254", "0.0.0.0",
            "::ffff:127.0.0.1", "::1", "::", "::ffff:127.0.0.9", "LocalHost"]


@pytest.mark.parametrize("host", local_spellings())
@pytest.mark.parametrize("port", ["the desk's", "another"])
def test_the_cue_never_goes_to_the_host_of_the_desk(tmp_path, host, port):
    """However it is spelt and on whatever port: refused, by check where the show file names the desk."""
    with OwnDesk(lambda desk, heard: None) as desk:
        show = show_with_cue(tmp_path, host, desk.port if port == "the desk's" else 9300)
        what = (f'tell.osc.host: "{host}" is where Barn monitor desk is read; nothing else is sent to that host, on '
                "whatever port")
        refused(run("watch", show, "--desk", desk.at, "--keep", tmp_path / "keep"), show, what)
        refused(run("check", show), show, what)
        time.sleep(0.1)
    assert desk.heard == []


def test_a_name_that_leads_to_the_desk_is_told_when_it_is_looked_up(tmp_path):
    """This machine's own name, whatever address that has."""
    import socket as sockets
    name = sockets.gethostname()
    desk = MockDesk(log=tmp_path / "log")
    show = show_with_cue(tmp_path, name, desk.port)
    watch = Process(BUILD / "gainwarden", "watch", show, "--desk", desk.at, "--keep", tmp_path / "keep")
    watch.expect(r"tell\.osc: .* is where a desk is read, or many hear; nothing is sent there")
    watch.expect("watching: ")
    move(desk, watch, -9)
    move(desk, watch, 0)
    time.sleep(0.3)

    assert len(cue_lines(watch)) == 1
    assert not [data for _, _, data in desk.heard() if b"/gainwarden" in data]
    assert watch.stop() == 0


@pytest.mark.parametrize("host", ["224.0.0.1", "239.1.2.3", "255.255.255.255", "ff02::1", "::ffff:224.0.0.1"])
def test_what_many_hear_is_no_host_of_a_cue(tmp_path, host):
    show = show_with_cue(tmp_path, host, 9300)
    for words in (("check", show), ("watch", show, "--desk", "10.77.0.2", "--keep", tmp_path / "keep")):
        refused(run(*words), show, f'tell.osc.host: "{host}" is heard by many; a cue goes to one host')


def test_a_cue_that_is_not_found_is_told_once(tmp_path):
    """And tried again meanwhile; ".invalid" names never resolve (RFC 6761)."""
    desk = MockDesk()
    show = show_with_cue(tmp_path, "lamp.invalid", 9200)
    watch = Process(BUILD / "gainwarden", "watch", show, "--desk", desk.at, "--keep", tmp_path / "keep")
    watch.expect(r'tell\.osc: "lamp\.invalid" port 9200 cannot be looked up and is tried again every 5 s: \S.*$')
    watch.expect("watching: ")
    move(desk, watch, -9)
    time.sleep(6)  # a second try
    assert len(cue_lines(watch)) == 1
    assert watch.stop() == 0


# ---- what it says ----

@pytest.mark.parametrize("address, what", [
    ("/in/01/head/gain", "is answered from"), ("/in/1/head/gain", "is answered from"),
    ("/IN/+1//head/./gain/", "is answered from"), ("/in/%31/head/gain", "is answered from"),
    ("/x/../in/1/head/gain", "is answered from"), ("/in\\1\\head\\gain", "is answered from"),
    ("/eq", "is answered from"), ("/get/eq", "is asked at"), ("/GET/eq/", "is asked at"), ("/stay", "is renewed at")])
def test_an_address_that_means_something_to_a_desk(tmp_path, address, what):
    show = show_with_cue(tmp_path, "10.77.0.1", 9200, address=address)
    for words in (("check", show), ("watch", show, "--desk", "10.77.0.2", "--keep", tmp_path / "keep")):
        refused(run(*words), show,
                f"tell.osc.address: {address} may be an address that Barn monitor desk {what}; take one of your own")


@pytest.mark.parametrize("address, odd", [
    ("/lamp//1", "an empty segment"), ("/lamp/", "an empty segment"), ("/lamp/./1", "a segment of dots"),
    ("/lamp/+5", "a sign before a number"), ("/lamp/-5", "a sign before a number")])
def test_an_address_that_can_be_read_in_more_than_one_way(tmp_path, address, odd):
    """A cue carries arguments: what holds for questions and renewals holds for it."""
    show = show_with_cue(tmp_path, "10.77.0.1", 9200, address=address)
    refused(run("check", show), show,
            f"tell.osc.address: {address} has {odd}, which a desk may read as another address; take a plain one")


def test_the_other_shows_count_too(tmp_path):
    """Host and address of one show's cue beside the desk of another."""
    other = write_json(tmp_path / "other-desk.json", {
        **read_json(PROFILE), "desk": "Other desk", "renew": [{"send": ["/wake"], "every_s": 8}]})
    plain = {"show_format": 1, "desk": {"profile": str(other), "host": "10.77.0.3"}}
    second = write_json(tmp_path / "second.json", plain)
    for cue, what in (({"host": "10.77.0.3", "port": 9300},
                       'host: "10.77.0.3" is where Other desk is read; nothing else is sent to that host, on whatever '
                       "port"),
                      ({"host": "10.77.0.1", "port": 9300, "address": "/wake"},
                       "address: /wake may be an address that Other desk is renewed at; take one of your own")):
        first = write_json(tmp_path / "first.json", {
            "show_format": 1, "desk": {"profile": str(PROFILE), "host": "10.77.0.2"}, "tell": {"osc": cue}})
        assert run("check", first).status == 0
        for shows in ((first, second), (second, first)):
            refused(run("watch", *shows, "--yes"), first, f"tell.osc.{what}")


def test_a_reload_that_turns_a_cue_on_a_desk_is_refused(tmp_path):
    desk = MockDesk(log=tmp_path / "log")
    show = show_at_once(tmp_path)
    watch = Process(BUILD / "gainwarden", "watch", show, "--desk", desk.at, "--keep", tmp_path / "keep")
    watch.expect("watching: ")
    for cue, place in (({"host": "127.0.0.1", "port": desk.port}, "host"),
                       ({"host": "10.77.0.1", "port": 9300, "address": "/in/01/head/gain"}, "address")):
        start = watch.out.count()
        show_at_once(tmp_path, tell={"osc": cue})
        watch.popen.send_signal(signal.SIGHUP)
        watch.expect(re.escape(f"{show}: tell.osc.{place}: "), start=start)
        watch.expect("not reloaded: the watch goes on with what it has", start=start)
    move(desk, watch, -9)
    assert not [data for _, _, data in desk.heard() if b"sssss" in data]
    assert watch.stop() == 0


def test_a_long_address_is_refused(tmp_path):
    show = show_with_cue(tmp_path, "10.77.0.1", 9200, address="/" + "x" * 200)
    refused(run("check", show), show, "tell.osc.address: is longer than 200 bytes")
    assert run("check", show_with_cue(tmp_path, "10.77.0.1", 9200, address="/" + "x" * 199)).status == 0
