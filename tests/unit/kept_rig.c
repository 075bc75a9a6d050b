/* SPDX-License-Identifier: MIT */
#include "kept_rig.h"

#include <assert.h>
#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/places.h"
#include "watch/news.h"

static void
ignore(void *context)
{
    (void)context;
}

void
kept_rig_open(struct kept_rig *rig, const struct profile *profile, const char *folder)
{
    struct problems problems = {0};
    char name[80];

    *rig = (struct kept_rig){.profile = profile, .folder = folder};
    rig->options = (struct options){.keep = folder, .profile = "small", .desk = "desk"};
    rig->stand = stand_new();
    rig->shared = (struct watch_shared){.way = &watch_live,
                                        .loop = loop_new_standing(rig->stand),
                                        .options = &rig->options,
                                        .has_screen = true, /* which shows what is remembered */
                                        .output_lost = ignore,
                                        .changed = ignore};
    assert(rig->shared.loop);
    places_name(NULL, rig->options.profile, rig->options.desk, name);
    if (!places_kept(folder, name, "kept", rig->path, &problems))
        abort();
    problems_release(&problems);
}

void
kept_rig_close(struct kept_rig *rig)
{
    loop_free(rig->shared.loop);
    stand_free(rig->stand);
}

void
kept_rig_write(const struct kept_rig *rig, const char *bytes, size_t length)
{
    FILE *file = fopen(rig->path, "w");

    if (!file || fwrite(bytes, 1, length, file) != length || fclose(file) != 0)
        abort();
}

/* Some of them such that checks fail. */
static void
hear_all(struct engine *engine)
{
    const struct desk *desk = engine_desk(engine);

    for (int id = 0; id < PARAMS; id++)
        for (int row = 0; row < desk_rows(desk, (enum param_id)id); row++)
            for (int column = 0; column < desk_columns(desk, (enum param_id)id); column++)
                if (params[id].unit == UNIT_TEXT)
                    engine_hear_text(engine, (enum param_id)id, row, column, "Ld Vox wedge", 0);
                else
                    engine_hear(engine, (enum param_id)id, row, column,
                                id == PARAM_MIX_FADER  ? -8
                                : params[id].least > 0 ? params[id].least
                                                       : 0,
                                0);
}

static void
make_session(struct kept_rig *rig)
{
    const struct desk_counts *counts = &rig->profile->counts;
    struct show *show =
        check_set_show(check_set_all, counts->of[INDEX_INPUT], counts->of[INDEX_MIX]);

    rig->session = (struct session){.profile = (struct profile *)rig->profile};
    rig->session.engine = engine_new(profile_desk(rig->profile), show, check_set_all);
    if (!rig->session.engine)
        abort();
}

bool
kept_rig_start(struct kept_rig *rig)
{
    struct problems problems = {0};
    bool good;

    make_session(rig);
    rig->desk = (struct watch_desk){.shared = &rig->shared,
                                    .session = &rig->session,
                                    .record = record_new(rig->shared.loop, NULL, NULL),
                                    .kept = kept_new(rig->shared.loop, &rig->session)};
    rig->desk.earlier = earlier_new(rig->session.engine, rig->desk.kept);
    rig->desk.saying = saying_new(&rig->shared, &rig->session, rig->desk.kept, rig->desk.record);
    good = earlier_open(rig->desk.earlier, rig->path, &problems);
    problems_release(&problems);
    rig->desk.watcher = watch_new_watcher(&rig->desk, &rig->session, ROOM_DOORS);
    kept_set_watcher(rig->desk.kept, rig->desk.watcher);
    if (!good)
        return false;
    earlier_restore(rig->desk.earlier, &rig->desk);
    hear_all(rig->session.engine);
    watcher_begin(rig->desk.watcher, earlier_was_there(rig->desk.earlier),
                  stand_now_ms(rig->stand));
    kept_all(rig->desk.kept);
    kept_commit(rig->desk.kept);
    return true;
}

void
kept_rig_pass(struct kept_rig *rig, int64_t ms)
{
    int64_t now_ms = stand_now_ms(rig->stand) + ms;

    stand_move(rig->stand, now_ms, now_ms);
    watcher_run(rig->desk.watcher, now_ms);
    kept_commit(rig->desk.kept);
}

void
kept_rig_stop(struct kept_rig *rig)
{
    earlier_free(rig->desk.earlier);
    kept_free(rig->desk.kept);
    watcher_free(rig->desk.watcher);
    saying_free(rig->desk.saying);
    record_free(rig->desk.record);
    engine_free(rig->session.engine);
}

void
kept_rig_clear(const struct kept_rig *rig)
{
    DIR *folder = opendir(rig->folder);
    struct dirent *entry;
    char path[PLACES_SIZE + 300];

    if (!folder)
        abort();
    while ((entry = readdir(folder))) {
        snprintf(path, sizeof path, "%s/%s", rig->folder, entry->d_name);
        if (entry->d_name[0] != '.')
            unlink(path);
    }
    closedir(folder);
}
