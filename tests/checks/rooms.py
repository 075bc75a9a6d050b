#!/usr/bin/python3.11
# SPDX-License-Identifier: MIT
"""Does every room see the rooms it may use, and no other? Asked of the compiler, with the build's own flags. And
does it use each of them, and does DEVELOPERS.md say so?

rooms.py walls BUILD    the table is rooms.cmake; BUILD holds compile_commands.json
rooms.py table          what is named for nothing, or told otherwise in DEVELOPERS.md
"""
import concurrent.futures
import json
import pathlib
import re
import shlex
import subprocess
import sys

from tree import TOP, barred_headers, rooms


def flags(build):
    """Each room's own compile command, without its file and what it writes."""
    found = {}
    for entry in json.loads((build / "compile_commands.json").read_text()):
        command = shlex.split(entry["command"])
        output = command[command.index("-o") + 1]
        if inside := re.match(r"CMakeFiles/gw_(\w+)\.dir/(?:rules|daemon)/", output):
            found[inside[1]] = command[:command.index("-o")]
    return found


def compiles(command, text):
    """What the compiler says against the text, "" when nothing."""
    done = subprocess.run([*command, "-x", "c", "-fsyntax-only", "-"], input=text, text=True, capture_output=True)
    return done.stderr if done.returncode else ""


def a_header(room):
    """One header of the room, as others include it."""
    return room.name + "/" + min((TOP / room.folder).glob("*.h")).name


def seen(command, headers):
    """Which of the headers the compiler finds, and may read."""
    asks = "".join(f'#if __has_include("{h}")\n#pragma message "sees {h};"\n#endif\n' for h in headers)
    said = subprocess.run([*command, "-Wno-error", "-x", "c", "-fsyntax-only", "-"], input=asks, text=True,
                          capture_output=True).stderr
    return set(re.findall(r"sees ([\w/.]+);", said))


def check_room(room, command, all_rooms):
    """The faults of one room: every other is asked for, the nearest forbidden ones in earnest."""
    names, faults = list(all_rooms), []
    may = [*room.uses, room.name]
    headers = {name: a_header(all_rooms[name]) for name in names}
    sees = seen(command, headers.values())
    for name, header in headers.items():
        if (name in may) != (header in sees):
            faults.append(f"{room.folder} {'does not see' if name in may else 'sees'} {header}")
    at = names.index(room.name)
    below = [name for name in names[:at] if name not in may]
    above = [name for name in names[at:] if name not in may]
    for name in below[-1:] + above[:1]:
        said = compiles(command, f'#include "{headers[name]}"\n')
        if not re.search(r"[Nn]o such file|file not found", said):
            faults.append(f"{room.folder} compiles with {headers[name]}: {said}")
    return faults


def check_libraries(commands):
    """Every library's header compiles in exactly one room."""
    headers = barred_headers()
    said = {room: compiles(command, "".join(f"#include <{header}>\n" for header in headers))
            for room, command in commands.items()}
    owners = {header: [room for room in said if f"<{header}> belongs to another room" not in said[room]]
              for header in headers}
    return [f"<{header}> is open to {', '.join(owners[header]) or 'no room'}"
            for header in headers if len(owners[header]) != 1]


def included(file, all_rooms, found):
    """Adds the headers that the file includes to those found, and theirs."""
    for room, name in re.findall(r'^#include "(\w+)/([\w/.]+)"', file.read_text(), re.M):
        header = TOP / all_rooms[room].folder / name if room in all_rooms else None
        if header and header not in found and header.is_file():
            found[header] = room
            included(header, all_rooms, found)


def check_uses(all_rooms):
    """Rooms that are named for nothing."""
    for room in all_rooms.values():
        found = {}
        for file in (TOP / room.folder).rglob("*.[ch]"):
            included(file, all_rooms, found)
        yield from (f"{room.folder} names {other} in rooms.cmake, but nothing of it is included: delete the word"
                    for other in room.uses if other not in found.values())


