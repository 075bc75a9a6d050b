# SPDX-License-Identifier: MIT
"""Reads the man pages' source (mdoc): what each describes, and with what default. No rendering in between."""
import re

from harness import ROOT

PAGES = ROOT / "contrib" / "man"


def source(page, folder=PAGES):
    """The lines of gainwarden.1, gainwarden-show.5, ..."""
    return (folder / page).read_text().splitlines()


def part(lines, heading):
    """The lines under a heading of either kind, up to the next of its kind or above."""
    kinds = (".Sh ",) if f".Sh {heading}" in lines else (".Sh ", ".Ss ")
    begin = lines.index(f"{kinds[-1]}{heading}") + 1
    end = next((i for i in range(begin, len(lines)) if lines[i].startswith(kinds)), len(lines))
    return lines[begin:end]


def items(lines, macro):
    """{what a line `.It MACRO what ...` names: the lines up to the next item, its own line first}. An item that
    stands twice is a mistake of the page."""
    found, current = {}, None
    for line in lines:
        if line.startswith(f".It {macro} "):
            current = line.split()[2]
            assert current not in found, f"{current} is described twice"
            found[current] = [line]
        elif line.startswith((".It ", ".El", ".Sh ", ".Ss ")):
            current = None
        elif current:
            found[current].append(line)
    return found


def text(lines):
    """Plain words: macros taken away, in one line."""
    plain = " ".join(re.sub(r"^\.(It )?(Cm|Ic|Fl|Ar|Sy|Em|Ql|Qq|Pq|Pa|Dl|Ev|Li)?\b ?", "", line) for line in lines)
    return " ".join(plain.replace('\\(dq', '"').replace("\\&", "").split())


def default(lines):
    """What "Default: ..." says, up to the end of the sentence; None when it says nothing."""
    told = re.search(r"Default: (.*?)\.(?: |$)", text(lines[1:]))
    return told and told.group(1).strip(' "')
