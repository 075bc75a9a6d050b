# SPDX-License-Identifier: MIT
"""The package as a user meets it: put into a fresh minimal root, tried there, upgraded under a running watch,
removed and purged.
"""
import hashlib
import json
import os
import pathlib
import re
import shutil
import socket
import stat
import subprocess

import pytest

from parts import call, field, harness

DEMO = "/usr/share/gainwarden/demo"
PATIENCE_S = 60
# What package tools write about themselves.
THEIR_OWN = ("var/lib/dpkg/", "var/log/", "var/cache/ldconfig/", "dev/", "proc/", "sys/")


# ---- a fresh root ----

def refused():
    """Why no root can be made here, or nothing."""
    if os.geteuid() != 0:
        return "making a root needs root"
    tried = subprocess.run(["unshare", "--mount", "--pid", "--fork", "true"], capture_output=True, text=True,
                           check=False)
    return f"namespaces are refused here: {tried.stderr.strip()}" if tried.returncode else ""


def sources():
    """Where this machine's own packages come from."""
    for path in ("/etc/apt/sources.list.d/debian.sources", "/etc/apt/sources.list"):
        if os.path.exists(path) and re.search("^(deb|Types)", open(path, encoding="utf-8").read(), re.M):
            return path
    raise AssertionError("no Debian sources of apt here")


@pytest.fixture(scope="module")
def fresh(package, tmp_path_factory):
    """A minimal root with nothing but what the package depends on."""
    if refused():
        pytest.skip(refused())
    needed = re.sub(r" *\([^)]*\)", "", field(package, "Depends")).replace(" ", "")
    codename = re.search("^VERSION_CODENAME=(.*)", open("/etc/os-release", encoding="utf-8").read(), re.M)[1]
    folder = tmp_path_factory.mktemp("root") / "root"
    call("mmdebstrap", "--quiet", "--variant=essential", "--format=directory", "--dpkgopt=force-unsafe-io",
         f"--include={needed}", codename, folder, sources())
    yield folder
    shutil.rmtree(folder)


def inside(root, *words):
    return call("chroot", root, *words, env={"PATH": "/usr/sbin:/usr/bin:/sbin:/bin", "LC_ALL": "C.UTF-8"})


def begin(root, *words):
    """A program under way in there; chroot becomes it, so that a signal to it arrives."""
    return harness.Process("chroot", root, *words, env={"HOME": "/root"})


def begin_desk(root):
    desk = begin(root, "/usr/lib/gainwarden/mock-desk", "--state", DEMO + "/desk-state.json", "--port", "0")
    return desk, desk.expect(r"^mock-desk: listening on (\S+)$", PATIENCE_S)[2].group(1)


def install(root, package):
    shutil.copy(package, root / "srv" / "new.deb")
    inside(root, "dpkg", "--install", "/srv/new.deb")
    (root / "srv" / "new.deb").unlink()


def snapshot(root):
    """What is there: kind, owner, mode and content of each file."""
    seen = {}
    for folder, names, files in os.walk(root):
        for name in names + files:
            path = pathlib.Path(folder, name)
            place = str(path.relative_to(root))
            status = path.lstat()
            if (place + "/").startswith(THEIR_OWN):
                continue
            held = os.readlink(path) if path.is_symlink() else \
                hashlib.sha256(path.read_bytes()).hexdigest() if stat.S_ISREG(status.st_mode) else ""
            seen[place] = (oct(status.st_mode), status.st_uid, status.st_gid, held)
    return seen


# ---- how it fares ----

def findings(page):
    return [(one["check"], one["weight"], one["object"]) for one in json.loads(page)["findings"]]


