#include "link/link.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "link/hear.h"
#include "link/renewals.h"
#include "link/router.h"
#include "link/wire.h"
#include "osc/osc.h"

enum {
    PROBE_MS = 1000,        /* how often a silent desk is asked something */
    LOOKUP_AGAIN_MS = 5000, /* a lost desk may have another address */
    PUSHES_MS = 2000,       /* how long a reading waits for what is only pushed */
    LOOK_AGAIN_MS = 50,
    ADDRESS_SIZE = 400
};

struct link {
    struct loop *loop;
    const struct profile *profile;
    struct engine *engine;
    struct link_hear hear;
    struct questions *questions;
    char *host;
    int port;
    struct link_owner owner;
    enum link_state state;
    struct loop_lookup *lookup;
    struct wire *wire;
    struct sockaddr_storage peer;
    struct loop_timer *late;  /* for a look at a silent desk that had to wait */
    struct loop_timer *ask;   /* the next question, or the next time-out */
    struct loop_timer *probe; /* is the desk there? */
    struct ceiling ceiling;   /* of all that is sent */
    struct renewals *renewals;
    bool question_waits, renewed_last; /* for the ceiling; whose turn it was */
    int64_t begun_ms;                  /* of the reading */
    int64_t state_ms;                  /* since when that holds */
    bool answered;                     /* it completed a question, so another may go */
    size_t probe_entry;                /* an entry that can be asked, or the count of them */
    struct link_figures figures;
    bool asking;        /* a reading is under way */
    bool fast;          /* the steady desk is being read at full pace */
    bool first_reading; /* its figures are the ones that a report wants */
    bool replayed;      /* nobody is spoken to; what happens is told by link_replay_...() */
};

enum link_state
link_state(const struct link *link)
{
    return link->state;
}

static void
add_wire_figures(struct link_rejects *rejects, struct wire_figures figures)
{
    rejects->strangers += figures.strangers;
    rejects->skipped_frames += figures.skipped;
    rejects->broken_streams += figures.broken;
}

struct link_figures
link_figures(const struct link *link)
{
    struct link_figures figures = link->figures;

    figures.rejects = link->hear.rejects;
    figures.taken = link->hear.taken;
    if (link->first_reading) {
        figures.questions = questions_figures(link->questions);
        figures.took_ms = loop_now_ms(link->loop) - link->begun_ms;
    }
    figures.last_heard_ms = link->hear.last_heard_ms;
    figures.now_ms = loop_now_ms(link->loop);
    if (link->wire)
        add_wire_figures(&figures.rejects, wire_figures(link->wire));
    return figures;
}

/* ---- sending ---- */

static void
send_pattern(struct link *link, const struct entry *entry, const struct pattern *pattern,
             const int indexes[ENTRY_VARIABLES])
{
    struct argument arguments[OSC_ARGUMENTS];
    char address[ADDRESS_SIZE];
    uint8_t *bytes;
    size_t length;

    if (!link->wire || !wire_is_ready(link->wire))
        return;
    pattern_address(pattern, entry, indexes, address, sizeof address);
    for (size_t i = 0; i < pattern->count; i++) {
        const struct element *element = &pattern->elements[i];

        arguments[i] = element->literal;
        if (element->kind == ELEMENT_INDEX)
            arguments[i] = (struct argument){
                ARGUMENT_NUMBER, 'i',
                indexes[element->variable] + entry->variables[element->variable].first, NULL};
    }
    bytes = osc_encode(address, arguments, pattern->count, !link->profile->link.untagged, &length);
    wire_send(link->wire, bytes, length);
    ceiling_sent(&link->ceiling, loop_now_us(link->loop));
    free(bytes);
}

static void
send_question(struct link *link, size_t number, size_t place)
{
    const struct entry *entry = &link->profile->entries[number];
    int indexes[ENTRY_VARIABLES] = {0};

    assert(!entry->listed || link->profile->agreed);
    link->renewed_last = false;
    entry_indexes(link->profile, entry, entry->asked_count, place, indexes);
    send_pattern(link, entry, &entry->ask, indexes);
}

