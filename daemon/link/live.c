/* SPDX-License-Identifier: MIT */
/* A link that speaks to a desk: reads it, listens to it, and looks whether it is there. */
#include <math.h>

#include "core/need.h"
#include "link/said.h"
#include "link/speaker.h"
#include "link/way.h"
#include "link/wire.h"

enum {
    PROBE_MS = 1000,        /* how often a silent desk is asked something */
    LOOKUP_AGAIN_MS = 5000, /* a lost desk may have another address */
    PUSHES_MS = 2000,       /* how long a reading waits for what is only pushed */
    LOOK_AGAIN_MS = 50
};

struct live {
    struct link link; /* by which it is known */
    struct wire *wire;
    struct speaker *speaker;
    struct questions *questions;
    struct loop_timer *ask;   /* the next question, or the next time-out */
    int64_t begun_ms;         /* the reading, */
    bool reads;               /* which goes on */
    bool was_read;            /* the first one is over: later ones only keep the model fresh */
    struct loop_timer *late;  /* for a look at a silent desk that had to wait */
    struct loop_timer *probe; /* is the desk there? */
    bool answered;            /* the packet in hand completed a question, so another may go */
};

static struct live *
live_of(struct link *link)
{
    return (struct live *)link;
}

/* ---- reading it ---- */

/* Every question waits. */
static void
begin_reading(struct live *live, double per_second)
{
    struct loop *loop = live->link.loop;

    live->begun_ms = loop_now_ms(loop);
    live->reads = true;
    questions_begin(live->questions, loop_now_us(loop), per_second);
    loop_timer_start(live->ask, 0, 0);
}

static void
read_again(struct link *link)
{
    begin_reading(live_of(link), link->profile->pace.per_second);
}

/* Twice as fast as the interval needs, but never in the way of other tablets. */
static void
read_slowly(struct live *live)
{
    const struct pace *pace = &live->link.profile->pace;
    double slow = 2 * (double)questions_figures(live->questions).questions / pace->reread_every_s;

    begin_reading(live, fmin(fmax(slow, 10), pace->per_second));
}

static void
begin(struct link *link)
{
    speaker_begin(live_of(link)->speaker);
    read_again(link);
}

static void
rest(struct link *link)
{
    loop_timer_start(live_of(link)->ask, (int64_t)(link->profile->pace.reread_every_s * 500), 0);
}

static void
lose(struct link *link)
{
    live_of(link)->reads = false;
    loop_timer_stop(live_of(link)->ask);
}

/* Those of the first reading are what a report wants. */
static void
take_reading(const struct live *live, struct link_figures *figures)
{
    if (live->was_read)
        return;
    figures->questions = questions_figures(live->questions);
    figures->took_ms = loop_now_ms(live->link.loop) - live->begun_ms;
}

static void
add_figures(const struct link *link, struct link_figures *figures)
{
    const struct live *live = (const struct live *)link;
    struct wire_figures wire = wire_figures(live->wire);

    take_reading(live, figures);
    figures->rejects.strangers += wire.strangers;
    figures->rejects.skipped_frames += wire.skipped;
    figures->rejects.broken_streams += wire.broken;
}

static void
end_reading(struct live *live)
{
    struct link *link = &live->link;

    if (link->fast && link->owner.tap)
        link->owner.tap->read(link->owner.tap->context);
    link->fast = live->reads = false;
    take_reading(live, &link->figures);
    live->was_read = true;
    if (link->state == LINK_READING)
        link_set_state(link, LINK_STEADY, "the whole desk was asked");
    else
        rest(link);
}

/* Whether the reading still waits for values that cannot be asked for. */
static bool
waits_for_pushes(const struct live *live)
{
    const struct link *link = &live->link;
    const struct desk *desk = engine_desk(link->engine);
    size_t entry = 0;

    while (entry < link->profile->entry_count && link->profile->entries[entry].asks)
        entry++;
    return link->state == LINK_READING && entry < link->profile->entry_count &&
           loop_now_ms(link->loop) - live->begun_ms < PUSHES_MS &&
           desk_count_state(desk, VALUE_UNKNOWN) + desk_count_state(desk, VALUE_STALE) > 0;
}

/* Sends what may be sent, and sleeps until there is more to do. True when every question is
 * answered or given up; then it does not sleep. */
static bool
ask(struct live *live)
{
    int64_t now_us = loop_now_us(live->link.loop), wait_us;
    size_t entry, place;

    questions_expire(live->questions, now_us);
    while (speaker_may_ask(live->speaker) &&
           questions_next(live->questions, now_us, &entry, &place))
        speaker_ask(live->speaker, entry, place);
    if (questions_done(live->questions))
        return true;
    wait_us = questions_wait_us(live->questions, now_us);
    if (wait_us < speaker_wait_us(live->speaker, now_us))
        wait_us = speaker_wait_us(live->speaker, now_us);
    loop_timer_start(live->ask, wait_us / 1000 + 1, 0);
    return false;
}

static void
on_ask(void *context)
{
    struct live *live = context;
    struct link *link = &live->link;

    if (!wire_is_ready(live->wire)) /* on_ready() goes on */
        return;
    if (link->owner.quiet) {
        if (link->state == LINK_READING)
            link_set_state(link, LINK_STEADY, "nothing is asked");
        return;
    }
    if (link->state == LINK_STEADY && !live->reads) {
        if (link_asks(link)) /* or it would begin and end without end */
            read_slowly(live);
        return;
    }
    if (!ask(live))
        return;
    if (waits_for_pushes(live))
        loop_timer_start(live->ask, LOOK_AGAIN_MS, 0);
    else
        end_reading(live);
}