def test_installed_tried_removed_and_purged(package, fresh):
    before = snapshot(fresh)
    install(fresh, package)
    assert inside(fresh, "dpkg", "--verify", "gainwarden") == ""
    assert inside(fresh, "gainwarden", "--version") == f"gainwarden {field(package, 'Version')}\n"
    assert (fresh / "usr/share/bash-completion/completions/gainwarden").read_text() == \
        inside(fresh, "gainwarden", "explain", "completion")
    for file in ("demo/ostrel-barn.json", "demo/barn-desk.json", "dialects/rows.json", "scheme/monitor-setup.json"):
        inside(fresh, "gainwarden", "check", "/usr/share/doc/gainwarden/examples/" + file)

    desk, address = begin_desk(fresh)
    audit = begin(fresh, "/usr/bin/gainwarden", "audit", DEMO + "/ostrel-barn.json", "--desk", address, "--format=json")
    assert audit.wait(PATIENCE_S) == 1
    here = harness.run("audit", harness.SHOW, "--desk", address, "--format=json", timeout=PATIENCE_S)
    assert findings(audit.text()) == findings(here.out) and len(findings(here.out)) > 10
    assert desk.stop() == 0

    theirs = fresh / "etc/gainwarden/ours.json"
    theirs.write_text("{}")
    for state in ("var/lib/private/gainwarden/ours", "var/lib/gainwarden"):
        (fresh / state).mkdir(parents=True)
    mine = {"etc/gainwarden", "etc/gainwarden/ours.json"}
    kept = {"var/lib/private", "var/lib/private/gainwarden", "var/lib/private/gainwarden/ours", "var/lib/gainwarden"}
    inside(fresh, "dpkg", "--remove", "gainwarden")
    after = snapshot(fresh)
    assert set(after) - set(before) == mine | kept and before.items() <= after.items()

    inside(fresh, "dpkg", "--purge", "gainwarden")
    after = snapshot(fresh)
    assert set(after) - set(before) == mine | {"var/lib/private"} and theirs.read_text() == "{}"
    assert before.items() <= after.items()
    shutil.rmtree(fresh / "etc/gainwarden")
    (fresh / "var/lib/private").rmdir()


def test_an_upgrade_leaves_a_running_watch_alone_and_what_it_remembers(package, next_package, fresh):
    install(fresh, package)
    desk, address = begin_desk(fresh)
    show = json.loads((fresh / DEMO[1:] / "ostrel-barn.json").read_text())
    show["desk"].update(profile=DEMO + "/barn-desk.json", stage=DEMO + "/ostrel-barn-stage.json")
    show.update(harness.AT_ONCE)
    show["tell"] = {"lines": {"file": "/srv/edges.jsonl"}}
    harness.write_json(fresh / "srv" / "ours.json", show)
    words = ("/usr/bin/gainwarden", "watch", "--plain", "/srv/ours.json", "--desk", address, "--keep", "/srv/keep")

    def edges():
        return [json.loads(line)["event"] for line in (fresh / "srv/edges.jsonl").read_text().splitlines()]

    watch = begin(fresh, *words)
    watch.expect(r"watching: ", PATIENCE_S)
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        host, port = address.rsplit(":", 1)
        sender.sendto(harness.osc.message("/mix/6/fader", "f", harness.fader_wire(-9)), (host, int(port)))
    watch.expect(r"raised .*\[master-off-unity\] mix 6", PATIENCE_S)

    install(fresh, next_package)
    assert field(next_package, "Version") in inside(fresh, "dpkg-query", "--show", "gainwarden")
    assert watch.running()
    status = inside(fresh, "gainwarden", "status", "/srv/ours.json", "--desk", address, "--keep", "/srv/keep")
    assert "master-off-unity" in status
    assert watch.stop(timeout=PATIENCE_S) == 0
    told = edges()
    assert "raised" in told and told[-1] == "stopped"

    again = begin(fresh, *words)
    again.expect(r"watching: ", PATIENCE_S)
    assert again.stop(timeout=PATIENCE_S) == 0
    assert edges()[len(told):] == ["watching", "stopped"]
    assert not [line for line in again.out.texts() if re.search(r"^\S+ (raised|worse|cleared)", line)]
    assert desk.stop() == 0
    inside(fresh, "dpkg", "--purge", "gainwarden")
