#!/bin/sh
# Proves what each part of the program may use:
#   rules/   only headers of the C standard that know no clock, file, locale or signal, and its own;
#            given the built archive, only symbols of memory, strings, sorting and mathematics
#   daemon/  each third-party library in exactly one .c file and no header
#   mocks/   nothing of daemon/ or rules/: one bug must not cancel another
#
# purity.sh [ARCHIVE]      check the tree this script stands in, and the archive of rules/
# purity.sh --self-test    check that each kind of violation is found
set -eu

here=$(cd "$(dirname "$0")/../.." && pwd)

standard='assert ctype float limits math stdarg stdbool stddef stdint stdlib string'

# What an optimiser puts in place of the above is listed too: bcmp, sincos, exp10 ...
symbols='malloc calloc realloc free abort qsort bsearch
memcpy memmove memset memcmp memchr bcmp
strlen strcmp strncmp strchr strrchr strspn strcspn strpbrk strstr
sin cos sincos tan asin acos atan atan2 sinh cosh tanh asinh acosh atanh
exp exp2 exp10 expm1 log log2 log10 log1p pow sqrt cbrt hypot fmod
floor ceil round lround trunc rint nearbyint fabs fmin fmax
__assert_fail __stack_chk_fail _GLOBAL_OFFSET_TABLE_'
prefixes='__asan_ __ubsan_ __sanitizer_ __sancov_'

libraries='uv.h lo/ cjson/ curl/ systemd/ ncurses.h nettle/'

bad=0

complain()
{
    echo "purity: $*" >&2
    bad=1
}

# is_in WORD LIST: whether the word stands in the list
is_in()
{
    for one in $2; do
        [ "$one" = "$1" ] && return 0
    done
    return 1
}

# includes FILE: what the file includes, one a line, with its quotes or brackets; what is written in a
# way that cannot be read here (a macro) comes out as the whole line
includes()
{
    sed -n -e '/^[[:space:]]*#[[:space:]]*include/{' \
        -e 's/^[[:space:]]*#[[:space:]]*include[[:space:]]*\(<[^>]*>\).*/\1/' -e 't print' \
        -e 's/^[[:space:]]*#[[:space:]]*include[[:space:]]*\("[^"]*"\).*/\1/' -e ':print' -e 'p' -e '}' \
        "$1" | tr ' \t' '__'
}

# sources DIRECTORY: its C files
sources()
{
    find "$1" -type f -name '*.[ch]' | LC_ALL=C sort
}

check_rules()
{
    [ -n "$(sources rules)" ] || complain "no sources in rules/"
    for file in $(find rules -type f ! -name '*.[ch]'); do
        complain "$file: rules/ holds .c and .h files only"
    done
    for file in $(sources rules); do
        for include in $(includes "$file"); do
            name=${include#?}
            name=${name%?}
            case $include in
            '<'*'>') is_in "${name%.h}" "$standard" && [ "$name" != "${name%.h}" ] ||
                complain "$file: $include is not allowed in rules/" ;;
            '"'*../*'"') complain "$file: $include leads out of rules/" ;;
            '"'*'"') [ -f "rules/$name" ] || complain "$file: $include is no file of rules/" ;;
            *) complain "$file: cannot tell what '$include' includes" ;;
            esac
        done
    done
}

check_daemon()
{
    for library in $libraries; do
        owners=''
        for file in $(grep -l -r -E "^[[:space:]]*#[[:space:]]*include[[:space:]]*[<\"]$library" \
            daemon); do
            owners="$owners ${file##*/}"
            case $file in
            *.h) complain "$file: <$library...> may not be included by a header" ;;
            esac
        done
        [ "$(echo "$owners" | wc -w)" -eq 1 ] ||
            complain "daemon/: <$library...> must have exactly one owner, found:${owners:- none}"
    done
}

