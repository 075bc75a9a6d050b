/* SPDX-License-Identifier: MIT */
/* What writing and reading a recording share; nobody else includes it. */
#ifndef GAINWARDEN_RECORDING_PARTS_H
#define GAINWARDEN_RECORDING_PARTS_H

#include <stdint.h>

/* Behind a line's own text: its sum, 16 digits, and the end of the object. */
#define RECORDING_SUM ",\"sum\":\""
#define RECORDING_SUM_END "\"}"

enum { RECORDING_DIGITS = 16 };

/* How every recording begins, whatever its format. */
#define RECORDING_BEGIN "{\"recording_format\":"

#endif
