/* SPDX-License-Identifier: MIT */
/* Bytes as what a running watch sends to a ring-out that is followed over its control socket, and
 * then it hangs up. The link ends, with a problem where the watch refused or could not be
 * understood; no value stands on the desk that may not stand there, and checks run over them.
 */
#include <assert.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <unistd.h>

#include "fuzz.h"
#include "link/relayed.h"
#include "loop/loop.h"
#include "rig.h"

static struct profile *profile;

struct scene {
    struct loop *loop;
    struct link *link;
    enum link_state state;
};

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    profile = rig_small_desk();
    return 0;
}

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct scene *scene = context;

    assert(from == scene->state && to != from && why);
    scene->state = to;
}

static void
before_sleep(void *context)
{
    const struct scene *scene = context;

    if (link_relay_is_over(scene->link))
        loop_stop(scene->loop);
}

/* The end from which the bytes are to be read. */
static int
sent(const uint8_t *bytes, size_t length)
{
    int ends[2];

    if (socketpair(AF_UNIX, SOCK_STREAM, 0, ends) != 0 ||
        write(ends[0], bytes, length) != (ssize_t)length)
        abort();
    close(ends[0]);
    return ends[1];
}

static void
hear(struct engine *engine, const uint8_t *bytes, size_t length)
{
    struct scene scene = {.loop = loop_new()};
    struct link_owner owner = {.changed = on_state, .context = &scene};
    struct problems problems = {0};

    scene.link =
        link_open_relayed(scene.loop, profile, engine, sent(bytes, length), owner, &problems);
    scene.state = link_state(scene.link);
    loop_before_sleep(scene.loop, before_sleep, &scene);
    loop_run(scene.loop);
    assert(link_state(scene.link) == LINK_LOST && scene.state == LINK_LOST);
    link_close(scene.link);
    loop_free(scene.loop);
    problems_release(&problems);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct engine *engine = rig_engine(profile, NULL);

    hear(engine, bytes, length);
    rig_check_desk(engine_desk(engine));
    rig_run(engine, 1000);
    rig_check_marks(engine);
    engine_free(engine);
    return 0;
}