/* ---- finding it ---- */

static void
on_lookup(void *context, const struct sockaddr *const *peers, const char *error)
{
    struct live *live = context;
    struct link *link = &live->link;

    if (peers && link->owner.resolved)
        link->owner.resolved(link->owner.context, peers);
    if (peers) {
        link->figures.resolved = true;
        error = wire_lead_to(live->wire, peers[0]);
    }
    if (error)
        link->figures.error = error;
    if (link->state == LINK_RESOLVING)
        link_set_state(link, error ? LINK_LOST : LINK_READING,
                       error ? error : "the address is known");
}

/* How long the desk has been silent; a reading counts from its beginning. */
static int64_t
quiet_ms(const struct link *link, int64_t now_ms)
{
    bool began_later = link->state == LINK_READING && link->state_ms > link->figures.last_heard_ms;

    return now_ms - (began_later ? link->state_ms : link->figures.last_heard_ms);
}

/* A desk that is gone is asked once a second, and looked up again now and then: it may come back
 * with another address. */
static void
look_for_desk(struct live *live, int64_t now_ms)
{
    bool again = (now_ms - live->link.state_ms) % LOOKUP_AGAIN_MS < PROBE_MS;

    if (again) /* a desk that was switched off left its end of the connection open */
        wire_renew(live->wire);
    speaker_seek(live->speaker);
    if (again)
        wire_look_up(live->wire);
}

/* Values that were not heard for too long are stale. */
static void
expire(struct link *link, int64_t before_ms)
{
    size_t stale = engine_expire(link->engine, before_ms);

    if (link->owner.tap && stale > 0)
        link->owner.tap->expired(link->owner.tap->context, before_ms);
}

/* A question that is no reading's: does anybody answer? */
static void
look_for_answer(void *context)
{
    struct live *live = context;
    int64_t wait_us = speaker_wait_us(live->speaker, loop_now_us(live->link.loop));

    if (speaker_may_ask(live->speaker))
        speaker_ask(live->speaker, live->link.probe_entry, 0);
    else
        loop_timer_start(live->late, wait_us / 1000 + 1, 0);
}

/* Once a second: is the desk there? */
static void
on_probe(void *context)
{
    struct live *live = context;
    struct link *link = &live->link;
    int64_t now_ms = loop_now_ms(link->loop);

    if (link->state == LINK_RESOLVING)
        return;
    if ((link->state == LINK_READING || (link->state == LINK_STEADY && link_asks(link))) &&
        quiet_ms(link, now_ms) >= LINK_LOST_MS)
        link_set_state(link, LINK_LOST, said_why_silent(link));
    if (link->state == LINK_LOST)
        look_for_desk(live, now_ms);
    else
        expire(link, now_ms - (int64_t)(link->profile->pace.stale_after_s * 1000));
    if (link_asks(link) && quiet_ms(link, now_ms) >= PROBE_MS)
        look_for_answer(live);
}

/* ---- hearing it ---- */

static void
on_answer(void *context, size_t entry, size_t place)
{
    struct live *live = context;

    live->link.entry = entry;
    live->link.place = place;
    if (questions_answered(live->questions, entry, place, loop_now_us(live->link.loop)))
        live->answered = true;
}

static void
on_packet(void *context, const uint8_t *bytes, size_t length)
{
    struct live *live = context;
    struct link *link = &live->link;
    int64_t now_ms = loop_woke_ms(link->loop);

    live->answered = false;
    link_hear_packet(link, bytes, length, now_ms);
    if (link->state == LINK_LOST && link->figures.last_heard_ms >= link->state_ms)
        link_set_state(link, LINK_READING, "the desk was heard");
    else if (live->answered)
        on_ask(live);
}

/* A desk that was connected anew has forgotten who wants its pushes, and the questions under way:
 * those are asked again in their time. What was answered stays answered, or a connection that ends
 * again and again would never let a reading end. */
static void
on_ready(void *context)
{
    struct live *live = context;

    speaker_begin(live->speaker);
    if (live->link.state == LINK_READING || live->link.state == LINK_STEADY)
        loop_timer_start(live->ask, 0, 0);
}

static void
on_trouble(void *context, const char *error)
{
    struct live *live = context;

    live->link.figures.error = error;
}

/* ---- opening and closing ---- */

static void
close_live(struct link *link)
{
    struct live *live = live_of(link);

    loop_timer_close(live->probe);
    loop_timer_close(live->late);
    loop_timer_close(live->ask);
    questions_free(live->questions);
    speaker_free(live->speaker);
    wire_free(live->wire);
    link_free(link);
}

static const struct link_way way = {begin, rest, lose, read_again, add_figures, close_live};
static const struct wire_events wire_events = {on_lookup, on_packet, on_ready, on_trouble};

struct link *
link_open(struct loop *loop, const struct profile *profile, struct engine *engine, const char *host,
          int port, struct link_owner owner)
{
    struct live *live = need_memory(1, sizeof *live);

    live->link = (struct link){&way, loop, profile, engine, owner, .fast = false};
    link_init(&live->link, on_answer);
    live->wire = wire_new(loop, &profile->link, host, port, &wire_events, live);
    live->speaker = speaker_new(loop, profile, live->wire);
    live->questions = questions_new(profile);
    live->ask = loop_timer_open(loop, on_ask, live);
    live->begun_ms = loop_now_ms(loop);
    live->late = loop_timer_open(loop, look_for_answer, live);
    live->probe = loop_timer_open(loop, on_probe, live);
    loop_timer_start(live->probe, PROBE_MS, PROBE_MS);
    wire_look_up(live->wire);
    return &live->link;
}
