# SPDX-License-Identifier: MIT
# Turns a text file into a C file that holds its bytes, ended by a NUL:
#   cmake -DFROM=page.css -DTO=page_css.c -DNAME=embedded_page_css -P embed.cmake
file(READ ${FROM} bytes HEX)
string(REGEX REPLACE "([0-9a-f][0-9a-f])" "'\\\\x\\1', " bytes "${bytes}")
string(REGEX REPLACE "(('[^']+', ){16})" "\\1\n    " bytes "${bytes}")
file(WRITE ${TO} "/* Made from ${FROM} by embed.cmake. */\n#include \"base/embedded.h\"\n\n"
    "const char ${NAME}[] = {\n    ${bytes}'\\0'};\n")
