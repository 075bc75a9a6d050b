/* SPDX-License-Identifier: MIT */
#include "rubbish.h"

#include <string.h>

typedef size_t maker_fn(struct faults *faults, const uint8_t *real, size_t real_size, uint8_t *out);

static size_t
copy(uint8_t *out, const void *bytes, size_t size)
{
    memcpy(out, bytes, size);
    return size;
}

static size_t
noise(struct faults *faults, const uint8_t *real, size_t real_size, uint8_t *out)
{
    size_t size = 1 + faults_random(faults, RUBBISH_SIZE);

    (void)real;
    (void)real_size;
    for (size_t i = 0; i < size; i++)
        out[i] = (uint8_t)faults_random(faults, 256);
    out[0] |= 0x80; /* neither '/' nor '#' */
    return size;
}

/* The beginning of the datagram it follows, never a whole number of words. */
static size_t
cut_short(struct faults *faults, const uint8_t *real, size_t real_size, uint8_t *out)
{
    size_t size = real_size < RUBBISH_SIZE ? real_size : RUBBISH_SIZE;

    size = 1 + faults_random(faults, (uint32_t)size - 1);
    if (size % 4 == 0)
        size--;
    return copy(out, real, size);
}

static size_t
blob_without_bytes(struct faults *faults, const uint8_t *real, size_t real_size, uint8_t *out)
{
    (void)faults;
    (void)real;
    (void)real_size;
    return copy(out, "/a\0\0,b\0\0", 8);
}

static size_t
blob_too_long(struct faults *faults, const uint8_t *real, size_t real_size, uint8_t *out)
{
    (void)faults;
    (void)real;
    (void)real_size;
    return copy(out, "/a\0\0,b\0\0\xff\xff\xff\xfd\0\0\0\0", 16);
}

static size_t
empty_element(struct faults *faults, const uint8_t *real, size_t real_size, uint8_t *out)
{
    (void)faults;
    (void)real;
    (void)real_size;
    return copy(out, "#bundle\0\0\0\0\0\0\0\0\1\0\0\0\0", 20);
}

static size_t
stray_nan(struct faults *faults, const uint8_t *real, size_t real_size, uint8_t *out)
{
    (void)faults;
    (void)real;
    (void)real_size;
    return copy(out, "/no/such/thing\0\0,f\0\0\x7f\xc0\0\0", 24);
}

static maker_fn *const MAKERS[] = {noise,         cut_short,     blob_without_bytes,
                                   blob_too_long, empty_element, stray_nan};

size_t
rubbish_make(struct faults *faults, const uint8_t *real, size_t real_size,
             uint8_t out[RUBBISH_SIZE])
{
    uint32_t kind = faults_random(faults, sizeof MAKERS / sizeof MAKERS[0]);

    return MAKERS[kind](faults, real, real_size, out);
}
