/* SPDX-License-Identifier: MIT */
/*
 * One object of a state file: an input, a send, a mix, a group, a band, the desk. Its keys are the
 * fields of its scope, dots opened into objects, and a few that hold lists of smaller objects.
 */
#ifndef MOCK_STATE_OBJECT_H
#define MOCK_STATE_OBJECT_H

#include "walk.h"

struct place {
    enum scope scope;
    size_t object;
};

void state_object_load(struct walk *walk, const cJSON *json, struct place place);

#endif
