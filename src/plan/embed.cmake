# SPDX-License-Identifier: GPL-3.0-or-later
# cmake -DFROM=text -DTO=source.c -P embed.cmake: the bytes of a text as a C array, with nothing but CMake.
file(READ ${FROM} bytes HEX)
string(REGEX REPLACE "(................................)" "\\1\n" bytes "${bytes}")
string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${bytes}")
file(WRITE ${TO} "/* Made from materials.plan by embed.cmake. */
#include \"plan/builtin.h\"

const unsigned char es_builtin_text[] = {
${bytes}
0x00};
const unsigned long es_builtin_size = sizeof es_builtin_text - 1;
")