/* Where both wait for the ceiling, questions and renewals take turns. */
static bool
send_renewal(void *context, const struct pattern *message)
{
    static const int none[ENTRY_VARIABLES] = {0};
    static const struct entry nothing = {0};
    struct link *link = context;

    assert(link->profile->agreed);
    if (link->question_waits && link->renewed_last) {
        link->renewed_last = false; /* once: the question may have become needless */
        return false;
    }
    link->renewed_last = true;
    send_pattern(link, &nothing, message, none);
    return true;
}

/* Whether a question may leave now. */
static bool
may_ask(struct link *link)
{
    link->question_waits = ceiling_wait_us(&link->ceiling, loop_now_us(link->loop)) > 0;
    return !link->question_waits;
}

/* ---- link states ---- */

static void
begin_reading(struct link *link)
{
    double per_second = link->profile->pace.per_second;

    link->begun_ms = loop_now_ms(link->loop);
    link->asking = true;
    if (link->state == LINK_STEADY && !link->fast) {
        /* twice as fast as the interval needs, but never in the way of other tablets */
        double slow = 2 * (double)questions_figures(link->questions).questions /
                      link->profile->pace.reread_every_s;

        slow = slow < 10 ? 10 : slow;
        per_second = slow < per_second ? slow : per_second;
    }
    questions_begin(link->questions, loop_now_us(link->loop), per_second);
    loop_timer_start(link->ask, 0, 0);
}

static void
set_state(struct link *link, enum link_state state, const char *why)
{
    enum link_state from = link->state;

    if (from == state)
        return;
    link->state = state;
    link->state_ms = loop_now_ms(link->loop);
    switch (state) {
    case LINK_RESOLVING:
        break;
    case LINK_READING:
        if (!link->replayed) {
            renewals_begin(link->renewals);
            begin_reading(link);
        }
        break;
    case LINK_STEADY:
        if (!link->replayed)
            loop_timer_start(link->ask, (int64_t)(link->profile->pace.reread_every_s * 500), 0);
        break;
    case LINK_LOST:
        link->fast = link->asking = false;
        loop_timer_stop(link->ask);
        engine_expire(link->engine, INT64_MAX);
        break;
    }
    link->owner.changed(link->owner.context, from, state, why);
}

/* Keeps the figures of the first reading; later ones only keep the model fresh. */
static void
end_reading(struct link *link)
{
    if (link->fast && link->owner.tap)
        link->owner.tap->read(link->owner.tap->context);
    link->fast = link->asking = false;
    if (link->first_reading) {
        link->figures.questions = questions_figures(link->questions);
        link->figures.took_ms = loop_now_ms(link->loop) - link->begun_ms;
        link->first_reading = false;
    }
    if (link->state == LINK_READING)
        set_state(link, LINK_STEADY, "the whole desk was asked");
    else
        loop_timer_start(link->ask, (int64_t)(link->profile->pace.reread_every_s * 500), 0);
}

bool
link_is_reading(const struct link *link)
{
    return link->state == LINK_READING || link->fast;
}

/* Whether there are questions at all: some desks only push. */
static bool
asks(const struct link *link)
{
    return link->probe_entry < link->profile->entry_count;
}

void
link_read_again(struct link *link)
{
    if (link->state != LINK_STEADY || link->fast || !asks(link))
        return;
    link->fast = true;
    if (!link->replayed)
        begin_reading(link);
}

/* Whether the reading still waits for values that cannot be asked for. */
static bool
waits_for_pushes(const struct link *link, int64_t now_ms)
{
    const struct desk *desk = engine_desk(link->engine);
    size_t entry = 0;

    while (entry < link->profile->entry_count && link->profile->entries[entry].asks)
        entry++;
    return link->state == LINK_READING && entry < link->profile->entry_count &&
           now_ms - link->begun_ms < PUSHES_MS &&
           desk_count_state(desk, VALUE_UNKNOWN) + desk_count_state(desk, VALUE_STALE) > 0;
}