def meant(words, above_here, all_above):
    """The rooms that the last column of DEVELOPERS.md means, those of rules/ aside where it only says "rules"."""
    words = words.removeprefix("rules, ")
    if words in ("nothing", "rules"):
        return []
    if not words.startswith("all"):
        return words.split()
    left_out = words.removeprefix("all").removeprefix(" but ").split()
    return [name for name in above_here if name not in left_out] + [f"no {name} above" for name in left_out
                                                                   if name not in all_above]


def page_rows(page):
    """(name, start, what it may use) of each row of the rooms' block."""
    block = page[page.index("```\nrules/"):].split("```")[1]
    return re.findall(r"^(\w+) +\S.*?  +([\w.]+\.[ch])  +(\w.*)$", block, re.M)


def check_page(page, all_rooms):
    """What DEVELOPERS.md says of each room, in the order of rooms.cmake."""
    rows, above = page_rows(page), []
    if [row[0] for row in rows] != list(all_rooms):
        yield f"DEVELOPERS.md and rooms.cmake list other rooms, or in another order: {[row[0] for row in rows]}"
        return
    for name, start, words in rows:
        room = all_rooms[name]
        house = room.folder.split("/")[0]
        here = [other for other in above if all_rooms[other].folder.startswith(house)]
        of_rules = [other for other in room.uses if house == "daemon" and all_rooms[other].folder.startswith("rules")]
        said = sorted(meant(words, here, above)), words.startswith("rules")
        if said != (sorted(set(room.uses) - set(of_rules)), bool(of_rules)):
            yield f"DEVELOPERS.md says of {name} '{words}', rooms.cmake '{' '.join(room.uses)}'"
        if not (TOP / room.folder / start).is_file():
            yield f"DEVELOPERS.md says of {name} to start at {start}, which is not there"
        above.append(name)


def check(commands):
    """All faults."""
    all_rooms = rooms()
    faults = [f"{room.folder} is in rooms.cmake, but nothing of it was compiled"
              for room in all_rooms.values() if room.name not in commands]
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        asked = [pool.submit(check_room, all_rooms[name], command, all_rooms) for name, command in commands.items()]
        asked.append(pool.submit(check_libraries, commands))
        return faults + [fault for answer in asked for fault in answer.result()]


def walls(build):
    """What the compiler lets through, or does not; a hole in a wall must be found, else that proves nothing."""
    commands, all_rooms = flags(build), rooms()
    yield from check(commands)
    lowest = next(iter(all_rooms))
    holed = check({lowest: [*commands[lowest], "-I" + str(TOP / "rules")]})
    if not any(f"{all_rooms[lowest].folder} sees" in fault for fault in holed):
        yield "a hole in the wall is not found"


def table():
    """What rooms.cmake and DEVELOPERS.md say, and whether a slip of theirs is found."""
    all_rooms, page = rooms(), (TOP / "DEVELOPERS.md").read_text()
    yield from check_uses(all_rooms)
    yield from check_page(page, all_rooms)
    lowest, highest = list(all_rooms)[0], list(all_rooms)[-1]
    if not list(check_uses({**all_rooms, lowest: all_rooms[lowest]._replace(uses=[highest])})):
        yield "a room that is named for nothing is not found"
    for planted in (page.replace("all but stage\n", "all\n", 1), page.replace("verdict.h ", "none.h    "),
                    page.replace("\nbase ", "\nbass ")):
        if not list(check_page(planted, all_rooms)):
            yield "a slip in DEVELOPERS.md is not found"


def main():
    if sys.argv[1:2] == ["walls"] and len(sys.argv) == 3:
        faults = list(walls(pathlib.Path(sys.argv[2]).resolve()))
    elif sys.argv[1:] == ["table"]:
        faults = list(table())
    else:
        sys.exit(__doc__)
    for fault in faults:
        print("rooms:", fault, file=sys.stderr)
    if faults:
        sys.exit(1)
    print("rooms: they see what they may, and nothing else" if "walls" in sys.argv else "rooms: told as they are")


main()
