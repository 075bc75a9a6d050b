# SPDX-License-Identifier: MIT
"""`gainwarden tell-test`: one marked message through the show's hook, and what the hook made of it."""
import json
import re
import signal
import socket
import time

import pytest

from harness import (BUILD, SHOW, MockChat, MockDesk, Process, goal, read_json, run, show_at_once)
from test_chat import (VARIABLE, certificates, keeps_secret, serve_tls)  # noqa: F401 (a fixture)


def show_with_hook(folder, **chat):
    return show_at_once(folder, tell={"chat": {"url_env": VARIABLE, **chat}})


def tell_test(folder, url, **chat):
    result = run("tell-test", show_with_hook(folder, **chat), env={VARIABLE: url})
    keeps_secret(result.out + result.err)
    return result


def test_a_hook_that_takes_it(tmp_path):
    hook = MockChat(tmp_path / "chat.jsonl", "--answer", 204)
    result = tell_test(tmp_path, hook.url)
    (record,) = hook.records()

    assert result.status == 0 and result.err == ""
    assert re.fullmatch(r"delivered, the hook answered 204 in \d+ ms\n", result.out)
    assert json.loads(record["body"]) == {
        "text": "TEST from gainwarden, show Ostrel Barn, Saturday: nothing is wrong, somebody tries "
                "whether messages arrive"}
    assert (record["method"], record["path"], record["content_type"]) == (
        "POST", "/" + MockChat.SECRET, "application/json")
    assert re.fullmatch(r'"[0-9a-f]{32}"', record["identity"])


def test_the_template_of_the_show_is_used(tmp_path):
    hook = MockChat(tmp_path / "chat.jsonl")
    result = tell_test(tmp_path, hook.url, body={"say": ["<${text}>"], "key": "${id}"}, from_weight="stop")
    (record,) = hook.records()
    body = json.loads(record["body"])

    assert result.status == 0
    assert re.fullmatch("<TEST from gainwarden, .*>", body["say"][0])
    assert f'"{body["key"]}"' == record["identity"]


def test_each_has_its_own_identity(tmp_path):
    hook = MockChat(tmp_path / "chat.jsonl")
    for _ in range(3):
        assert tell_test(tmp_path, hook.url).status == 0

    assert len({record["identity"] for record in hook.records()}) == 3


@pytest.mark.parametrize("status", [301, 404, 408, 429, 500, 503])
def test_a_hook_that_does_not(tmp_path, status):
    """It is tried once; nothing is said of what only a watch would do."""
    hook = MockChat(tmp_path / "chat.jsonl", "--answer", status, "--retry-after", "1")
    result = tell_test(tmp_path, hook.url)

    assert result.status == 1
    assert result.out == f"not delivered: the hook answered {status}\n"
    assert result.err == ""
    assert len(hook.records()) == 1


def test_nobody_there(tmp_path):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        url = f"http://127.0.0.1:{free.getsockname()[1]}/{MockChat.SECRET}?token=1"
    result = tell_test(tmp_path, url)

    assert result.status == 1
    assert re.fullmatch(r"not delivered: [\w' ]+\n", result.out)


def test_a_hook_that_is_slow(tmp_path):
    """Something is said every two seconds."""
    hook = MockChat(tmp_path / "chat.jsonl", "--hang", 3)
    result = tell_test(tmp_path, hook.url)

    assert result.status == 0
    assert result.err == "gainwarden: waiting for the hook's answer\n"
    took_ms = int(re.search(r"in (\d+) ms", result.out)[1])
    assert took_ms >= 3000
    goal(took_ms / 1000, 4.5)


def test_a_hook_that_hangs_can_be_left(tmp_path):
    hook = MockChat(tmp_path / "chat.jsonl", "--hang", 60)
    process = Process(BUILD / "gainwarden", "tell-test", show_with_hook(tmp_path), env={VARIABLE: hook.url})
    hook.wait_for(1)
    begun = time.monotonic()

    assert process.stop(signal.SIGINT) == 1
    goal(time.monotonic() - begun, 1)
    assert process.text() == "not delivered: interrupted"
    assert process.err.texts() == []


@pytest.mark.limit(30)
def test_a_hook_that_never_answers(tmp_path):
    hook = MockChat(tmp_path / "chat.jsonl", "--hang", 60)
    result = tell_test(tmp_path, hook.url)

    assert result.status == 1
    assert re.fullmatch(r"not delivered: .*[Tt]imeout.*\n", result.out)
    assert result.took < 60  # not as long as it hangs
    goal(result.took, 12)


def test_https(tmp_path, certificates):  # noqa: F811
    hook = MockChat(tmp_path / "tls.jsonl", *serve_tls(certificates, "here"))
    trusted = tell_test(tmp_path, hook.url, ca_file=str(certificates / "ca.pem"))
    untrusted = tell_test(tmp_path, hook.url)

    assert trusted.status == 0
    assert untrusted.status == 1
    assert re.search(r"^not delivered: .*certificate", untrusted.out)
    assert len(hook.records()) == 1


