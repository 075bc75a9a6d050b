/* SPDX-License-Identifier: MIT */
/* What a watch publishes (control.h), as it comes to whoever stays behind his question: an object a
 * line.
 */
#ifndef GAINWARDEN_CONTROL_LINES_H
#define GAINWARDEN_CONTROL_LINES_H

#include "base/json.h"
#include "loop/loop.h"

struct control_lines_owner {
    /* One of them; false: no more are wanted. The lines may not be closed in it. */
    bool (*line)(void *context, const struct json *line);
    /* The watch hung up, or, with a problem, something came that is no such line: nothing more
     * comes. */
    void (*over)(void *context, bool hung_up);
    void *context;
};

struct control_lines;

/* Takes over the descriptor of control_call(). `what` stands for a line in the problems; none may
 * be longer than `most` bytes. Both, and the problems, outlive it. */
struct control_lines *control_lines_open(struct loop *loop, int fd, const char *what, size_t most,
                                         struct control_lines_owner owner,
                                         struct problems *problems);
void control_lines_close(struct control_lines *lines);

#endif
