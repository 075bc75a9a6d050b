/* SPDX-License-Identifier: MIT */
/* What the files that read a stage plan share; nobody else includes it. */
#ifndef GAINWARDEN_PLAN_PARTS_H
#define GAINWARDEN_PLAN_PARTS_H

#include "show/plan_file.h"

extern const struct field plan_microphone_fields[], plan_loudspeaker_fields[];

/* Into a struct stage. */
field_take plan_take_microphones, plan_take_loudspeakers;

/* Into a struct stated, which is given then. */
field_take plan_take_stated;

/* [x, y, z]; false, with a problem, when it is none. */
bool plan_take_point(const struct where *where, struct place *to);
struct json *plan_point_schema(const struct field *field);

/* A row for one. */
#define POINT FIELD_LIST
#define POINT_BY(function) .take = function, .schema = plan_point_schema

#endif
