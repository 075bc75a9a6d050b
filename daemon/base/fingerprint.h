/* SPDX-License-Identifier: MIT */
/* A number that tells texts apart, though not against somebody who wants them taken for each other:
 * FNV-1a, 64 bit (Fowler, Noll, Vo; draft-eastlake-fnv). */
#ifndef GAINWARDEN_FINGERPRINT_H
#define GAINWARDEN_FINGERPRINT_H

#include <stdint.h>

#define FINGERPRINT_BEGIN UINT64_C(14695981039346656037)

/* Of all that went before and the text behind it. */
uint64_t fingerprint_add(uint64_t fingerprint, const char *text);

#endif
