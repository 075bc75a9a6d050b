#!/usr/bin/python3.11
# SPDX-License-Identifier: MIT
"""What the object files say of each other, read with nm from the objects themselves, since an archive hides who calls:

  - no circle between rooms, and none between the files of rules/;
  - no symbol that others could use and nobody of the product does: it is deleted, or static (tests do not count).

symbols.py circles BUILD    BUILD holds compile_commands.json and what was built
symbols.py idle BUILD
symbols.py --self-test      planted circles and planted symbols must be found
"""
import collections
import json
import pathlib
import re
import shlex
import subprocess
import sys
import tempfile

# What its own file uses, and tests enter by: they bring bytes of their own, ask for one step of several, or read
# a table.
ENTRANCES = {
    "house_loss_db": "units: one term of the handbooks' sums",
    "osc_check_message": "units and fuzzers: one message without a packet around it",
    "proved_fields": "the man pages' test: the keys of a file of proved ceilings",
    "read_only_may_meet": "units: two addresses of a profile",
    "recording_head_fields": "the man pages' test: the keys of a recording",
    "recording_other_keys": "the same",
    "recording_parse": "fuzzers: a recording from memory",
    "replay_run": "fuzzers: a recording that is in hand",
    "saved_fields": "the man pages' test: the keys of a saved desk",
    "scheme_fields": "the same of a scheme",
    "scheme_file_parse": "fuzzers: a scheme from memory",
    "unfold_line": "units: one line into its fields",
}

# AddressSanitizer's own marks, and where a program begins.
NOT_OURS = re.compile(r"__odr_asan|main$")


def objects(build):
    """(room, file, path) of every object of the product; a file is named as in rules/look/look."""
    for entry in json.loads((build / "compile_commands.json").read_text()):
        command = shlex.split(entry["command"])
        output = command[command.index("-o") + 1]
        if inside := re.match(r"CMakeFiles/(?:gw_(\w+)|gainwarden)\.dir/(.+)\.c\.o$", output):
            yield inside[1] or "main", inside[2], build / output


def symbols(path):
    """What an object defines for others, and what it wants of them."""
    defined, wanted = set(), set()
    listed = subprocess.run(["nm", "--format=posix", path], text=True, capture_output=True, check=True).stdout
    for name, kind in (line.split()[:2] for line in listed.splitlines()):
        if kind == "U":
            wanted.add(name)
        elif kind.isupper() and not NOT_OURS.match(name):
            defined.add(name)
    return defined, wanted


def calls(defined, wanted):
    """{file: {other file: what it wants of it}}"""
    owner = {symbol: file for file, names in defined.items() for symbol in names}
    found = {file: collections.defaultdict(set) for file in defined}
    for file, names in wanted.items():
        for symbol in names:
            if owner.get(symbol, file) != file:
                found[file][owner[symbol]].add(symbol)
    return found


def by_room(edges, room_of):
    """The same between rooms; a symbol carries the files it joins."""
    found = {room: collections.defaultdict(set) for room in room_of.values()}
    for file, others in edges.items():
        for other, names in others.items():
            if room_of[file] != room_of[other]:
                found[room_of[file]][room_of[other]] |= {f"{file} -> {other}: {name}" for name in names}
    return found


def reach(edges, start):
    """All that can be got to from start."""
    seen, todo = set(), [start]
    while todo:
        for other in edges.get(todo.pop(), ()):
            if other not in seen:
                seen.add(other)
                todo.append(other)
    return seen


def circles(edges):
    """The groups whose members all reach each other."""
    to = {node: reach(edges, node) for node in edges}
    groups = {frozenset(other for other in to[node] if node in to[other]) for node in edges if node in to[node]}
    return sorted(map(sorted, groups))


def tell_circles(edges, what):
    """Each circle with what joins its members, the thinnest first: that is where it is most easily cut."""
    for group in circles(edges):
        inside = [(one, other) for one in group for other in edges[one] if other in group]
        joints = "".join(f"\n    {one} -> {other}: {', '.join(sorted(edges[one][other]))}"
                         for one, other in sorted(inside, key=lambda edge: len(edges[edge[0]][edge[1]])))
        yield f"a circle of {len(group)} {what}:{joints}"


def unused(defined, wanted, entrances):
    """Symbols with external linkage that no other object wants, and entrances that are none any more."""
    idle = set().union(*defined.values()) - set().union(*wanted)
    for file in sorted(defined):
        for name in sorted(defined[file] & idle - set(entrances)):
            yield f"{file}: {name} is used by no other file of the program: make it static, or delete it"
    for name in sorted(set(entrances) - idle):
        yield f"ENTRANCES names {name}, which is gone, or used like any other"


