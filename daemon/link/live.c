/* SPDX-License-Identifier: MIT */
/* A link that speaks to a desk: reads it, listens to it, and looks whether it is there. */
#include <stdlib.h>

#include "core/need.h"
#include "link/line.h"
#include "link/reading.h"
#include "link/speaker.h"
#include "link/way.h"

enum {
    PROBE_MS = 1000,        /* how often a silent desk is asked something */
    LOOKUP_AGAIN_MS = 5000, /* a lost desk may have another address */
    PUSHES_MS = 2000,       /* how long a reading waits for what is only pushed */
    LOOK_AGAIN_MS = 50
};

struct live {
    struct link link; /* by which it is known */
    struct line *line;
    struct speaker *speaker;
    struct reading *reading;
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

static void
begin(struct link *link)
{
    speaker_begin(live_of(link)->speaker);
    reading_begin(live_of(link)->reading, false);
}

static void
rest(struct link *link)
{
    reading_look_in(live_of(link)->reading, (int64_t)(link->profile->pace.reread_every_s * 500));
}

static void
lose(struct link *link)
{
    reading_stop(live_of(link)->reading);
}

static void
read_again(struct link *link)
{
    reading_begin(live_of(link)->reading, false);
}

static void
end_reading(struct live *live)
{
    struct link *link = &live->link;

    if (link->fast && link->owner.tap)
        link->owner.tap->read(link->owner.tap->context);
    link->fast = false;
    reading_end(live->reading);
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
           reading_for_ms(live->reading) < PUSHES_MS &&
           desk_count_state(desk, VALUE_UNKNOWN) + desk_count_state(desk, VALUE_STALE) > 0;
}

/* Sends what may be sent, and sleeps until there is more to do. */
static void
on_ask(void *context)
{
    struct live *live = context;
    struct link *link = &live->link;

    if (!speaker_is_ready(live->speaker)) /* on_ready() goes on */
        return;
    if (link->owner.quiet) {
        if (link->state == LINK_READING)
            link_set_state(link, LINK_STEADY, "nothing is asked");
        return;
    }
    if (link->state == LINK_STEADY && !reading_is_on(live->reading)) {
        if (link_asks(link)) /* or it would begin and end without end */
            reading_begin(live->reading, true);
        return;
    }
    if (!reading_step(live->reading))
        return;
    if (waits_for_pushes(live))
        reading_look_in(live->reading, LOOK_AGAIN_MS);
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
        error = line_connect(live->line, peers[0]);
        speaker_set_wire(live->speaker, line_wire(live->line));
    }
    if (error)
        link->figures.error = error;
    if (link->state == LINK_RESOLVING && line_wire(live->line))
        link_set_state(link, LINK_READING, "the address is known");
    else if (link->state == LINK_RESOLVING)
        link_set_state(link, LINK_LOST, link->figures.error);
}

/* How long the desk has been silent; a reading counts from its beginning. */
static int64_t
quiet_ms(const struct link *link, int64_t now_ms)
{
    bool began_later = link->state == LINK_READING && link->state_ms > link->hear.last_heard_ms;

    return now_ms - (began_later ? link->state_ms : link->hear.last_heard_ms);
}

/* A desk that is gone is asked once a second, and looked up again now and then: it may come back
 * with another address. */
static void
look_for_desk(struct live *live, int64_t now_ms)
{
    bool again = (now_ms - live->link.state_ms) % LOOKUP_AGAIN_MS < PROBE_MS;

    if (again) /* a desk that was switched off left its end of the connection open */
        line_renew(live->line);
    speaker_seek(live->speaker);
    if (again)
        line_look_up(live->line);
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
        link_set_state(link, LINK_LOST, link->figures.error ? link->figures.error : "no answer");
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

    live->link.hear.entry = entry;
    live->link.hear.place = place;
    if (reading_answered(live->reading, entry, place))
        live->answered = true;
}

static void
on_packet(void *context, const uint8_t *bytes, size_t length)
{
    struct live *live = context;
    struct link *link = &live->link;
    const struct link_tap *tap = link->owner.tap;
    int64_t now_ms = loop_woke_ms(link->loop);

    if (tap)
        tap->packet(tap->context, bytes, length, now_ms);
    live->answered = false;
    link_hear_packet(&link->hear, bytes, length, now_ms);
    if (link->hear.last_heard_ms == now_ms)
        link->figures.error = NULL;
    if (link->state == LINK_LOST && link->hear.last_heard_ms >= link->state_ms)
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
        reading_look_in(live->reading, 0);
}

static void
on_trouble(void *context, const char *error)
{
    struct live *live = context;

    live->link.figures.error = error;
}

/* ---- opening and closing ---- */

static void
add_figures(const struct link *link, struct link_figures *figures)
{
    const struct live *live = (const struct live *)link;
    struct wire_figures wires = line_figures(live->line);

    figures->questions = reading_figures(live->reading, &figures->took_ms);
    figures->rejects.strangers += wires.strangers;
    figures->rejects.skipped_frames += wires.skipped;
    figures->rejects.broken_streams += wires.broken;
}

static void
close_live(struct link *link)
{
    struct live *live = live_of(link);

    loop_timer_close(live->probe);
    loop_timer_close(live->late);
    reading_free(live->reading);
    speaker_free(live->speaker);
    line_free(live->line);
    link_release(link);
    free(live);
}

static const struct link_way way = {begin, rest, lose, read_again, add_figures, close_live};
static const struct wire_events wire_events = {on_packet, on_ready, on_trouble};

struct link *
link_open(struct loop *loop, const struct profile *profile, struct engine *engine, const char *host,
          int port, struct link_owner owner)
{
    struct link made = {
        .way = &way, .loop = loop, .profile = profile, .engine = engine, .owner = owner};
    struct live *live = need_memory(1, sizeof *live);
    struct line_owner line = {&wire_events, on_lookup, live};

    link_init(&live->link, &made, on_answer);
    live->line = line_new(loop, &profile->link, host, port, line);
    live->speaker = speaker_new(loop, profile);
    live->reading = reading_new(loop, profile, live->speaker, on_ask, live);
    live->late = loop_timer_open(loop, look_for_answer, live);
    live->probe = loop_timer_open(loop, on_probe, live);
    loop_timer_start(live->probe, PROBE_MS, PROBE_MS);
    line_look_up(live->line);
    return &live->link;
}
