#!/usr/bin/python3.11
# SPDX-License-Identifier: MIT
"""Every source file of the repository says its licence in its first five lines.

licence.py                 asks git which files there are
licence.py --self-test     a file without the line, and one with it too late, must be found
"""
import subprocess
import sys

from tree import TOP

# Not what the program prints as it stands: completion.bash.
LINE, WITHIN = "SPDX-License-Identifier: MIT", 5
ENDS = (".c", ".h", ".cpp", ".py", ".sh", ".js", ".cmake", "CMakeLists.txt", "own-folder")


def is_source(name, text):
    """What is written in a language, and scripts by whatever name."""
    return name.endswith(ENDS) or text.startswith("#!")


def lacking(files):
    """Of (name, text), the names of sources that do not say it."""
    return [name for name, text in files
            if is_source(name, text) and not any(LINE in line for line in text.splitlines()[:WITHIN])]


def committed():
    listed = subprocess.run(["git", "-C", TOP, "ls-files", "-z"], text=True, stdout=subprocess.PIPE, check=True).stdout
    for name in listed.split("\0"):
        if name and (TOP / name).is_file():
            yield name, (TOP / name).read_text(errors="replace")


def self_test():
    said = f"/* {LINE} */\n"
    files = {"a.c": said, "b.h": "\n" * 4 + said, "c.c": "int c;\n", "d.py": "\n" * 5 + "# " + LINE, "e.md": "",
             "f": "#!/bin/sh\n# " + LINE, "g": "#!/bin/sh\n", "h.c": "", "CMakeLists.txt": "project(x)\n"}
    found = lacking(files.items())
    return [] if found == ["c.c", "d.py", "g", "h.c", "CMakeLists.txt"] else [f"self-test: found {found}"]


def main():
    files = list(committed())
    faults = self_test() if "--self-test" in sys.argv else [f"{name} lacks '{LINE}' in its first {WITHIN} lines"
                                                           for name in lacking(files)]
    if not files:
        faults.append("git lists no files: nothing is proven")
    for fault in faults:
        print("licence:", fault, file=sys.stderr)
    if faults:
        sys.exit(1)
    print("licence: every source says its licence")


main()
