/*
 * One object of a state file: an input, a send, a mix, a group, a band, the desk. Its keys are the
 * fields of its scope, dots opened into objects, and a few that hold lists of smaller objects.
 */
#ifndef MOCK_STATE_OBJECT_H
#define MOCK_STATE_OBJECT_H

#include "walk.h"

struct Place {
    enum Scope scope;
    size_t object;
};

void StateObject_load(struct Walk *walk, const cJSON *json, struct Place place);

#endif