def test_the_desk_is_left_alone(tmp_path):
    hook = MockChat(tmp_path / "chat.jsonl")
    desk = MockDesk(log=tmp_path / "log")
    show = read_json(show_with_hook(tmp_path))
    show["desk"]["host"], show["desk"]["port"] = desk.host, desk.port
    (tmp_path / "show.json").write_text(json.dumps(show))

    assert run("tell-test", tmp_path / "show.json", env={VARIABLE: hook.url}).status == 0
    assert desk.heard() == []


def test_a_show_without_a_name(tmp_path):
    hook = MockChat(tmp_path / "chat.jsonl")
    path = show_with_hook(tmp_path)
    show = read_json(path)
    del show["show"]
    path.write_text(json.dumps(show))

    assert run("tell-test", path, env={VARIABLE: hook.url}).status == 0
    assert "show show.\u200ajson: nothing is wrong" in hook.texts()[0]  # by its file, which is no link


# ---- what cannot be used ----

def test_no_show():
    result = run("tell-test")

    assert (result.status, result.out) == (2, "")
    assert result.err == "gainwarden: which show: name its file\n"


def test_a_show_without_a_hook(tmp_path):
    show = show_at_once(tmp_path, tell={})
    result = run("tell-test", show)

    assert (result.status, result.out) == (2, "")
    assert result.err == f"gainwarden: {show}: names no chat hook under tell.chat\n"


def test_a_show_that_is_not_there(tmp_path):
    result = run("tell-test", tmp_path / "gone.json")

    assert (result.status, result.out) == (2, "")
    assert result.err == f"gainwarden: {tmp_path}/gone.json: cannot read: No such file or directory\n"


@pytest.mark.parametrize("url, what", [
    (None, "is not set"), (MockChat.SECRET, "holds no http:// or https:// address"),
    (f"ftp://127.0.0.1/{MockChat.SECRET}", "holds no http:// or https:// address")])
def test_no_address(tmp_path, url, what):
    result = run("tell-test", show_with_hook(tmp_path), env={VARIABLE: url} if url else {})

    assert (result.status, result.out) == (2, "")
    assert result.err == f"gainwarden: tell.chat.url_env: the environment variable {VARIABLE} {what}\n"


# ---- the address in a file ----

def show_with_file(folder):
    return show_at_once(folder, tell={"chat": {"url_file": "our.hook"}})


@pytest.mark.parametrize("behind", ["", "\n", " \r\n\n"])
def test_the_address_stands_in_a_file_beside_the_show(tmp_path, behind):
    chat = MockChat(tmp_path / "record")
    (tmp_path / "our.hook").write_text(chat.url + behind)
    result = run("tell-test", show_with_file(tmp_path))

    assert result.status == 0, result.err
    assert len(chat.records()) == 1 and MockChat.SECRET not in result.out + result.err


def test_a_credential_of_that_name_goes_before_the_file(tmp_path):
    """systemd.exec(5), "Credentials": the manager names their folder in $CREDENTIALS_DIRECTORY."""
    chat = MockChat(tmp_path / "record")
    (tmp_path / "credentials").mkdir()
    (tmp_path / "our.hook").write_text("ftp://nobody.invalid/")
    env = {"CREDENTIALS_DIRECTORY": str(tmp_path / "credentials")}
    assert run("tell-test", show_with_file(tmp_path), env=env).status == 2  # there is none
    (tmp_path / "credentials" / "our.hook").write_text(chat.url)
    assert run("tell-test", show_with_file(tmp_path), env=env).status == 0
    assert len(chat.records()) == 1


@pytest.mark.parametrize("held, what", [
    (None, "cannot read: No such file or directory"), ("", "is empty; it must hold the hook's address"),
    ("\n", "is empty; it must hold the hook's address"),
    (MockChat.SECRET, "holds no http:// or https:// address"),
    (f"http://127.0.0.1/\n{MockChat.SECRET}", "holds no http:// or https:// address"),
    (f"http://127.0.0.1/{MockChat.SECRET}" + 9000 * "x", "cannot read: File too large")])
def test_a_file_without_an_address(tmp_path, held, what):
    if held is not None:
        (tmp_path / "our.hook").write_text(held)
    result = run("tell-test", show_with_file(tmp_path))

    assert (result.status, result.out) == (2, "")
    assert result.err == f"gainwarden: tell.chat.url_file: {tmp_path}/our.hook: {what}\n"


def test_two_shows(tmp_path):
    show = show_with_hook(tmp_path)

    assert run("tell-test", show, show).status == 2
    assert run("tell-test", SHOW, "--format", "json").status == 2  # an option of other commands
