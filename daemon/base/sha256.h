/* SPDX-License-Identifier: MIT */
/* The only file that knows Nettle. SHA-256 (FIPS 180-4), as `sha256sum` prints it. */
#ifndef GAINWARDEN_SHA256_H
#define GAINWARDEN_SHA256_H

#include <stdbool.h>
#include <stddef.h>

enum { SHA256_TEXT_SIZE = 65 };

void sha256_text(const void *bytes, size_t length, char text[SHA256_TEXT_SIZE]);

/* Whether both texts are the same. How long it takes tells nothing of how near they are. */
bool sha256_same(const char *one, const char *other);

#endif
