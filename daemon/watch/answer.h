/* SPDX-License-Identifier: MIT */
/* What the answers to requests over the control socket (control.h) are made of, and those that are a
 * subject of their own.
 */
#ifndef GAINWARDEN_WATCH_ANSWER_H
#define GAINWARDEN_WATCH_ANSWER_H

#include "base/json.h"
#include "watch/handles.h"

enum { ANSWER_LINE_SIZE = 1400, ANSWER_LISTED = 40, ANSWER_NUMBER_MOST = 1000000 };

/* An answer being written. */
struct answer {
    struct json *json, *lines;
    char *error; /* WHO_ERROR_SIZE: room for one that names people */
};

void answer_line(const struct answer *answer, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Of the request, from 0 to `most`; what is more, less or none becomes the nearest of them. */
double answer_number(const struct json *request, const char *key, double most);

/* What one answers: the error of what is refused, which then is all that is said besides lines. */
typedef const char *answer_fn(struct watch_desk *desk, const struct json *request,
                              const struct answer *answer);

answer_fn answer_room, answer_quiet, answer_quiet_list, answer_quiet_end, answer_status;

/* What the room is doing; what is quieted, and was. */
void answer_add_room(const struct watch_desk *desk, const struct answer *answer);
void answer_add_quiets(const struct watch_desk *desk, const struct answer *answer);

#endif
