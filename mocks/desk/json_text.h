/* SPDX-License-Identifier: MIT */
/* A JSON file in memory, parsed; a syntax error is told with its line and column. */
#ifndef MOCK_JSON_TEXT_H
#define MOCK_JSON_TEXT_H

#include <cjson/cJSON.h>

/* The caller deletes the result. NULL after an error was printed. */
cJSON *json_text_load(const char *file);

#endif
