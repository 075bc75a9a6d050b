/* SPDX-License-Identifier: MIT */
#include "base/fingerprint.h"

uint64_t
fingerprint_add(uint64_t fingerprint, const char *text)
{
    for (; *text; text++)
        fingerprint = (fingerprint ^ (unsigned char)*text) * UINT64_C(1099511628211);
    return fingerprint;
}
