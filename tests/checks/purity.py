#!/usr/bin/python3.11
# SPDX-License-Identifier: MIT
"""Proves what each part of the program may use:

  rules/   only headers of the C standard that know no clock, file, locale or signal, and its own;
           given the built archive, only symbols of memory, strings, sorting and mathematics
  daemon/  its own headers and those of rules/; each third-party library in exactly one .c file and no header
  mocks/   nothing of daemon/ or rules/: one bug must not cancel another

and that the number of a value is read together with whether it is known: only rules/desk looks into a value,
and only who tells or keeps what was heard last asks for that.

purity.py [ARCHIVE]      check the tree this script stands in, and the archive of rules/
purity.py --self-test    check that each kind of violation is found
"""
import functools
import re
import subprocess
import sys
import tempfile

from tree import TOP

STANDARD = set("assert ctype float limits math stdarg stdbool stddef stdint stdlib string".split())

# What an optimiser puts in place of the above is listed too: bcmp, sincos, exp10 ...
SYMBOLS = set("""malloc calloc realloc free abort qsort bsearch
memcpy memmove memset memcmp memchr bcmp
strlen strcmp strncmp strchr strrchr strspn strcspn strpbrk strstr
sin cos sincos tan asin acos atan atan2 sinh cosh tanh asinh acosh atanh
exp exp2 exp10 expm1 log log2 log10 log1p pow sqrt cbrt hypot fmod
floor ceil round lround trunc rint nearbyint fabs fmin fmax
__assert_fail __stack_chk_fail _GLOBAL_OFFSET_TABLE_""".split())
# Sanitizers, and the same functions with the C library's bounds checks.
SYMBOLS_LIKE = re.compile(r"__asan_|__ubsan_|__sanitizer_|__sancov_|__(mem|str)\w*_chk$")

LIBRARIES = "uv.h lo/ cjson/ curl/ systemd/ ncurses.h nettle/ microhttpd.h qrencode.h".split()


def read_tree(top):
    """{name: text} of every file of the three parts, in whatever folder."""
    return {str(path.relative_to(top)): path.read_text(errors="replace")
            for part in ("rules", "daemon", "mocks") for path in sorted((top / part).rglob("*")) if path.is_file()}


def sources(tree, part):
    return {name: text for name, text in tree.items() if name.startswith(part + "/") and name.endswith((".c", ".h"))}


@functools.cache
def includes(text):
    """What is included, each with its quotes or brackets; where that cannot be told, all that stands there."""
    lines = re.findall(r"^[ \t]*#[ \t]*include(.*)", text, re.M)
    plain = [re.match(r'\s*(<[^>]*>|"[^"]*")', line) for line in lines]
    return [found[1] if found else line.strip() for line, found in zip(lines, plain)]


def each_include(tree, part, judge):
    """What judge(file, kind, name) finds at fault; kind is < or "."""
    if not sources(tree, part):
        return [f"no sources in {part}/"]
    faults = []
    for file, text in sources(tree, part).items():
        for include in includes(text):
            if include[0] not in '<"':
                faults.append(f"{file}: cannot tell what '{include}' includes")
            elif fault := judge(file, include[0], include[1:-1]):
                faults.append(f"{file}: {include} {fault}")
    return faults


def check_rules(tree):
    def judge(file, kind, name):
        if kind == "<":
            return None if name.endswith(".h") and name[:-2] in STANDARD else "is not allowed in rules/"
        if "../" in name:
            return "leads out of rules/"
        return None if "rules/" + name in tree else "is no file of rules/"

    odd = [name for name in tree if name.startswith("rules/") and not name.endswith((".c", ".h"))]
    return each_include(tree, "rules", judge) + [f"{name}: rules/ holds .c and .h files only" for name in odd]


def check_daemon(tree):
    owners = {library: [] for library in LIBRARIES}

    def judge(file, kind, name):
        for library in LIBRARIES:
            if name.startswith(library):
                owners[library].append(file)
                return "may not be included by a header" if file.endswith(".h") else None
        if kind == '"' and "../" in name:
            return "leads out of its folder"
        known = kind == "<" or "daemon/" + name in tree or "rules/" + name in tree
        return None if known else "is no file of daemon/ or rules/"

    faults = each_include(tree, "daemon", judge)
    return faults + [f"daemon/: <{library}...> must have exactly one owner, found: {' '.join(files) or 'none'}"
                     for library, files in owners.items() if len(set(files)) != 1]


