/* SPDX-License-Identifier: MIT */
#include "listen/address.h"

#include <stdlib.h>
#include <string.h>

#define DIGITS "0123456789"
#define LETTERS "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"

int
address_numbers(const char *address, struct address_number numbers[ADDRESS_NUMBERS])
{
    const char *at = address;
    int count = 0;

    while (*(at += strcspn(at, DIGITS))) {
        size_t digits = strspn(at, DIGITS);

        if (count == ADDRESS_NUMBERS || digits > ADDRESS_DIGITS)
            return -1;
        numbers[count++] =
            (struct address_number){(size_t)(at - address), digits, (int)strtol(at, NULL, 10)};
        at += digits;
    }
    return count;
}

bool
address_alike(const char *one, const char *other)
{
    for (;;) {
        size_t here = strspn(one, DIGITS), there = strspn(other, DIGITS);

        if ((here > 0) != (there > 0) || one[here] != other[there])
            return false;
        if (!one[here])
            return true;
        one += here + 1;
        other += there + 1;
    }
}

/* FNV-1a over what is no number; any number is one '#'. */
uint64_t
address_shape(const char *address)
{
    uint64_t hash = UINT64_C(14695981039346656037);

    while (*address) {
        size_t digits = strspn(address, DIGITS);
        unsigned char next = digits > 0 ? '#' : (unsigned char)*address;

        hash = (hash ^ next) * UINT64_C(1099511628211);
        address += digits > 0 ? digits : 1;
    }
    return hash;
}

bool
address_is_plain(const char *address)
{
    size_t length = strlen(address);

    return length > 0 && length < ADDRESS_SIZE - 1 &&
           strspn(address, LETTERS DIGITS "/_.-:") == length;
}
