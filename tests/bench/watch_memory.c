/* SPDX-License-Identifier: MIT */
/* Memory over ten million value changes of a desk that is watched: sends, masters, preamps and
 * labels walk at random, findings come and go, recalls settle, quietings end. Prints the resident
 * memory after the first million and after the last; the goal is a growth under 1 MB. What is
 * measured is engine and watcher; sockets and files have tests of their own.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "check/check.h"
#include "watcher/watcher.h"

enum { INPUTS = 48, MIXES = 16, CHANGES = 10 * 1000 * 1000, A_RUN = 50, FIRST = 1000 * 1000 };

static uint64_t state = 88172645463325252U;

/* xorshift64 (Marsaglia) */
static int
below(int limit)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return (int)(state % (uint64_t)limit);
}

static size_t told, edges;

static void
on_message(void *context, const struct message *message)
{
    (void)context;
    told += message->count + 1;
}

static void
on_edge(void *context, const struct event *event, enum hidden hidden, int by)
{
    (void)context;
    (void)event;
    (void)hidden;
    (void)by;
    edges++;
}

static void
on_room(void *context, enum room from, enum room to, const char *why)
{
    (void)context;
    (void)from;
    (void)to;
    (void)why;
}

static double
resident_mb(void)
{
    FILE *file = fopen("/proc/self/statm", "r");
    long whole, resident;

    if (!file || fscanf(file, "%ld %ld", &whole, &resident) != 2)
        abort();
    fclose(file);
    return (double)resident * (double)sysconf(_SC_PAGESIZE) / 1e6;
}

static void
change(struct engine *engine, int64_t now_ms)
{
    static const char *const labels[] = {"Ld Vox", "Kick", "Keys L", "BV 2", "Gtr"};

    switch (below(10)) {
    case 0:
        engine_hear(engine, PARAM_INPUT_PREAMP_GAIN, below(INPUTS), 0, below(60), now_ms);
        break;
    case 1:
        engine_hear(engine, PARAM_MIX_FADER, below(MIXES), 0, below(20) - 10, now_ms);
        break;
    case 2:
        engine_hear(engine, PARAM_MIX_LIMITER_ON, below(MIXES), 0, below(2), now_ms);
        break;
    case 3:
        engine_hear(engine, PARAM_INPUT_PHANTOM, below(INPUTS), 0, below(2), now_ms);
        break;
    case 4:
        engine_hear_text(engine, PARAM_INPUT_NAME, below(INPUTS), 0, labels[below(5)], now_ms);
        break;
    default:
        engine_hear(engine, PARAM_SEND_LEVEL, below(INPUTS), below(MIXES), below(40) - 30, now_ms);
        break;
    }
}

static struct engine *
make_engine(void)
{
    struct desk_counts counts = {.of = {[INDEX_INPUT] = INPUTS, [INDEX_MIX] = MIXES}};
    struct desk *desk = desk_new(&counts);
    struct show *show = check_set_show(check_set_all, INPUTS, MIXES);

    if (!desk || !show)
        abort();
    strcpy(show->inputs[0].player, "drums"); /* a show file that names players */
    strcpy(show->mixes[0].player, "keys");
    for (int mix = 0; mix < MIXES; mix++)
        show->mixes[mix].feeds = mix % 2 ? FEEDS_IN_EAR : FEEDS_WEDGE;
    for (int id = 0; id < PARAMS; id++)
        desk_supply(desk, (enum param_id)id, SUPPLY_HEARD);
    return engine_new(desk, show, check_set_all);
}

int
main(void)
{
    struct watcher_owner owner = {.message = on_message, .edge = on_edge, .room = on_room};
    struct engine *engine = make_engine();
    struct watcher *watcher =
        engine ? watcher_new(engine, (struct watcher_settings){20, 4}, ROOM_DOORS, owner) : NULL;
    int64_t now_ms = 1000;
    double first_mb = 0;

    if (!watcher)
        abort();
    watcher_begin(watcher, false, now_ms);
    for (int i = 0; i < CHANGES; i++) {
        change(engine, now_ms);
        if (i % A_RUN != 0)
            continue;
        now_ms += 20 + below(1500);
        watcher_run(watcher, now_ms);
        if (i == FIRST)
            first_mb = resident_mb();
    }
    printf("10 million changes: %zu edges, %zu told; %.2f MB after the first million, %.2f MB "
           "after the "
           "last: %+.2f MB (goal: under 1)\n",
           edges, told, first_mb, resident_mb(), resident_mb() - first_mb);
    watcher_free(watcher);
    engine_free(engine);
    return 0;
}
