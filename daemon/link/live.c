/* SPDX-License-Identifier: MIT */
/* A link that speaks to a desk: reads it, listens to it, and looks whether it is there. */
#include <math.h>

#include "core/need.h"
#include "link/asker.h"
#include "link/said.h"
#include "link/way.h"
#include "link/wire.h"

enum {
    PROBE_MS = 1000,        /* how often a lost desk is looked for */
    QUIET_MS = 400,         /* a desk that was not heard for so long is asked something */
    LOOKUP_AGAIN_MS = 5000, /* a lost desk may have another address */
    PUSHES_MS = 2000,       /* how long a reading waits for what is only pushed */
    LOOK_AGAIN_MS = 50,
    ANEW_APART_MS = 10000,  /* between two readings of a desk that may have been started anew */
    RENEWED_APART_MS = 1000 /* and between its renewals */
};

struct live {
    struct link link; /* by which it is known */
    struct wire *wire;
    struct speaker *speaker;
    struct asker asker;
    struct presence presence;
    struct loop_timer *ask;    /* the next question, or the next time-out */
    int64_t begun_ms;          /* the reading, */
    bool was_read;             /* the first one is over */
    struct loop_timer *late;   /* for a look at a silent desk that had to wait */
    struct loop_timer *probe;  /* is the desk there? */
    struct loop_timer *silent; /* the next look at how long it was not heard */
    bool wake;                 /* the packet in hand made room for a question, or moved something */
    bool anew;                 /* it may have been started anew, and was not read since */
    int64_t anew_ms, renewed_ms; /* when that was last answered by a reading, and by renewals */
};

static struct live *
live_of(struct link *link)
{
    return (struct live *)link;
}

/* ---- reading it ---- */

/* Every question waits. */
static void
read_again(struct link *link)
{
    struct live *live = live_of(link);

    live->begun_ms = loop_now_ms(link->loop);
    asker_read(&live->asker);
    loop_timer_start(live->ask, 0, 0);
}

static struct presence_limits
presence_limits(const struct link *link)
{
    const struct profile *profile = link->profile;
    struct presence_limits limits = {.asked = link_asks(link), .lost_ms = LINK_LOST_MS};

    if (link->owner.quiet)
        return limits; /* who only listens misses nothing */
    limits.mute_ms = (int64_t)(profile->pace.lost_after_s * 1000);
    for (size_t i = 0; i < profile->renewal_count; i++)
        limits.renewal_ms =
            (int64_t)fmax((double)limits.renewal_ms, profile->renewals[i].every_s * 1000);
    return limits;
}

static void
begin(struct link *link)
{
    struct live *live = live_of(link);

    presence_begin(&live->presence, presence_limits(link), loop_now_ms(link->loop));
    live->anew = false;
    speaker_begin(live->speaker);
    read_again(link);
}

static void
rest(struct link *link)
{
    loop_timer_start(live_of(link)->ask, 0, 0);
}

static void
lose(struct link *link)
{
    live_of(link)->asker.reads = false;
    loop_timer_stop(live_of(link)->ask);
}

/* Those of the first reading are what a report wants. */
static void
take_reading(const struct live *live, struct link_figures *figures)
{
    if (live->was_read)
        return;
    figures->questions = questions_figures(live->asker.questions);
    figures->took_ms = loop_now_ms(live->link.loop) - live->begun_ms;
}

static void
add_figures(const struct link *link, struct link_figures *figures)
{
    const struct live *live = (const struct live *)link;
    struct wire_figures wire = wire_figures(live->wire);
    struct round_periods periods =
        live->asker.reads ? rounds_planned(live->asker.rounds) /* which wait for the reading */
                          : rounds_periods(live->asker.rounds, loop_now_us(link->loop));

    take_reading(live, figures);
    if (live->was_read) {
        figures->protects_every_ms = periods.protects_us / 1000;
        figures->rest_every_ms = periods.rest_us / 1000;
    }
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
    link->fast = false;
    asker_rest(&live->asker);
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
    if (!live->asker.reads && !link_asks(link))
        return;
    asker_ask(&live->asker);
    if (!live->asker.reads || !questions_done(live->asker.questions))
        loop_timer_start(live->ask, asker_wait_us(&live->asker) / 1000 + 1, 0);
    else if (waits_for_pushes(live))
        loop_timer_start(live->ask, LOOK_AGAIN_MS, 0);
    else
        end_reading(live);
}

/* What a desk that may have been started anew has for values, nobody knows. */
static void
read_anew(struct live *live)
{
    int64_t now_ms = loop_now_ms(live->link.loop);

    if (!live->anew || live->asker.reads || live->link.state != LINK_STEADY ||
        !link_asks(&live->link) || now_ms - live->anew_ms < ANEW_APART_MS)
        return;
    live->anew = false;
    live->anew_ms = now_ms;
    read_again(&live->link);
}

