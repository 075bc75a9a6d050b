/* SPDX-License-Identifier: MIT */
#include "show/saved_of.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "base/escape.h"

struct saved
saved_of(const struct session *session, const struct desk *desk, int64_t now_ms)
{
    struct saved saved = {.now_ms = now_ms};

    escape_clean(saved.desk_name, sizeof saved.desk_name, session->profile->desk);
    escape_clean(saved.show, sizeof saved.show, engine_show(session->engine)->name);
    if (*session->saved_at) /* a saved desk that is saved again is as old as it was */
        memcpy(saved.at, session->saved_at, sizeof saved.at);
    else
        clock_rfc3339(saved.at);
    saved.desk = desk_copy(desk);
    return saved;
}

/* One letter lies between --save and --saved, and what stands in the file may be all there is. */
bool
saved_of_may_make(const char *path)
{
    struct stat is;

    if (!path || stat(path, &is) != 0 || !S_ISREG(is.st_mode))
        return true;
    fprintf(
        stderr,
        "gainwarden: --save: %s is there already; --save only makes new files, --saved looks at "
        "one\n",
        path);
    return false;
}

bool
saved_of_write(const struct session *session, int64_t now_ms, const char *path)
{
    struct saved saved = saved_of(session, engine_desk(session->engine), now_ms);
    bool good = saved_file_write(&saved, path);
    int error = errno;

    desk_free(saved.desk);
    errno = error;
    return good;
}
