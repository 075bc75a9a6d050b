# SPDX-License-Identifier: MIT
"""The source tree as daemon/rooms.cmake divides it, for the checks beside this file."""
import collections
import pathlib
import re

TOP = pathlib.Path(__file__).resolve().parents[2]

Room = collections.namedtuple("Room", "name folder uses")


def rooms(top=TOP):
    """Every room by its name, the lowest floor first."""
    text = re.sub(r"#.*", "", (top / "daemon" / "rooms.cmake").read_text())
    found = {}
    for folder, words in re.findall(r"^room\(((?:rules|daemon)/\w+)([^)]*)\)", text, re.M):
        lists = dict(re.findall(r"(USES|OWNS)((?:\s+(?!USES|OWNS)\w+)*)", words))
        found[folder.split("/")[1]] = Room(folder.split("/")[1], folder, lists.get("USES", "").split())
    return found


def barred_headers(top=TOP):
    """The headers of others' libraries that rooms.cmake bars to all rooms but one."""
    found = re.findall(r"^set\(\w+_HEADERS ([^)]*)\)", (top / "daemon" / "rooms.cmake").read_text(), re.M)
    return [header for headers in found for header in headers.split()]
