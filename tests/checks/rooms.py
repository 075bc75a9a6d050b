#!/usr/bin/python3.11
"""Does every room see the rooms it may use, and no other? Asked of the compiler, with the build's own flags. And
does it use each of them?

rooms.py BUILD    the table is rooms.cmake; BUILD holds compile_commands.json
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


def check(commands):
    """All faults."""
    all_rooms = rooms()
    faults = [f"{room.folder} is in rooms.cmake, but nothing of it was compiled"
              for room in all_rooms.values() if room.name not in commands]
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        asked = [pool.submit(check_room, all_rooms[name], command, all_rooms) for name, command in commands.items()]
        asked.append(pool.submit(check_libraries, commands))
        return faults + [fault for answer in asked for fault in answer.result()]


def self_test(commands):
    """A wall with a hole and a name for nothing must be found, else nothing above proves anything."""
    all_rooms = rooms()
    lowest, highest = list(all_rooms)[0], list(all_rooms)[-1]
    holed = check({lowest: [*commands[lowest], "-I" + str(TOP / "rules")]})
    if not any(f"{all_rooms[lowest].folder} sees" in fault for fault in holed):
        yield "a hole in the wall is not found"
    needless = {**all_rooms, lowest: all_rooms[lowest]._replace(uses=[highest])}
    if not any(f"names {highest} in rooms.cmake, but" in fault for fault in check_uses(needless)):
        yield "a room that is named for nothing is not found"


def main():
    commands = flags(pathlib.Path(sys.argv[1]).resolve())
    faults = [*check(commands), *self_test(commands)]
    for fault in faults:
        print("rooms:", fault, file=sys.stderr)
    if faults:
        sys.exit(1)
    print(f"rooms: {len(commands)} rooms see what they may, and nothing else")


main()
