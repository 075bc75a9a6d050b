/* SPDX-License-Identifier: MIT */
/*
 * The state file: JSON in human units, written by hand. README.md beside this directory describes
 * it. The loader is a walk over the table of fields plus a few keys that hold lists.
 */
#ifndef MOCK_STATE_FILE_H
#define MOCK_STATE_FILE_H

#include <stdbool.h>

#include "state.h"

/*
 * Initialises `state` from the file. Every error is printed to standard error as
 * "mock-desk: FILE: where: what"; false when there was one. Release `state` in either case.
 */
bool state_file_load(struct state *state, const char *file);

#endif
