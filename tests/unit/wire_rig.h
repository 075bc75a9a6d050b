/* SPDX-License-Identifier: MIT */
/* OSC messages put together byte by byte, and a router with a desk that takes them as they come
 * from the wire.
 */
#ifndef GAINWARDEN_TESTS_WIRE_RIG_H
#define GAINWARDEN_TESTS_WIRE_RIG_H

#include "link/router.h"
#include "profiles.h"

struct wire {
    uint8_t bytes[70000];
    size_t length;
};

/* Begins a message; types NULL: it has no type-tag string. Valid until the next one. */
struct wire *wire_begin(const char *address, const char *types);

/* Bytes, then zeros to a multiple of four. */
void wire_put_bytes(struct wire *wire, const void *bytes, size_t length);
void wire_put_string(struct wire *wire, const char *string);
void wire_put_int(struct wire *wire, uint32_t word);
void wire_put_float(struct wire *wire, float number);
void wire_put_double(struct wire *wire, double number);
void wire_put_blob(struct wire *wire, const void *bytes, size_t length);

/* Bytes written as hex; how many. */
size_t wire_from_hex(const char *hex, uint8_t *bytes, size_t size);

struct wire_rig {
    struct loaded loaded;
    struct engine *engine;
    struct router *router;
    int answers;
    size_t entry, place; /* of the last answer */
};

/* For cmocka: makes one, and drops it. */
int wire_rig_make(void **state);
int wire_rig_drop(void **state);

/* A router for profile_with(values, more); `more` is "" where it is not given. */
struct wire_rig *wire_rig_start(void **state, const char *values);
struct wire_rig *wire_rig_start_with(void **state, const char *values, const char *more);

/* As a datagram goes: in a block of its own size, through the guard with the profile's forms. */
enum route_result wire_rig_take(struct wire_rig *rig, const struct wire *wire);

/* A value that must be known, and how many are. */
double wire_rig_number(const struct wire_rig *rig, enum param_id id, int row, int column);
size_t wire_rig_known(const struct wire_rig *rig);

#endif
