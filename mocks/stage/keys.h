/* SPDX-License-Identifier: MIT */
/*
 * Objects of a stage file, read by tables: a number goes straight into its field, everything else
 * has a function of its own. The walk says where a complaint belongs.
 */
#ifndef MOCK_KEYS_H
#define MOCK_KEYS_H

#include <stdbool.h>
#include <stddef.h>

#include "vector.h"
#include "walk.h"

typedef void keys_fn(struct walk *walk, const cJSON *json, void *object);

struct key {
    const char *name;
    keys_fn *read; /* NULL: a number into the field at `offset`, times `scale` */
    size_t offset;
    double low, high, scale;
    bool needed;
};

#define KEY_NUMBER(type, key, field, least, most, factor)                                          \
    {                                                                                              \
        .name = (key), .offset = offsetof(struct type, field), .low = (least), .high = (most),     \
        .scale = (factor)                                                                          \
    }
#define KEY_OTHER(key, function, must)                                                             \
    {                                                                                              \
        .name = (key), .read = (function), .needed = (must)                                        \
    }
#define KEYS(list) (list), sizeof(list) / sizeof(list)[0]

/* Fills `object`; unknown, repeated and missing keys are complaints. */
void keys_object(struct walk *walk, const cJSON *json, const struct key *keys, size_t count,
                 void *object);

/* Each leaves `out` alone, and returns false where it returns anything, after a complaint. */
bool keys_number(struct walk *walk, const cJSON *json, double low, double high, double *out);
bool keys_whole(struct walk *walk, const cJSON *json, unsigned low, unsigned high, unsigned *out);
bool keys_is_list(struct walk *walk, const cJSON *json, size_t least, size_t most);
void keys_vector(struct walk *walk, const cJSON *json, struct vector *out);

/* Numbers of a list of `count`, each with its bounds. */
void keys_run(struct walk *walk, const cJSON *json, const double bounds[][2], size_t count,
              double *out);

/* The text is this word; no complaint. */
bool keys_is_word(const cJSON *json, const char *word);

#endif
