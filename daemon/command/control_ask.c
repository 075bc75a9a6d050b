/* SPDX-License-Identifier: MIT */
#include "command/control_ask.h"

#include <errno.h>
#include <poll.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/clock.h"
#include "core/need.h"
#include "loop/control.h"
#include "loop/control_call.h"

enum { ANSWER_MOST = 64 * 1024 * 1024 };

static char *
grow(char *bytes, size_t *size)
{
    *size *= 2;
    return need_more(bytes, *size, 1);
}

/* Whether there is something to read before `until_ms`, the end of the connection included. What came
 * while this command was stopped came in time: it is looked for once more. */
static bool
wait_for(int fd, int64_t until_ms)
{
    struct pollfd asked = {.fd = fd, .events = POLLIN};
    int64_t left;
    int found;

    do {
        left = until_ms - clock_grown_ms();
        found = poll(&asked, 1, left > 0 ? (int)left : 0);
    } while (found < 0 ? errno == EINTR : found == 0 && left > 0);
    return found > 0;
}

/* Everything up to the end of the connection, to free(); no more than ANSWER_MOST. `*late` when it
 * did not end in time. */
static char *
read_answer(int fd, size_t *length, bool *late)
{
    int64_t until_ms = clock_grown_ms() + CONTROL_PATIENCE_MS;
    size_t size = 2048;
    char *bytes = grow(NULL, &size);

    *length = 0;
    while (*length < ANSWER_MOST) {
        ssize_t got;

        *late = !wait_for(fd, until_ms);
        got = *late ? 0 : read(fd, bytes + *length, size - *length);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            break;
        *length += (size_t)got;
        if (*length == size)
            bytes = grow(bytes, &size);
    }
    return bytes;
}

/* The one line of an answer; NULL, with the reason in the problems, when it is none. */
static struct json *
take_answer(char *bytes, size_t length, struct problems *problems)
{
    struct json *answer;

    if (length == 0 || bytes[length - 1] != '\n') {
        problems_add(problems, "the watch hung up %s",
                     length == 0 ? "without an answer" : "before its answer was whole");
        return NULL;
    }
    bytes[length - 1] = '\0';
    answer = json_parse(bytes, length - 1, "the watch's answer", problems);
    if (!answer || json_kind(answer) == JSON_OBJECT)
        return answer;
    problems_add(problems, "the watch's answer: must be an object");
    json_free(answer);
    return NULL;
}

struct json *
control_ask(const char *path, const struct json *request, struct problems *problems)
{
    int fd = control_call(path, request, problems);
    struct json *answer = NULL;
    bool late = false;
    size_t length = 0;
    char *bytes;

    if (fd < 0)
        return NULL;
    bytes = read_answer(fd, &length, &late);
    if (late)
        control_tell_late(problems);
    else
        answer = take_answer(bytes, length, problems);
    free(bytes);
    close(fd);
    return answer;
}
