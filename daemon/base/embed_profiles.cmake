# SPDX-License-Identifier: MIT
# The profiles that ship, as one JSON array:
#   cmake -DTO=profiles.json -DFROM=a.json,b.json -P embed_profiles.cmake
string(REPLACE "," ";" files "${FROM}")
set(all "")
foreach(file ${files})
    file(READ ${file} one)
    if(NOT one MATCHES "\"profile_format\"")
        continue() # a show or a saved desk
    endif()
    if(all)
        string(APPEND all ",\n")
    endif()
    string(APPEND all "${one}")
endforeach()
file(WRITE ${TO} "[\n${all}]\n")
