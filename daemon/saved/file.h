/* SPDX-License-Identifier: MIT */
/* The whole desk as a file: what was approved, or saved. A desk can be rebuilt from the file alone,
 * and gives the findings it gave when it was stored. gainwarden-saved(5) describes the format.
 *
 * Reading is as strict as it is for profiles, and a digest of the whole text tells what damage or
 * an editor did to it: a missing or broken file is an error, never an empty desk.
 */
#ifndef GAINWARDEN_SAVED_FILE_H
#define GAINWARDEN_SAVED_FILE_H

#include "base/clock.h"
#include "base/fields.h"
#include "desk/desk.h"
#include "desk/show.h"

enum { SAVED_FORMAT = 1, SAVED_NAME_SIZE = 200, SAVED_FILE_LIMIT = 64 * 1024 * 1024 };

struct saved {
    char desk_name[SAVED_NAME_SIZE]; /* as the profile calls it */
    char show[SHOW_NAME_SIZE];       /* "" without a show file */
    char at[CLOCK_SIZE];             /* when it was read, RFC 3339 */
    bool approved;
    char approved_at[CLOCK_SIZE], by[SHOW_NAME_SIZE], note[SHOW_WHY_SIZE]; /* "": not said */
    struct desk *desk;                                                     /* owned */
    int64_t now_ms; /* `at` on the clock by which the desk's values were heard; 0 when read */
};

/* The file's text, to free(). */
char *saved_file_text(const struct saved *saved);

/* Replaces the file whole. False with errno set; then the old one is as it was. */
bool saved_file_write(const struct saved *saved, const char *path);

extern const struct field saved_fields[];

/* Reads a saved desk; NULL with the problems when anything is wrong with it. Free with
 * saved_free(). */
struct saved *saved_file_read(const char *path, struct problems *problems);

/* The same for text in memory; `name` stands for the file in the messages. */
struct saved *saved_file_parse(const char *text, size_t length, const char *name,
                               struct problems *problems);
void saved_free(struct saved *saved);

/* True when the saved counts are those of the desk; else a problem for each that differs. */
bool saved_file_fits(const struct saved *saved, const struct desk *desk, const char *path,
                     struct problems *problems);

#endif