def check_mocks(tree):
    def judge(file, kind, name):
        if kind == "<":
            ours = "daemon/" + name in tree or "rules/" + name in tree
            return "is a header of daemon/ or rules/" if ours else None
        if "/" in name:
            return "leads out of its directory"
        known = any(other.startswith("mocks/") and other.rpartition("/")[2] == name for other in tree)
        return None if known else "is no file of mocks/"

    faults = each_include(tree, "mocks", judge)
    for file, text in tree.items():
        if file.startswith("mocks/") and file.endswith("CMakeLists.txt"):
            found = re.findall(r"gw_(?!(?:plain_)?warnings\b)\w+|\.\./|CMAKE_SOURCE_DIR|PROJECT_SOURCE_DIR", text)
            faults += [f"{file}: {word}: the mocks may not reach into the rest of the tree" for word in found]
    return faults


# Words, files and what compares one hearing with the next.
TELLS_LAST = set("""rules/desk/shelf.h rules/desk/catch_up.c daemon/watch/relay.c rules/change/difference.c rules/change/difference_words.c
rules/change/moves.c rules/change/offset_words.c rules/engine/engine.c rules/watcher/cause.c
daemon/saved/file.c daemon/report/compare_json.c daemon/show/approved.c daemon/command/listen.c
daemon/watch/board_tile.c""".split())


def check_values(tree):
    faults = []
    for part in ("rules", "daemon"):
        for file, text in sources(tree, part).items():
            if "heard_number" in text and not file.startswith("rules/desk/"):
                faults.append(f"{file}: heard_number is read without whether it is known")
            if "value_last_heard" in text and file not in TELLS_LAST:
                faults.append(f"{file}: value_last_heard() is for who tells or keeps it with its state")
    return faults


def check_tree(tree):
    return check_rules(tree) + check_daemon(tree) + check_mocks(tree) + check_values(tree)


def listed(archive, *options):
    done = subprocess.run(["nm", "--format=posix", *options, archive], text=True, capture_output=True)
    return {line.split()[0] for line in done.stdout.splitlines() if re.match(r"\S+ [A-Za-z]\b", line)}


def check_archive(archive):
    """An archive that cannot be read, or holds nothing, proves nothing."""
    defined = listed(archive, "-g", "--defined-only")
    if not defined:
        return [f"{archive}: defines no symbols"]
    return [f"{archive}: calls {symbol}, which rules/ may not use" for symbol in sorted(listed(archive, "-u") - defined)
            if symbol not in SYMBOLS and not SYMBOLS_LIKE.match(symbol)]


# ---- self-test ----

# A line put before a file's first, what it is, and how it must be told.
PLANTED = [
    *[("rules/desk/desk.c", f"#include <{header}.h>", f"<{header}.h> in rules/", "not allowed in rules/")
      for header in "stdio time locale signal setjmp errno unistd pthread uv".split()],
    ("rules/desk/desk.h", "  #  include  <stdio.h> /* x */", "an indented include", "not allowed in rules/"),
    ("rules/desk/desk.c", "#include <math>", "a header without .h", "not allowed in rules/"),
    ("rules/desk/desk.c", '#include "osc/osc.h"', "a header of daemon/ in rules/", "is no file of rules/"),
    ("rules/desk/desk.c", '#include "../daemon/osc/osc.h"', "a path out of rules/", "leads out of rules/"),
    ("rules/desk/desk.c", '#include "../engine/life.h"', "a path around the rooms", "leads out of rules/"),
    ("rules/desk/desk.c", "#include HEADER", "a macro", "cannot tell what"),
    ("rules/table.inc", "{0},", "a file that is no .c or .h", "holds .c and .h files only"),
    ("rules/look/deep/er/new.c", "#include <stdio.h>", "stdio in a folder of a folder", "not allowed in rules/"),
    ("rules/look/deep/table.inc", "{0},", "an odd file in a folder of a folder", "holds .c and .h files only"),

    ("daemon/profile/law.c", "#include <uv.h>", "a second owner of libuv", "exactly one owner"),
    ("daemon/profile/law.c", "#include <lo/lo_lowlevel.h>", "a second owner of liblo", "exactly one owner"),
    ("daemon/profile/law.c", '#include "uv.h"', "a second owner in quotes", "exactly one owner"),
    ("daemon/profile/law.h", "#include <cjson/cJSON.h>", "cJSON in a header", "included by a header"),
    ("daemon/profile/deep/er/new.c", "#include <uv.h>", "an owner in a folder of a folder", "exactly one owner"),
    ("daemon/profile/deep/new.h", "#include <curl/curl.h>", "a header in a folder of a folder",
     "included by a header"),
    ("daemon/base/csv.c", '#include "../watch/desk.h"', "a path around the rooms", "leads out of its folder"),
    ("daemon/base/csv.c", '#include "desk/none.h"', "a header that is nowhere", "is no file of daemon/ or rules/"),
    ("daemon/base/csv.c", "#include HEADER", "a macro in daemon/", "cannot tell what"),

    ("rules/check/input_hot.c", "static double x(struct value v) { return v.heard_number; }", "a look into a value",
     "without whether it is known"),
    ("rules/check/input_hot.c", "#define X(v) value_last_heard(v)", "a check that takes a stale value",
     "for who tells or keeps it"),

    ("mocks/desk/laws.c", '#include "../../rules/desk/desk.h"', "a path out of mocks/", "leads out"),
    ("mocks/desk/laws.c", '#include "profile/law.h"', "a header of daemon/ in mocks/", "leads out"),
    ("mocks/desk/laws.c", "#include <engine/engine.h>", "a header of rules/ in mocks/", "is a header of"),
    ("mocks/desk/deep/new.c", "#include <engine/engine.h>", "the same in a folder of a folder", "is a header of"),
    ("mocks/CMakeLists.txt", "target_link_libraries(mock-desk gw_rules)", "gw_rules in mocks/", "may not reach into"),
    ("mocks/CMakeLists.txt", "target_link_libraries(mock-desk gw_desk)", "a room in mocks/", "may not reach into"),
    ("mocks/desk/CMakeLists.txt", "include_directories(../..)", "a path out of mocks/desk", "may not reach into"),
]

