#!/usr/bin/python3.11
# SPDX-License-Identifier: MIT
"""No file is passed over because of the folder it lies in: faults are planted in new folders, folders of folders too,
and what builds, formats and lints must meet them.
"""
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile

from tree import TOP

SOUND = "int planted(void);\n\nint\nplanted(void)\n{\n    return 1;\n}\n"
ASKEW = SOUND.replace("    return", "  return")
FAULTY = SOUND.replace("    return 1;", "    int none[1] = {1};\n\n    return none[1];")
PLACES = [f"{part}/{folder}/planted.c" for part in ("daemon", "rules", "mocks")
          for folder in ("new", "new/deep/er")] + ["rules/look/deep/planted.c", "daemon/watch/deep/er/planted.c"]


def ends(script, place, text):
    """What a script of this folder ends with over a tree in which only this was planted."""
    with tempfile.TemporaryDirectory() as folder:
        tree = pathlib.Path(folder)
        for part in ("daemon", "rules", "mocks"):
            (tree / part).mkdir()
            (tree / part / "sound.c").write_text(SOUND)
        shutil.copy(TOP / ".clang-format", tree)
        (tree / place).parent.mkdir(parents=True, exist_ok=True)
        (tree / place).write_text(text)
        return subprocess.run([TOP / "tests/checks" / script, tree], capture_output=True).returncode


def check_scripts():
    for place in PLACES:
        for script, bad in (("format", ASKEW), ("lint", FAULTY)):
            if ends(script, place, SOUND) != 0:
                yield f"{script} finds fault with what is sound in {place}"
            if ends(script, place, bad) == 0:
                yield f"{script} does not find what is planted in {place}"


def configured(place):
    """What CMake says of the program with this file in it, and which files it would compile."""
    with tempfile.TemporaryDirectory() as folder:
        tree = pathlib.Path(folder) / "tree"
        tree.mkdir()
        for name in ("rules", "daemon"):
            shutil.copytree(TOP / name, tree / name)
        for name in ("CMakeLists.txt", "mocks", "contrib"):
            (tree / name).symlink_to(TOP / name)
        (tree / place).parent.mkdir(parents=True, exist_ok=True)
        (tree / place).write_text(SOUND)
        done = subprocess.run(["cmake", "-S", tree, "-B", tree / "build", "-G", "Ninja"], text=True,
                              capture_output=True)
        commands = tree / "build/compile_commands.json"
        files = [entry["file"] for entry in json.loads(commands.read_text())] if commands.exists() else []
        return done.returncode, done.stderr, str(tree / place) in files


def check_build():
    for place in ("rules/new/planted.c", "daemon/new/deep/planted.c", "rules/planted.c"):
        status, said, compiled = configured(place)
        if status == 0 or "in no room" not in said:
            yield f"CMake says nothing of {place}, which lies in no room: {said}"
    for place in ("rules/look/deep/er/planted.c", "daemon/watch/planted.c"):
        status, said, compiled = configured(place)
        if status or not compiled:
            yield f"CMake does not compile {place}: {said}"


def main():
    faults = [*check_scripts(), *check_build()]
    for fault in faults:
        print("folders:", fault, file=sys.stderr)
    if faults:
        sys.exit(1)
    print(f"folders: what is planted in {len(PLACES)} places is found")


main()
