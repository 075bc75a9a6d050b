#!/usr/bin/python3.11
"""Does every room see the rooms it may use, and no other? Asked of the compiler, with the build's own flags.

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


def check(commands):
    """All faults."""
    all_rooms = rooms()
    faults = [f"{room.folder} is in rooms.cmake, but nothing of it was compiled"
              for room in all_rooms.values() if room.name not in commands]
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        asked = [pool.submit(check_room, all_rooms[name], command, all_rooms) for name, command in commands.items()]
        asked.append(pool.submit(check_libraries, commands))
        return faults + [fault for answer in asked for fault in answer.result()]


def main():
    commands = flags(pathlib.Path(sys.argv[1]).resolve())
    faults = check(commands)
    for fault in faults:
        print("rooms:", fault, file=sys.stderr)
    # A wall with a hole must be found, else nothing above proves anything.
    lowest = next(iter(rooms()))
    holed = {lowest: [*commands[lowest], "-I" + str(TOP / "rules")]}
    if not any(f"{lowest} sees" in fault for fault in check(holed)):
        sys.exit("rooms: a hole in the wall is not found")
    if faults:
        sys.exit(1)
    print(f"rooms: {len(commands)} rooms see what they may, and nothing else")


main()