/* Sends what may be sent, and sleeps until there is more to do. */
static void
on_ask(void *context)
{
    struct link *link = context;
    int64_t now_us = loop_now_us(link->loop), wait_us;
    size_t entry, place;

    if (!link->wire || !wire_is_ready(link->wire)) /* on_ready() goes on */
        return;
    if (link->owner.quiet) {
        if (link->state == LINK_READING)
            set_state(link, LINK_STEADY, "nothing is asked");
        return;
    }

    if (link->state == LINK_STEADY && !link->asking) {
        if (asks(link)) /* or it would begin and end without end */
            begin_reading(link);
        return;
    }
    questions_expire(link->questions, now_us);
    while (may_ask(link) && questions_next(link->questions, now_us, &entry, &place))
        send_question(link, entry, place);
    if (questions_done(link->questions)) {
        if (waits_for_pushes(link, now_us / 1000))
            loop_timer_start(link->ask, LOOK_AGAIN_MS, 0);
        else
            end_reading(link);
        return;
    }
    wait_us = questions_wait_us(link->questions, now_us);
    if (wait_us < ceiling_wait_us(&link->ceiling, now_us))
        wait_us = ceiling_wait_us(&link->ceiling, now_us);
    loop_timer_start(link->ask, wait_us / 1000 + 1, 0);
}

static const struct wire_events wire_events;

/* What a wire counted outlives it. */
static void
close_wire(struct link *link)
{
    if (link->wire)
        add_wire_figures(&link->hear.rejects, wire_figures(link->wire));
    wire_close(link->wire);
    link->wire = NULL;
}

/* Keeps the socket while the address stays: the desk may know us by our port. */
static void
connect_to(struct link *link, const struct sockaddr *peer)
{
    const char *error = NULL;

    link->figures.resolved = true;
    if (link->wire && memcmp(&link->peer, peer, loop_address_size(peer)) == 0)
        return;
    memcpy(&link->peer, peer, loop_address_size(peer));
    close_wire(link);
    link->wire = wire_open(link->loop, &link->profile->link, peer, &wire_events, link, &error);
    if (!link->wire)
        link->figures.error = error;
}

