/* SPDX-License-Identifier: MIT */
#include "along/along.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>

#include "along/hear.h"
#include "along/keeping.h"
#include "along/share.h"
#include "along/tell.h"
#include "change/suspects.h"
#include "core/need.h"
#include "look/look.h"

enum { TICK_MS = 100, UNSEEN_MS = 1500, SIGNALS = 3, LINK_SIZE = 200 };

struct along {
    struct session *session;
    const struct options *options;
    struct loop *loop;
    struct loop_timer *tick;
    struct loop_signal *signals[SIGNALS];
    struct hear *hear;
    struct keeping *keeping;
    struct tell *tell;
    struct share share;
    struct ringing *ringing; /* NULL: the desk was not read yet */
    struct problems problems;
    int64_t seen_ms;       /* until then the desk was heard, as of the loop's last turn */
    bool lost, more, over; /* more: there is something to look at; over: it has ended */
    int status;
};

static const struct desk *
desk_of(const struct along *along)
{
    return engine_desk(along->session->engine);
}

static int64_t
now_ms(const struct along *along)
{
    return loop_now_ms(along->loop);
}

static void
stop(struct along *along, int status)
{
    if (!along->over)
        along->status = status;
    along->over = true;
    loop_stop(along->loop);
}

/* ---- what the recogniser says ---- */

static bool
proves(enum ring_kind kind)
{
    return kind == RING_PROVED || kind == RING_CUT || kind == RING_LAST_PUSH;
}

/* What it saw is told, and what it proved is kept at once. */
static void
take_events(struct along *along)
{
    struct ring_event event;
    bool proved = false;

    while (along->ringing && ringing_event(along->ringing, &event)) {
        tell_event(along->tell, desk_of(along), &event);
        proved |= proves(event.kind);
        along->more = true;
    }
    if (proved)
        keeping_take(along->keeping, ringing_proofs(along->ringing), now_ms(along));
}

static void
show(struct along *along)
{
    char link[LINK_SIZE];

    snprintf(link, sizeof link, "over %s: %s", hear_over(along->hear),
             along->lost ? "LOST, hand on the master" : link_state_name(hear_state(along->hear)));
    tell_state(along->tell, desk_of(along), along->ringing ? ringing_state(along->ringing) : NULL,
               link, along->lost);
    share_view(&along->share, along->hear, tell_view(along->tell), now_ms(along));
    along->more = false;
}

/* ---- which mixes ---- */

static enum feeds
feeds_of(const struct along *along, int mix)
{
    static const enum param_id reads[] = {PARAM_MIX_NAME, PARAMS};
    struct verdict aside;
    struct look look =
        look_reader(desk_of(along), engine_show(along->session->engine), reads, &aside);

    return look_feeds(&look, mix);
}

static void
refuse(struct along *along, const char *why)
{
    problems_add(&along->problems, "%s", why);
    stop(along, EXIT_USAGE);
}

/* The one that is named, unless somebody wears it. */
static int
take_named(struct along *along, int mixes[])
{
    int mix = along->options->mix - 1;

    if (mix >= desk_count(desk_of(along), INDEX_MIX))
        refuse(along, "--mix: the desk has no such mix");
    else if (feeds_of(along, mix) == FEEDS_IN_EAR)
        refuse(along, "--mix: that mix feeds ears, which nobody rings out");
    mixes[0] = mix;
    return along->over ? 0 : 1;
}

/* Those that are known to feed loudspeakers; of the others nobody knows whether they feed ears. */
static int
take_all(struct along *along, int mixes[])
{
    int count = 0;

    for (int mix = 0; mix < desk_count(desk_of(along), INDEX_MIX); mix++) {
        enum feeds feeds = feeds_of(along, mix);
        char says[SAYS_SIZE];

        if (feeds_loudspeaker(feeds))
            mixes[count++] = mix;
        if (feeds != FEEDS_UNKNOWN)
            continue;
        snprintf(says, sizeof says,
                 "mix %d is left out: nobody says what it feeds. The show file can, or --mix=%d",
                 mix + 1, mix + 1);
        tell_word(along->tell, "left-out", "advice", says);
    }
    if (count == 0)
        refuse(along, "no mix is known to feed a loudspeaker: the show file says what mixes feed");
    if (count > RING_MIXES_MOST)
        refuse(along,
               "too many mixes feed loudspeakers to follow all of them: --mix=N follows one");
    return along->over ? 0 : count;
}