static void
come_back(struct live *live)
{
    int64_t now_ms = loop_now_ms(live->link.loop);

    live->anew = true;
    if (now_ms - live->renewed_ms >= RENEWED_APART_MS) {
        live->renewed_ms = now_ms;
        speaker_begin(live->speaker);
    }
    read_anew(live);
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

static int64_t
quiet_ms(const struct link *link, int64_t now_ms)
{
    return now_ms - link->figures.last_heard_ms;
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

/* How old a value may be: as many rounds as the profile's times say, where one takes longer. */
static int64_t
stale_after_ms(const struct live *live)
{
    const struct pace *pace = &live->link.profile->pace;
    struct round_periods planned = rounds_planned(live->asker.rounds);
    double round_s = fmax((double)planned.protects_us, (double)planned.rest_us) / 1e6;

    if (!live->was_read || !link_asks(&live->link))
        round_s = 0;
    return (int64_t)(pace->stale_after_s * fmax(1, round_s / pace->reread_every_s) * 1000);
}

/* A question that is no reading's: does anybody answer? */
static void
look_for_answer(void *context)
{
    struct live *live = context;
    int64_t wait_us = speaker_wait_us(live->speaker, loop_now_us(live->link.loop));

    if (!asker_look(&live->asker, live->link.probe_entry))
        loop_timer_start(live->late, wait_us / 1000 + 1, 0);
}

/* Once a second. */
static void
on_probe(void *context)
{
    struct live *live = context;
    struct link *link = &live->link;
    int64_t now_ms = loop_now_ms(link->loop);

    if (link->state == LINK_RESOLVING)
        return;
    if (link->state == LINK_LOST)
        look_for_desk(live, now_ms);
    else
        link_expire(link, now_ms - stale_after_ms(live));
    if (link->state != LINK_STEADY && link_asks(link) && quiet_ms(link, now_ms) >= PROBE_MS)
        look_for_answer(live);
    read_anew(live);
}

/* Is the desk there? A quiet one is asked now and then, so that its silence begins when it does. */
static void
on_silent(void *context)
{
    struct live *live = context;
    struct link *link = &live->link;
    int64_t now_ms = loop_now_ms(link->loop);
    int64_t left_ms = presence_lost_at_ms(&live->presence) - now_ms;

    if (link->state == LINK_STEADY && link_asks(link) && quiet_ms(link, now_ms) >= QUIET_MS)
        look_for_answer(live);
    if ((link->state == LINK_READING || link->state == LINK_STEADY) && left_ms <= 0)
        link_set_state(link, LINK_LOST, said_why_silent(link));
    loop_timer_start(live->silent, left_ms > 0 && left_ms < QUIET_MS ? left_ms : QUIET_MS, 0);
}

/* ---- hearing it ---- */

static void
on_answer(void *context, size_t entry, size_t place)
{
    struct live *live = context;
    struct link *link = &live->link;

    link->entry = entry;
    link->place = place;
    if (asker_heard(&live->asker, entry, place, router_moved(link->router)))
        live->wake = true;
}

/* Something was heard of it. */
static void
note_presence(struct live *live, int64_t now_ms)
{
    struct link *link = &live->link;
    double loss = questions_loss(live->asker.questions);

    if (link->figures.last_heard_ms != now_ms || link->state == LINK_LOST)
        return;
    if (presence_heard(&live->presence, link->unmoved, loss, now_ms))
        come_back(live);
}

static void
on_packet(void *context, const uint8_t *bytes, size_t length)
{
    struct live *live = context;
    struct link *link = &live->link;
    int64_t now_ms = loop_woke_ms(link->loop);

    live->wake = false;
    link_hear_packet(link, bytes, length, now_ms);
    note_presence(live, now_ms);
    if (link->state == LINK_LOST && link->figures.last_heard_ms >= link->state_ms)
        link_set_state(link, LINK_READING, "the desk was heard");
    else if (live->wake)
        on_ask(live);
}

/* A desk that was connected anew has forgotten who wants its pushes, and the questions under way:
 * those are asked again in their time. What was answered stays answered, or a connection that ends
 * again and again would never let a reading end; come_back() has it read once more after that. */
static void
on_ready(void *context)
{
    struct live *live = context;

    live->renewed_ms = loop_now_ms(live->link.loop);
    speaker_begin(live->speaker);
    if (live->link.state == LINK_READING || live->link.state == LINK_STEADY)
        loop_timer_start(live->ask, 0, 0);
}

static void
on_trouble(void *context, const char *error)
{
    struct live *live = context;

    live->link.figures.error = error;
    presence_trouble(&live->presence, loop_now_ms(live->link.loop));
}

static void
on_renewed(void *context)
{
    struct live *live = context;

    presence_renewed(&live->presence, loop_now_ms(live->link.loop));
}

void
link_ask_at(struct link *link, const char *address)
{
    speaker_ask_at(live_of(link)->speaker, address);
}

/* ---- opening and closing ---- */

static void
close_live(struct link *link)
{
    struct live *live = live_of(link);

    loop_timer_close(live->silent);
    loop_timer_close(live->probe);
    loop_timer_close(live->late);
    loop_timer_close(live->ask);
    asker_release(&live->asker);
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
    live->speaker = speaker_new(loop, profile, live->wire, on_renewed, live);
    live->asker = asker_of(profile, loop, live->speaker, &live->presence);
    live->anew_ms = live->renewed_ms = -ANEW_APART_MS; /* never */
    live->ask = loop_timer_open(loop, on_ask, live);
    live->begun_ms = loop_now_ms(loop);
    live->late = loop_timer_open(loop, look_for_answer, live);
    live->probe = loop_timer_open(loop, on_probe, live);
    loop_timer_start(live->probe, PROBE_MS, PROBE_MS);
    live->silent = loop_timer_open(loop, on_silent, live);
    loop_timer_start(live->silent, QUIET_MS, 0);
    wire_look_up(live->wire);
    return &live->link;
}