# Source of an archive, whether it passes, and what it is.
ARCHIVES = [
    ("#include <string.h>\nint f(const char *a) { return a[0] ? (int)strlen(a) : 0; }", True, "strlen"),
    ('#include <stdio.h>\nint f(int a) { return printf("%d", a); }', False, "printf"),
    ("#include <time.h>\nlong f(void) { return (long)time(0); }", False, "time"),
    ('int open(const char *, int); int f(void) { return open("x", 0); }', False, "open, declared by hand"),
    ('#include <stdlib.h>\nchar *f(void) { return getenv("HOME"); }', False, "getenv"),
    ("static int nothing;", False, "an archive without symbols"),
    (None, False, "a missing archive"),
]


def without(tree, library):
    """The tree in which nobody includes the library."""
    return {name: re.sub(rf".*include <{library}.*", "", text) if name.startswith("daemon/") else text
            for name, text in tree.items()}


def planted_trees(tree):
    """(tree, what is wrong with it, how that must be told)"""
    for file, line, what, words in PLANTED:
        yield {**tree, file: line + "\n" + tree.get(file, "")}, what, words
    for library in LIBRARIES:
        yield (without(tree, library), f"no owner of {library}",
               f"<{library}...> must have exactly one owner, found: none")
    for part in ("rules", "daemon", "mocks"):
        yield ({name: text for name, text in tree.items() if not name.startswith(part + "/")}, f"an empty {part}/",
               f"no sources in {part}/")


def archive_of(source, folder):
    """The archive that the source makes, in the folder."""
    archive, made = folder + "/one.a", folder + "/one.o"
    if source:
        subprocess.run(["cc", "-O0", "-x", "c", "-c", "-o", made, "-"], input=source, text=True, check=True)
        subprocess.run(["ar", "rc", archive, made], check=True)
    return archive


def self_test_trees(tree):
    wrong, cases = [f"the tree as it is does not pass: {fault}" for fault in check_tree(tree)], 1
    for planted, what, words in planted_trees(tree):
        said = check_tree(planted)
        if not any(words in fault for fault in said):
            wrong.append(f"{what} is not found" if not said else f"{what} is found, but told as: {said}")
        cases += 1
    return wrong, cases


def self_test_archives():
    wrong = []
    for source, passes, what in ARCHIVES:
        with tempfile.TemporaryDirectory() as folder:
            said = check_archive(archive_of(source, folder))
        if passes == bool(said):
            wrong.append(f"{what} is {'refused' if passes else 'not found'}: {said}")
    return wrong, len(ARCHIVES)


def self_test():
    wrong, cases = self_test_trees(read_tree(TOP))
    more_wrong, more_cases = self_test_archives()
    return wrong + more_wrong, cases + more_cases


def main():
    if sys.argv[1:] == ["--self-test"]:
        faults, cases = self_test()
        done = f"self-test: {cases} cases are judged as they must be"
    else:
        faults = [fault for archive in sys.argv[1:2] for fault in check_archive(archive)] + check_tree(read_tree(TOP))
        done = "rules/, daemon/ and mocks/ use what they may" + "".join(f", {a} too" for a in sys.argv[1:2])
    for fault in faults:
        print("purity:", fault, file=sys.stderr)
    if faults:
        sys.exit(1)
    print("purity:", done)


main()