static void
begin(struct along *along)
{
    const struct engine *engine = along->session->engine;
    int *mixes = need_memory((size_t)desk_count(desk_of(along), INDEX_MIX) + 1, sizeof *mixes);
    bool together = along->options->mix == 0;
    int count = together ? take_all(along, mixes) : take_named(along, mixes);

    char says[SAYS_SIZE];

    snprintf(says, sizeof says, "following over %s; what is proved goes to %s",
             hear_over(along->hear), keeping_path(along->keeping));
    if (count > 0)
        tell_word(along->tell, "begun", "seen", says);
    if (count > 0)
        along->ringing =
            ringing_new(desk_of(along), engine_show(engine), mixes, count, together, now_ms(along));
    free(mixes);
}

/* ---- what happens on the desk ---- */

static void
on_moved(void *context, enum param_id id, int row, int column, int64_t at_ms)
{
    struct along *along = context;

    along->more = true;
    if (!along->ringing)
        return;
    ringing_moved(along->ringing, id, row, column, at_ms);
    take_events(along);
}

static void
say_unread(struct along *along, const char *why)
{
    char says[SAYS_SIZE];

    snprintf(says, sizeof says, "the desk does not answer (%s); trying on", why);
    tell_word(along->tell, "no-answer", "warning", says);
}

static void
tell_ringing(struct along *along, enum hear_news news)
{
    switch (news) {
    case HEAR_LOST:
        ringing_lost(along->ringing, now_ms(along));
        return;
    case HEAR_BACK:
        ringing_back(along->ringing, now_ms(along));
        return;
    case HEAR_RECALLED:
        ringing_recalled(along->ringing, now_ms(along));
        return;
    case HEAR_READ:
        ringing_reread(along->ringing, now_ms(along));
        return;
    }
}

static void
on_news(void *context, enum hear_news news, const char *why)
{
    struct along *along = context;

    along->more = true;
    along->lost = news == HEAR_LOST || (along->lost && news != HEAR_READ);
    if (along->ringing)
        tell_ringing(along, news);
    else if (news == HEAR_READ)
        begin(along);
    else if (news == HEAR_LOST)
        say_unread(along, why);
    take_events(along);
}

static void
on_refused(void *context)
{
    stop(context, EXIT_USAGE);
}

/* ---- the others ---- */

static void
on_kept(void *context, bool good, const char *text)
{
    struct along *along = context;

    tell_word(along->tell, good ? "kept" : "not-kept", good ? "seen" : "warning", text);
}

static void
on_ended(void *context)
{
    stop(context, EXIT_CLEAN);
}

static void
on_signal(void *context, int number)
{
    struct along *along = context;

    if (number != SIGHUP || tell_is_gone(along->tell))
        tell_leave_screen(along->tell);
    stop(along, EXIT_CLEAN);
}

/* What rang in the desk's spectra tells where, once it is cut: before the moves are. */
static void
hear_spectra(struct along *along)
{
    const struct suspects *suspects = engine_suspects(along->session->engine);

    for (int mix = 0; along->ringing && mix < desk_count(desk_of(along), INDEX_MIX); mix++) {
        const struct heard_thirds *heard = suspects_heard(suspects, mix);

        if (heard)
            ringing_heard(along->ringing, mix, heard);
    }
}

static void
on_tick(void *context)
{
    struct along *along = context;

    hear_spectra(along);
    hear_passed(along->hear);
    if (along->ringing && !along->over)
        ringing_passed(along->ringing, now_ms(along));
    along->more = true; /* what to do next is a matter of time, too */
    take_events(along);
    tell_passed(along->tell, desk_of(along), now_ms(along));
    keeping_passed(along->keeping, now_ms(along));
}

