/* SPDX-License-Identifier: MIT */
/* The numbers in an address, by which one control is told from the next: /in/7/to/2/level. Pure. */
#ifndef GAINWARDEN_LISTEN_ADDRESS_H
#define GAINWARDEN_LISTEN_ADDRESS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { ADDRESS_SIZE = 128, ADDRESS_NUMBERS = 4, ADDRESS_DIGITS = 6 };

struct address_number {
    size_t at, digits; /* where it stands */
    int value;
};

/* Its numbers in order; how many. -1: more of them, or longer ones, than an address may have. */
int address_numbers(const char *address, struct address_number numbers[ADDRESS_NUMBERS]);

/* Whether two differ in their numbers alone; and a hash that is the same then. */
bool address_alike(const char *one, const char *other);
uint64_t address_shape(const char *address);

/* Whether an entry of a profile can be written for it. */
bool address_is_plain(const char *address);

#endif
