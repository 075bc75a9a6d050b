/* SPDX-License-Identifier: MIT */
/* What the files that read a profile share; nobody else includes it. Readers add what is wrong to
 * the problems of `where` and go on, so that one run lists everything.
 */
#ifndef GAINWARDEN_PROFILE_LOADER_H
#define GAINWARDEN_PROFILE_LOADER_H

#include "base/fields.h"
#include "profile/profile.h"

struct loader {
    struct profile *profile;
    struct law *laws; /* under "laws", law_count of them */
    size_t law_count;
    int first[INDEX_KINDS]; /* the number the desk gives to index 0 */
};

/* The entry in hand. */
struct reading {
    const struct loader *loader;
    struct entry *entry;
    enum index_kind band; /* what {band} stands for in it */
    bool question;        /* reading what is sent, not what is answered */
};

/* For where_nearest(). */
const char *loader_param_name(const void *context, size_t i);

void loader_read_address(const struct reading *reading, struct pattern *pattern,
                         const struct json *json, const struct where *where);

/* [address, argument, ...] */
void loader_read_pattern(const struct reading *reading, struct pattern *pattern,
                         const struct json *json, const struct where *where);

/* `is`, `law`, `range` and `each` of an object that gives a value. */
void loader_read_value(const struct loader *loader, struct element *element,
                       const struct json *json, const struct where *where);

/* The array under "values". */
void loader_read_entries(struct loader *loader, const struct json *json, const struct where *where);

/* The keys of a law, of both kinds of entry and of what an answer holds. */
extern const struct fields profile_law_fields, profile_at_fields, profile_ask_fields;
extern const struct fields profile_value_fields, profile_blob_fields, profile_line_fields;

/* Parts of the file besides entries, in settings.c; `context` is the loader. */
extern const struct fields profile_pace_fields, profile_filter_fields;
field_take profile_take_link, profile_take_counts, profile_take_first;
struct json *profile_link_schema(const struct field *field);
struct json *profile_counts_schema(const struct field *field);
struct json *profile_first_schema(const struct field *field);

#endif
