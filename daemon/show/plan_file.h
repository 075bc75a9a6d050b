/* SPDX-License-Identifier: MIT */
/* The stage plan as a file: gainwarden-stage(5). A show file names it under desk.stage.
 */
#ifndef GAINWARDEN_PLAN_FILE_H
#define GAINWARDEN_PLAN_FILE_H

#include "base/fields.h"
#include "desk/desk.h"
#include "stage/stage.h"

enum { PLAN_FORMAT = 1 };

/* The table of the whole file. */
extern const struct field plan_fields[];

/* Whether that is meant to be a plan: the short form needs no number of its format. */
bool plan_file_is(const struct json *json);

/* NULL with the problems; else for free(). */
struct stage *plan_file_read(const char *path, struct problems *problems);
struct stage *plan_file_from_json(const struct json *json, const char *path,
                                  struct problems *problems);

/* Whether the desk has every input and mix that the plan names; problems where it has not. */
bool plan_file_fits(const struct stage *stage, const struct desk_counts *counts, const char *path,
                    struct problems *problems);

/* Ears without a mix get their player's: of several the first that a loudspeaker plays. Problems where
 * the show names none. */
bool plan_file_find_ears(struct stage *stage, const struct show *show, const char *path,
                         struct problems *problems);

#endif