def within(edges, part):
    """The edges that begin and end in a part of the tree."""
    return {file: {other: names for other, names in others.items() if other.startswith(part)}
            for file, others in edges.items() if file.startswith(part)}


def read(listed):
    """What each file defines, what it wants, and the edges between rooms and between files."""
    found = {file: symbols(path) for room, file, path in listed}
    defined = {file: pair[0] for file, pair in found.items()}
    wanted = {file: pair[1] for file, pair in found.items()}
    files = calls(defined, wanted)
    return defined, wanted, by_room(files, {file: room for room, file, path in listed}), files


def check(what, listed, entrances=()):
    """All circles, or all idle symbols, of these objects: (room, file, path) each."""
    listed = list(listed)
    if not listed:
        return ["no objects: nothing is proven"]
    defined, wanted, rooms, files = read(listed)
    if what == "idle":
        return list(unused(defined, wanted.values(), entrances))
    return [*tell_circles(rooms, "rooms"), *tell_circles(within(files, "rules/"), "files of rules/")]


# ---- self-test ----

SOUND = {
    "rules/low/a": "int a(void); int a(void) { return 1; }",
    "rules/low/b": "int a(void); int b(void); int b(void) { return a(); }",
    "rules/high/c": "int b(void); extern const int table[]; int c(void); int c(void) { return b() + table[0]; }",
    "rules/high/d": "extern const int table[]; const int table[] = {1};",
    "daemon/main/main": "int c(void); static int own(void) { return c(); } int main(void) { return own(); }",
}

# What is planted: file, its new text, what must be said.
PLANTED = [
    ("rules/low/a", "int b(void); int a(void); int a(void) { return b(); }",
     ["a circle of 2 files of rules/", "rules/low/a -> rules/low/b: b", "rules/low/b -> rules/low/a: a"]),
    ("rules/low/a", "int c(void); int a(void); int a(void) { return c(); }",
     ["a circle of 2 rooms", "low -> high: rules/low/a -> rules/high/c: c",
      "high -> low: rules/high/c -> rules/low/b: b", "a circle of 3 files of rules/"]),
    ("rules/high/d", "int c(void); extern const int table[]; const int table[] = {1}; int (*const f)(void) = c;",
     ["a circle of 2 files of rules/", "rules/high/d -> rules/high/c: c", "rules/high/d: f is used by no other"]),
    ("rules/low/a", "int a(void); int a(void) { return 1; } int spare(void); int spare(void) { return a(); }",
     ["rules/low/a: spare is used by no other"]),
    ("daemon/main/main", "int c(void); int more; int main(void) { return c() + more; }",
     ["daemon/main/main: more is used by no other"]),
]


def built(texts, folder):
    """The texts as objects."""
    for file, text in texts.items():
        path = pathlib.Path(folder) / (file.replace("/", "_") + ".o")
        subprocess.run(["cc", "-O0", "-x", "c", "-c", "-o", path, "-"], input=text, text=True, check=True)
        yield file.split("/")[1], file, path


def said_of(texts, entrances=()):
    """All that is said of the texts."""
    with tempfile.TemporaryDirectory() as folder:
        listed = list(built(texts, folder))
        return "\n".join(check("circles", listed) + check("idle", listed, entrances))


def self_test():
    """None of what is planted may pass, and what is sound must."""
    wrong = []
    if said := said_of({**SOUND, "rules/low/e": "int e(void); int e(void) { return 1; }"}, ["e"]):
        wrong.append(f"what is sound is found at fault: {said}")
    for file, text, sayings in PLANTED:
        said = said_of({**SOUND, file: text})
        wrong += [f"planted in {file}: {text}\n  not said: {saying}\n  but: {said}"
                  for saying in sayings if saying not in said]
    if "ENTRANCES names a," not in said_of(SOUND, ["a"]):
        wrong.append("an entrance that is used like any other passes")
    if not check("circles", []) or not check("idle", []):
        wrong.append("no objects at all pass")
    return wrong


def main():
    if sys.argv[1:] == ["--self-test"]:
        faults, done = self_test(), f"self-test: all {len(PLANTED)} are found"
    elif len(sys.argv) == 3 and sys.argv[1] in ("circles", "idle"):
        faults = check(sys.argv[1], objects(pathlib.Path(sys.argv[2]).resolve()), ENTRANCES)
        done = f"no {sys.argv[1]}" + (" symbols" if sys.argv[1] == "idle" else "")
    else:
        sys.exit(__doc__)
    for fault in faults:
        print("symbols:", fault, file=sys.stderr)
    if faults:
        sys.exit(1)
    print("symbols:", done)


if __name__ == "__main__":
    main()
