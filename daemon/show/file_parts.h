/* SPDX-License-Identifier: MIT */
/* What the files that read a show file share; nobody else includes it. Each part of it is a table
 * of base/fields.h; show_file_fields is the whole.
 */
#ifndef GAINWARDEN_SHOW_FILE_PARTS_H
#define GAINWARDEN_SHOW_FILE_PARTS_H

#include "show/file.h"

/* The file is read in two steps. These turns fill a struct show, once the profile has told how many
 * inputs and mixes there are; all earlier ones a struct show_file. */
enum { TURN_PARTS = FIELD_TURNS, TURN_NAMES, TURN_CONTENTS };

extern const struct field show_tell_fields[], show_watch_fields[], show_room_fields[];
extern const struct field show_input_fields[], show_mix_fields[], show_accept_fields[];

/* Into a struct show. */
field_take show_take_numbered, show_take_checks, show_take_accepts;
struct json *show_checks_schema(const struct field *field);

/* A path, as seen from the show file's folder. */
field_take show_take_beside;

/* A name or an address, without a port. */
field_take show_take_host;
#define SHOW_HOST_PATTERN "^(?:[^:\\[\\]]*|[^:\\[\\]]*(?::[^:\\[\\]]*){2,})$"

/* A day into an int, year * 10000 + month * 100 + day; `what` it is, "a day". The pattern knows the
 * months' lengths; only 29 February of a common year slips through. */
field_take show_take_day;
#define SHOW_DAY_PATTERN                                                                           \
    "^[2-9][0-9]{3}-((0[13578]|1[02])-(0[1-9]|[12][0-9]|3[01])|"                                   \
    "(0[469]|11)-(0[1-9]|[12][0-9]|30)|02-(0[1-9]|[12][0-9]))(?!\\n)$"

/* How long a finding is held. */
enum { SHOW_HOLD_MOST_S = 3600 };
#define SHOW_RAISE_AFTER                                                                           \
    "raise_after_s", FIELD_NUMBER, "how long it must hold in a watch before it is told",           \
        .most = SHOW_HOLD_MOST_S
#define SHOW_CLEAR_AFTER                                                                           \
    "clear_after_s", FIELD_NUMBER, "how long it must be gone before that is told",                 \
        .most = SHOW_HOLD_MOST_S

#endif