check_mocks()
{
    [ -n "$(sources mocks)" ] || complain "no sources in mocks/"
    for file in $(sources mocks); do
        for include in $(includes "$file"); do
            name=${include#?}
            name=${name%?}
            case $include in
            '"'*/*'"') complain "$file: $include leads out of its directory" ;;
            '"'*'"') [ -f "${file%/*}/$name" ] ||
                complain "$file: $include is no file of ${file%/*}" ;;
            '<'*'>') [ ! -f "daemon/$name" ] && [ ! -f "rules/$name" ] ||
                complain "$file: $include is a header of daemon/ or rules/" ;;
            *) complain "$file: cannot tell what '$include' includes" ;;
            esac
        done
    done
    for file in $(find mocks -name CMakeLists.txt); do
        if grep -n -E 'gw_rules|gw_daemon|\.\./|CMAKE_SOURCE_DIR|PROJECT_SOURCE_DIR' "$file" >&2; then
            complain "$file: the mocks may not reach into the rest of the tree"
        fi
    done
}

# allowed SYMBOL
allowed()
{
    is_in "$1" "$symbols" && return 0
    for prefix in $prefixes; do
        case $1 in
        "$prefix"*) return 0 ;;
        esac
    done
    # the same functions with the C library's bounds checks
    case $1 in
    __mem*_chk | __str*_chk) return 0 ;;
    esac
    return 1
}

check_archive()
{
    # an archive that cannot be read, or holds nothing, proves nothing
    defined=$(nm -g --defined-only "$1" | awk 'NF == 3 { print $3 }')
    undefined=$(nm -u "$1" | awk 'NF == 2 { print $2 }' | LC_ALL=C sort -u)
    [ -n "$defined" ] || complain "$1: defines no symbols"
    for symbol in $undefined; do
        is_in "$symbol" "$defined" || allowed "$symbol" ||
            complain "$1: calls $symbol, which rules/ may not use"
    done
}

# check_tree DIRECTORY: whatever its name holds, the names below it have no spaces
check_tree()
{
    bad=0
    cd "$1"
    check_rules
    check_daemon
    check_mocks
    return "$bad"
}

# ---- self-test ----

# expect WHAT WORDS: the copy in $copy must be found at fault, in these words
expect()
{
    if found=$(check_tree "$copy" 2>&1); then
        echo "purity: self-test: $1 is not found" >&2
        failed=1
    elif ! echo "$found" | grep -q -F -e "$2"; then
        echo "purity: self-test: $1 is found, but told as: $found" >&2
        failed=1
    fi
    cases=$((cases + 1))
}

# fresh: $copy is a sound tree again
fresh()
{
    rm -rf "$copy"
    mkdir "$copy"
    cp -R "$here/rules" "$here/daemon" "$here/mocks" "$copy"
}

# with FILE LINE WHAT WORDS: the line put before the file's first must be found
with()
{
    fresh
    { echo "$2"; cat "$here/$1" 2>/dev/null || true; } >"$copy/$1"
    expect "$3" "$4"
}

self_test_tree()
{
    for header in stdio time locale signal setjmp errno unistd pthread uv; do
        with rules/desk/desk.c "#include <$header.h>" "<$header.h> in rules/" "not allowed in rules/"
    done
    with rules/desk/desk.h '  #  include  <stdio.h> /* x */' "an indented include" "not allowed in rules/"
    with rules/desk/desk.c '#include <math>' "a header without .h" "not allowed in rules/"
    with rules/desk/desk.c '#include "osc/osc.h"' "a header of daemon/ in rules/" "is no file of rules/"
    with rules/desk/desk.c '#include "../daemon/osc/osc.h"' "a path out of rules/" "leads out of rules/"
    with rules/desk/desk.c '#include HEADER' "a macro" "cannot tell what"
    with rules/table.inc '{0},' "a file that is no .c or .h" "holds .c and .h files only"

    with daemon/profile/law.c '#include <uv.h>' "a second owner of libuv" "exactly one owner"
    with daemon/profile/law.c '#include <lo/lo_lowlevel.h>' "a second owner of liblo" "exactly one owner"
    with daemon/profile/law.h '#include <cjson/cJSON.h>' "cJSON in a header" "included by a header"
    for library in $libraries; do
        fresh
        for file in "$copy"/daemon/*/*.c; do
            grep -v "include <$library" "$file" >"$copy/kept" || true
            cat "$copy/kept" >"$file"
        done
        expect "no owner of $library" "<$library...> must have exactly one owner, found: none"
    done

    with mocks/desk/laws.c '#include "../../rules/desk/desk.h"' "a path out of mocks/" "leads out"
    with mocks/desk/laws.c '#include "profile/law.h"' "a header of daemon/ in mocks/" "leads out"
    with mocks/desk/laws.c '#include <engine/engine.h>' "a header of rules/ in mocks/" "is a header of"
    with mocks/CMakeLists.txt 'target_link_libraries(mock-desk gw_rules)' "gw_rules in mocks/" \
        "may not reach into"

    fresh
    rm -rf "$copy"/rules/*
    expect "an empty rules/" "no sources in rules/"
}

# expect_archive SOURCE WANTED WHAT
expect_archive()
{
    echo "$1" | ${CC:-cc} -O0 -x c -c -o "$copy/one.o" -
    rm -f "$copy/one.a"
    ar rc "$copy/one.a" "$copy/one.o"
    if (bad=0; check_archive "$copy/one.a" 2>/dev/null; exit "$bad"); then found=0; else found=1; fi
    if [ "$found" -ne "$2" ]; then
        echo "purity: self-test: $3: found $found, expected $2" >&2
        failed=1
    fi
    cases=$((cases + 1))
}

self_test_archive()
{
    expect_archive '#include <string.h>
        int f(const char *a) { return a[0] ? (int)strlen(a) : 0; }' 0 "strlen is allowed"
    expect_archive '#include <stdio.h>
        int f(int a) { return printf("%d", a); }' 1 "printf"
    expect_archive '#include <time.h>
        long f(void) { return (long)time(0); }' 1 "time"
    expect_archive 'int open(const char *, int); int f(void) { return open("x", 0); }' 1 \
        "open, declared by hand"
    expect_archive '#include <stdlib.h>
        char *f(void) { return getenv("HOME"); }' 1 "getenv"
    expect_archive 'static int nothing;' 1 "an archive without symbols"
    if (bad=0; check_archive "$copy/none.a" 2>/dev/null; exit "$bad"); then
        echo "purity: self-test: a missing archive passes" >&2
        failed=1
    fi
    cases=$((cases + 1))
}

self_test()
{
    copy=$(mktemp -d)/tree
    trap 'rm -rf "${copy%/tree}"' EXIT
    failed=0
    cases=0
    fresh
    if ! check_tree "$copy"; then
        echo "purity: self-test: the tree as it is does not pass" >&2
        failed=1
    fi
    self_test_tree
    fresh
    self_test_archive
    [ "$failed" -eq 0 ] && echo "purity: self-test: $cases violations found"
    return "$failed"
}

case ${1:-} in
--self-test)
    self_test
    exit
    ;;
esac

failed=0
[ $# -eq 0 ] || check_archive "$1"
[ "$bad" -eq 0 ] || failed=1
check_tree "$here" || failed=1
[ "$failed" -eq 0 ] || exit 1
echo "purity: rules/, daemon/ and mocks/ use what they may${1:+, $1 too}"