static void
on_lookup(void *context, const struct sockaddr *const *peers, const char *error)
{
    struct link *link = context;

    link->lookup = NULL;
    if (peers && link->owner.resolved)
        link->owner.resolved(link->owner.context, peers);
    if (peers)
        connect_to(link, peers[0]);
    else
        link->figures.error = error;
    if (link->state == LINK_RESOLVING)
        set_state(link, link->wire ? LINK_READING : LINK_LOST,
                  link->wire ? "the address is known" : link->figures.error);
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
look_for_desk(struct link *link, int64_t now_ms)
{
    bool again = (now_ms - link->state_ms) % LOOKUP_AGAIN_MS < PROBE_MS;

    if (again && link->wire) /* a desk that was switched off left its end of the connection open */
        wire_renew(link->wire);
    renewals_seek(link->renewals);
    if (!link->lookup && again)
        link->lookup = loop_lookup_open(link->loop, link->host, link->port, on_lookup, link);
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
    struct link *link = context;
    int64_t wait_us = ceiling_wait_us(&link->ceiling, loop_now_us(link->loop));

    if (may_ask(link))
        send_question(link, link->probe_entry, 0);
    else
        loop_timer_start(link->late, wait_us / 1000 + 1, 0);
}

/* Once a second: is the desk there? */
static void
on_probe(void *context)
{
    struct link *link = context;
    int64_t now_ms = loop_now_ms(link->loop);

    if (link->state == LINK_RESOLVING)
        return;
    if ((link->state == LINK_READING || (link->state == LINK_STEADY && asks(link))) &&
        quiet_ms(link, now_ms) >= LINK_LOST_MS)
        set_state(link, LINK_LOST, link->figures.error ? link->figures.error : "no answer");
    if (link->state == LINK_LOST)
        look_for_desk(link, now_ms);
    else
        expire(link, now_ms - (int64_t)(link->profile->pace.stale_after_s * 1000));
    if (asks(link) && quiet_ms(link, now_ms) >= PROBE_MS)
        look_for_answer(link);
}

/* ---- hearing ---- */

static void
on_answer(void *context, size_t entry, size_t place)
{
    struct link *link = context;

    link->hear.entry = entry;
    link->hear.place = place;
    if (!link->replayed &&
        questions_answered(link->questions, entry, place, loop_now_us(link->loop)))
        link->answered = true;
}

static void
on_packet(void *context, const uint8_t *bytes, size_t length)
{
    struct link *link = context;
    const struct link_tap *tap = link->owner.tap;
    int64_t now_ms = loop_woke_ms(link->loop);

    if (tap)
        tap->packet(tap->context, bytes, length, now_ms);
    link->answered = false;
    link_hear_packet(&link->hear, bytes, length, now_ms);
    if (link->hear.last_heard_ms == now_ms)
        link->figures.error = NULL;
    if (link->replayed)
        return; /* what it brought about is recorded too */
    if (link->state == LINK_LOST && link->hear.last_heard_ms >= link->state_ms)
        set_state(link, LINK_READING, "the desk was heard");
    else if (link->answered)
        on_ask(link);
}

/* A desk that was connected anew has forgotten who wants its pushes, and the questions under way:
 * those are asked again in their time. What was answered stays answered, or a connection that ends
 * again and again would never let a reading end. */
static void
on_ready(void *context)
{
    struct link *link = context;

    renewals_begin(link->renewals);
    if (link->state == LINK_READING || link->state == LINK_STEADY)
        loop_timer_start(link->ask, 0, 0);
}

static void
on_trouble(void *context, const char *error)
{
    struct link *link = context;

    link->figures.error = error;
}

static const struct wire_events wire_events = {on_packet, on_ready, on_trouble};

/* ---- opening and closing ---- */

/* All but what speaks to the desk. */
static struct link *
make(struct loop *loop, const struct profile *profile, struct engine *engine, const char *host,
     struct link_owner owner)
{
    struct link *link = need_memory(1, sizeof *link);

    *link = (struct link){
        .loop = loop, .profile = profile, .engine = engine, .owner = owner, .first_reading = true};
    link->hear = (struct link_hear){
        .router = router_new(profile, engine, on_answer, link),
        .forms = owner.heard ? (struct osc_forms){.untyped = true, .bare = true} : profile->forms,
        .owner = &link->owner,
        .last_heard_ms = -1};
    link->host = need_text(host);
    link->questions = questions_new(profile);
    ceiling_init(&link->ceiling, profile->pace.per_second, loop_now_us(loop));
    link->renewals = renewals_new(loop, profile, &link->ceiling, send_renewal, link);
    while (link->probe_entry < profile->entry_count &&
           (owner.quiet || !profile->entries[link->probe_entry].asks))
        link->probe_entry++;
    link->begun_ms = link->state_ms = loop_now_ms(loop);
    link->ask = loop_timer_open(link->loop, on_ask, link);
    link->late = loop_timer_open(link->loop, look_for_answer, link);
    link->probe = loop_timer_open(link->loop, on_probe, link);
    return link;
}

struct link *
link_open(struct loop *loop, const struct profile *profile, struct engine *engine, const char *host,
          int port, struct link_owner owner)
{
    struct link *link = make(loop, profile, engine, host, owner);

    link->port = port;
    loop_timer_start(link->probe, PROBE_MS, PROBE_MS);
    link->lookup = loop_lookup_open(loop, host, port, on_lookup, link);
    return link;
}

void
link_close(struct link *link)
{
    if (!link)
        return;
    loop_lookup_cancel(link->lookup);
    wire_close(link->wire);
    loop_timer_close(link->ask);
    loop_timer_close(link->probe);
    loop_timer_close(link->late);
    renewals_free(link->renewals);
    router_free(link->hear.router);
    questions_free(link->questions);
    free(link->host);
    free(link);
}

/* ---- once more ---- */

struct link *
link_open_replayed(struct loop *loop, const struct profile *profile, struct engine *engine,
                   const char *host, struct link_owner owner)
{
    struct link *link = make(loop, profile, engine, host, owner);

    link->replayed = true;
    return link;
}

void
link_replay_packet(struct link *link, const uint8_t *bytes, size_t length)
{
    on_packet(link, bytes, length);
}

void
link_replay_state(struct link *link, enum link_state state, const char *why)
{
    set_state(link, state, why);
}

void
link_replay_reading(struct link *link, const struct question_figures *figures, int64_t took_ms)
{
    link->figures.questions = *figures;
    link->figures.took_ms = took_ms;
    link->figures.resolved = true;
    link->first_reading = false;
}

void
link_replay_read(struct link *link)
{
    link->fast = false;
}

void
link_replay_expiry(struct link *link, int64_t before_ms)
{
    engine_expire(link->engine, before_ms);
}

void
link_replay_heard(struct link *link, int64_t heard_ms)
{
    link->hear.last_heard_ms = heard_ms;
}
