/* One value of a state file, checked against its field's row. */
#ifndef MOCK_STATE_VALUE_H
#define MOCK_STATE_VALUE_H

#include "walk.h"

void StateValue_load(struct Walk *walk, const cJSON *json, const struct Field *field,
                     size_t object);

#endif