/* The desk was silent, though it was asked all the while, or nobody looked: stopped, or without a
 * processor. Before what came meanwhile is taken for what moves now. */
static void
notice_gap(struct along *along)
{
    int64_t now = now_ms(along);

    if (along->ringing && now - along->seen_ms > UNSEEN_MS)
        ringing_unseen(along->ringing, now);
    along->seen_ms = now - hear_silent_ms(along->hear);
}

static void
before_sleep(void *context)
{
    struct along *along = context;

    if (along->over)
        return;
    notice_gap(along);
    hear_spectra(along);
    hear_turn(along->hear);
    take_events(along);
    if (along->more && !along->over)
        show(along);
}

/* ---- beginning and ending ---- */

static bool
open_all(struct along *along)
{
    static const int numbers[SIGNALS] = {SIGINT, SIGTERM, SIGHUP};
    struct keeping_owner keeping = {on_kept, along};
    struct tell_owner tell = {on_ended, along};
    struct hear_owner hear = {on_moved, on_news, on_refused, along};

    along->keeping = keeping_open(along->session, along->options, keeping, &along->problems);
    if (!along->keeping)
        return false;
    along->loop = loop_new();
    along->tick = loop_timer_open(along->loop, on_tick, along);
    for (int i = 0; i < SIGNALS; i++)
        along->signals[i] = loop_signal_open(along->loop, numbers[i], on_signal, along);
    session_watch_spectra(along->session);
    engine_hear_rings(along->session->engine, true);
    along->hear = hear_open(along->loop, along->session, along->options, hear, &along->problems);
    if (!along->hear)
        return false;
    along->tell = tell_open(along->loop, along->options, session_name(along->session), tell);
    loop_before_sleep(along->loop, before_sleep, along);
    return true;
}

struct along *
along_open(struct session *session, const struct options *options)
{
    struct along *along = need_memory(1, sizeof *along);

    along->session = session;
    along->options = options;
    along->status = EXIT_NOT_KNOWN;
    if (open_all(along))
        return along;
    along_close(along);
    return NULL;
}

/* What was left undone, what is proved, and where it is. */
static void
end(struct along *along)
{
    char says[SAYS_SIZE];

    tell_leave_screen(along->tell);
    if (!along->ringing)
        return;
    ringing_end(along->ringing, now_ms(along));
    take_events(along);
    tell_passed(along->tell, desk_of(along), INT64_MAX);
    keeping_take(along->keeping, ringing_proofs(along->ringing), now_ms(along));
    if (keeping_owes(along->keeping))
        snprintf(says, sizeof says, "what was proved is NOT kept: %s cannot be written",
                 keeping_path(along->keeping));
    else if (keeping_kept(along->keeping) > 0)
        snprintf(says, sizeof says, "kept in %s: `gainwarden proved` lists it",
                 keeping_path(along->keeping));
    else
        snprintf(says, sizeof says, "nothing was proved, and nothing is kept");
    tell_word(along->tell, "ended", keeping_owes(along->keeping) ? "warning" : "seen", says);
    if (keeping_owes(along->keeping))
        along->status = EXIT_USAGE;
}

int
along_run(struct along *along)
{
    loop_timer_start(along->tick, TICK_MS, TICK_MS);
    show(along);
    if (!along->over)
        loop_run(along->loop);
    end(along);
    if (!along->ringing && along->status == EXIT_CLEAN)
        return EXIT_NOT_KNOWN;
    return along->status;
}

bool
along_has_kept(const struct along *along)
{
    return keeping_kept(along->keeping) > 0;
}

void
along_close(struct along *along)
{
    tell_close(along->tell);
    share_release(&along->share);
    hear_close(along->hear);
    ringing_free(along->ringing);
    keeping_close(along->keeping);
    for (int i = 0; i < SIGNALS; i++)
        if (along->signals[i])
            loop_signal_close(along->signals[i]);
    if (along->tick)
        loop_timer_close(along->tick);
    if (along->loop)
        loop_free(along->loop);
    problems_tell(&along->problems);
    free(along);
}
