/* SPDX-License-Identifier: MIT */
#include "base/sha256.h"

#include <stdio.h>

#include <nettle/sha2.h>

void
sha256_text(const void *bytes, size_t length, char text[SHA256_TEXT_SIZE])
{
    uint8_t digest[SHA256_DIGEST_SIZE];
    struct sha256_ctx context;

    sha256_init(&context);
    sha256_update(&context, length, bytes);
    sha256_digest(&context, sizeof digest, digest);
    for (size_t i = 0; i < sizeof digest; i++)
        snprintf(text + 2 * i, 3, "%02x", digest[i]);
}
