/* SPDX-License-Identifier: MIT */
/* One value of a state file, checked against its field's row. */
#ifndef MOCK_STATE_VALUE_H
#define MOCK_STATE_VALUE_H

#include "walk.h"

void state_value_load(struct walk *walk, const cJSON *json, const struct field *field,
                      size_t object);

#endif
