# SPDX-License-Identifier: MIT
# Makes one script of several modules of JavaScript, each in a scope of its own, so that a browser asks once:
#   cmake "-DFROM=dom.js;board.js" -DTO=board.js -P join.cmake
# A module stands behind those it imports. It says at the start of a line what it exports (const, function or class) and
# in whole lines what it imports by name.
set(joined "// SPDX-License-Identifier: MIT\n// Made by join.cmake from several.\n\"use strict\";\n")
foreach(file ${FROM})
    get_filename_component(name ${file} NAME_WE)
    file(READ ${file} text)
    string(REGEX REPLACE "(^|\n)import ({[^}]*}) from \"\\./([a-z]+)\\.js\";" "\\1const \\2 = module_\\3;" text "${text}")
    string(REGEX MATCHALL "\nexport (const|async function|function|class) [A-Za-z_]+" exports "${text}")
    string(REGEX REPLACE ";?\nexport (const|async function|function|class) " ", " names "${exports}")
    string(REGEX REPLACE "^, " "" names "${names}")
    string(REGEX REPLACE "\nexport (const|async function|function|class) " "\n\\1 " text "${text}")
    string(REGEX MATCH "\n(import|export) [^\n]*" left "${text}")
    if(left)
        message(FATAL_ERROR "${file}: it is not known how to join${left}")
    endif()
    string(APPEND joined "const module_${name} = (() => {\n${text}return { ${names} };\n})();\n")
endforeach()
file(WRITE ${TO} "${joined}")
