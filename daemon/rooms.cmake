# SPDX-License-Identifier: MIT
# The rooms of the program and what each may use. A room sees its own folder and those it names, so that any
# other include does not compile; and it may only name rooms above its own line, so that there is no way back up.
#
#   room(FOLDER USES ROOM ... OWNS LIBRARY ...)
#
# USES counts every header that gets in, also through another room's header; what is named for nothing is a
# fault (tests/checks/rooms.py). A new room, or a new use of one below, is a change of this file.

# The libraries of others: each belongs to one room, and its header is barred to all others.
set(LIBRARIES LIBUV LIBLO CJSON CURL SYSTEMD NCURSES NETTLE MICROHTTPD QRENCODE)
set(LIBUV_HEADERS uv.h)
set(LIBLO_HEADERS lo/lo.h lo/lo_lowlevel.h)
set(CJSON_HEADERS cjson/cJSON.h)
set(CURL_HEADERS curl/curl.h)
set(SYSTEMD_HEADERS systemd/sd-daemon.h systemd/sd-journal.h)
set(NCURSES_HEADERS ncurses.h)
set(NETTLE_HEADERS nettle/sha2.h nettle/memops.h)
set(MICROHTTPD_HEADERS microhttpd.h)
set(QRENCODE_HEADERS qrencode.h)

set(ROOMS_DIR ${CMAKE_BINARY_DIR}/rooms)

foreach(library ${LIBRARIES})
    foreach(header ${${library}_HEADERS})
        file(CONFIGURE OUTPUT ${ROOMS_DIR}/barred/${library}/${header}
            CONTENT "#error <${header}> belongs to another room: see rooms.cmake\n")
    endforeach()
endforeach()

# room_sees(ROOM OTHER): its headers are found as "OTHER/file.h"
function(room_sees room other)
    target_include_directories(gw_${room} PRIVATE ${ROOMS_DIR}/${other})
endfunction()

# room_libraries(ROOM LIBRARY ...): it is linked with these, and no other's header compiles in it
function(room_libraries room)
    foreach(library ${LIBRARIES})
        if(library IN_LIST ARGN)
            target_link_libraries(gw_${room} PRIVATE PkgConfig::${library})
        else()
            target_include_directories(gw_${room} PRIVATE ${ROOMS_DIR}/barred/${library})
        endif()
    endforeach()
endfunction()

function(room folder)
    cmake_parse_arguments(PARSE_ARGV 1 IT "" "" "USES;OWNS")
    get_filename_component(room ${folder} NAME)
    get_filename_component(house ${folder} DIRECTORY)
    file(GLOB_RECURSE sources CONFIGURE_DEPENDS ${folder}/*.c)
    list(REMOVE_ITEM sources ${CMAKE_SOURCE_DIR}/daemon/command/main.c) # tests have their own
    add_library(gw_${room} OBJECT ${sources})
    target_link_libraries(gw_${room} PRIVATE gw_warnings gw_${house}_language)
    file(MAKE_DIRECTORY ${ROOMS_DIR}/${room})
    file(CREATE_LINK ${CMAKE_SOURCE_DIR}/${folder} ${ROOMS_DIR}/${room}/${room} SYMBOLIC)
    room_sees(${room} ${room})
    foreach(other ${IT_USES})
        if(NOT TARGET gw_${other})
            message(FATAL_ERROR "rooms.cmake: ${folder} uses ${other}, which no line above it names")
        endif()
        room_sees(${room} ${other})
    endforeach()
    room_libraries(${room} ${IT_OWNS})
    target_link_libraries(gw_${house} PRIVATE gw_${room})
    set_property(GLOBAL APPEND PROPERTY GW_IN_ROOMS ${sources})
endfunction()

# Floors, the lowest first.
room(rules/core)
room(rules/desk USES core)
room(rules/look USES core desk)
room(rules/sound USES core desk look)
room(rules/spectrum USES core)
room(rules/change USES core desk look sound spectrum)
room(rules/stage USES core desk look sound)
room(rules/proof USES core desk look sound)
room(rules/check USES core desk look sound spectrum change stage proof)
room(rules/advice USES core desk look sound spectrum change proof check)
room(rules/engine USES core desk look sound spectrum change stage proof check advice)
room(rules/score USES core desk look change check advice engine)
room(rules/watcher USES core desk look change check engine)
room(rules/ring USES core desk look sound spectrum proof)

room(daemon/base USES core OWNS CJSON NETTLE)
room(daemon/osc USES core OWNS LIBLO)
room(daemon/profile USES core desk look sound spectrum base osc)
room(daemon/saved USES core desk proof base osc profile)
room(daemon/show USES core desk look spectrum stage proof change check engine base osc profile saved)
room(daemon/loop USES core base OWNS LIBUV CURL SYSTEMD)
room(daemon/link USES core desk look spectrum change check engine base osc profile loop)
room(daemon/report
    USES core desk look sound stage proof change check advice engine base osc profile saved show loop link)
room(daemon/tell
    USES core desk look change check engine watcher base osc profile show loop link report)
room(daemon/screen USES core base loop OWNS NCURSES)
room(daemon/board USES core base loop OWNS MICROHTTPD QRENCODE)
room(daemon/page
    USES core desk look sound change stage proof check advice engine base osc profile saved show loop link report)
room(daemon/review
    USES core desk look change check advice engine score base osc profile saved show loop link report page)
room(daemon/watch
    USES core desk look sound spectrum change stage proof check advice engine watcher base osc profile saved show loop link
        report tell screen board)
room(daemon/along
    USES core desk look spectrum change check engine proof ring watcher base osc profile saved show loop link screen)
room(daemon/listen
    USES core desk look change check engine base osc profile loop link)
room(daemon/command
    USES core desk look sound stage proof change check advice engine score base osc profile saved show loop link
        report tell board review watch along listen)

# What lies in no room would be built by nobody.
file(GLOB_RECURSE sources CONFIGURE_DEPENDS rules/*.c daemon/*.c)
get_property(in_rooms GLOBAL PROPERTY GW_IN_ROOMS)
list(REMOVE_ITEM sources ${in_rooms} ${CMAKE_SOURCE_DIR}/daemon/command/main.c)
if(sources)
    message(FATAL_ERROR "rooms.cmake: these lie in no room: ${sources}")
endif()
