/* SPDX-License-Identifier: MIT */
#include "watch/cues.h"

#include <stdlib.h>

#include "core/need.h"
#include "tell/cue_check.h"

void
watch_check_cues(const struct watch_shared *shared, const struct session *instead_of,
                 const struct session *with, struct problems *problems)
{
    size_t count = (size_t)shared->session_count;
    struct cue_desk *desks = need_memory(count, sizeof *desks);

    for (size_t i = 0; i < count; i++) {
        const struct session *one =
            &shared->sessions[i] == instead_of ? with : &shared->sessions[i];

        desks[i] = (struct cue_desk){one->host, one->profile};
    }
    for (size_t i = 0; i < count; i++)
        cue_check(&shared->sessions[i] == instead_of ? with->file : shared->sessions[i].file, desks,
                  count, problems);
    free(desks);
}
