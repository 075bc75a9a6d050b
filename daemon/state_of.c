#include "state_of.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "escape.h"

struct state
state_of(const struct session *session, const struct desk *desk, int64_t now_ms)
{
    struct state state = {.now_ms = now_ms};

    escape_clean(state.desk_name, sizeof state.desk_name, session->profile->desk);
    escape_clean(state.show, sizeof state.show, engine_show(session->engine)->name);
    if (*session->state_at) /* a saved state that is saved again is as old as it was */
        memcpy(state.at, session->state_at, sizeof state.at);
    else
        clock_rfc3339(state.at);
    state.desk = desk_copy(desk);
    if (!state.desk)
        abort();
    return state;
}

bool
state_of_save(const struct session *session, int64_t now_ms, const char *path)
{
    struct state state = state_of(session, engine_desk(session->engine), now_ms);
    bool good = state_file_write(&state, path);
    int error = errno;

    desk_free(state.desk);
    errno = error;
    return good;
}
