/* SPDX-License-Identifier: MIT */
#include "base/sha256.h"

#include <stdio.h>
#include <string.h>

#include <nettle/memops.h>
#include <nettle/sha2.h>

static void
digest_of(const void *bytes, size_t length, uint8_t digest[SHA256_DIGEST_SIZE])
{
    struct sha256_ctx context;

    sha256_init(&context);
    sha256_update(&context, length, bytes);
    sha256_digest(&context, SHA256_DIGEST_SIZE, digest);
}

void
sha256_text(const void *bytes, size_t length, char text[SHA256_TEXT_SIZE])
{
    uint8_t digest[SHA256_DIGEST_SIZE];

    digest_of(bytes, length, digest);
    for (size_t i = 0; i < sizeof digest; i++)
        snprintf(text + 2 * i, 3, "%02x", digest[i]);
}

/* Digests are compared, so that texts of any length are compared alike. */
bool
sha256_same(const char *one, const char *other)
{
    uint8_t digests[2][SHA256_DIGEST_SIZE];

    digest_of(one, strlen(one), digests[0]);
    digest_of(other, strlen(other), digests[1]);
    return memeql_sec(digests[0], digests[1], SHA256_DIGEST_SIZE) != 0;
}
