/* SPDX-License-Identifier: MIT */
#include "link/speaker.h"

#include <assert.h>
#include <stdlib.h>

#include "core/need.h"
#include "link/ceiling.h"
#include "osc/osc.h"
#include "profile/wording.h"

enum {
    ADDRESS_SIZE = 400,
    SEEK_MS = 1000 /* how often speaker_seek() is called */
};

struct item {
    struct speaker *speaker;
    const struct renewal *renewal;
    struct loop_timer *timer;
    bool due;
};

struct speaker {
    struct loop *loop;
    const struct profile *profile;
    struct wire *wire;
    struct ceiling ceiling;            /* of all that is sent */
    struct item *items;                /* one for each renewal of the profile */
    struct loop_timer *late;           /* for those that had to wait */
    bool question_waits, renewed_last; /* for the ceiling; whose turn it was */
    loop_fn *renewed;
    void *context;
};

static void
send_pattern(struct speaker *speaker, const struct entry *entry, const struct pattern *pattern,
             const int indexes[ENTRY_VARIABLES])
{
    struct argument arguments[OSC_ARGUMENTS];
    char address[ADDRESS_SIZE];
    uint8_t *bytes;
    size_t length;

    if (!wire_is_ready(speaker->wire))
        return;
    pattern_address(pattern, entry, indexes, address, sizeof address);
    wording_arguments(speaker->profile, pattern, entry, indexes, arguments);
    bytes =
        osc_encode(address, arguments, pattern->count, !speaker->profile->link.untagged, &length);
    wire_send(speaker->wire, bytes, length);
    ceiling_sent(&speaker->ceiling, loop_now_us(speaker->loop));
    free(bytes);
    wording_free_arguments(pattern, arguments);
}

void
speaker_ask(struct speaker *speaker, size_t number, size_t place)
{
    const struct entry *entry = &speaker->profile->entries[number];
    int indexes[ENTRY_VARIABLES] = {0};

    assert(!entry->listed || speaker->profile->agreed);
    speaker->renewed_last = false;
    entry_indexes(speaker->profile, entry, entry->asked_count, place, indexes);
    send_pattern(speaker, entry, &entry->ask, indexes);
}

void
speaker_ask_at(struct speaker *speaker, const char *address)
{
    uint8_t *bytes;
    size_t length;

    if (!wire_is_ready(speaker->wire))
        return;
    bytes = osc_encode(address, NULL, 0, !speaker->profile->link.untagged, &length);
    wire_send(speaker->wire, bytes, length);
    ceiling_sent(&speaker->ceiling, loop_now_us(speaker->loop));
    free(bytes);
}

int64_t
speaker_wait_us(struct speaker *speaker, int64_t now_us)
{
    return ceiling_wait_us(&speaker->ceiling, now_us);
}

bool
speaker_may_ask(struct speaker *speaker)
{
    speaker->question_waits = speaker_wait_us(speaker, loop_now_us(speaker->loop)) > 0;
    return !speaker->question_waits;
}

/* ---- renewals ---- */

/* False when a question has its turn first. */
static bool
renew(struct speaker *speaker, const struct renewal *renewal)
{
    static const int none[ENTRY_VARIABLES] = {0};
    static const struct entry nothing = {0};

    assert(speaker->profile->agreed);
    if (speaker->question_waits && speaker->renewed_last) {
        speaker->renewed_last = false; /* once: the question may have become needless */
        return false;
    }
    speaker->renewed_last = true;
    send_pattern(speaker, &nothing, &renewal->send, none);
    speaker->renewed(speaker->context);
    return true;
}

static void
renew_due(void *context)
{
    struct speaker *speaker = context;

    for (size_t i = 0; i < speaker->profile->renewal_count; i++) {
        struct item *item = &speaker->items[i];
        int64_t wait_us;

        if (!item->due)
            continue;
        wait_us = speaker_wait_us(speaker, loop_now_us(speaker->loop));
        if (wait_us > 0 || !renew(speaker, item->renewal)) {
            loop_timer_start(speaker->late, wait_us / 1000 + 1, 0);
            return;
        }
        item->due = false;
    }
}

static void
on_time(void *context)
{
    struct item *item = context;

    item->due = true;
    renew_due(item->speaker);
}

static int64_t
every_ms(const struct item *item)
{
    return (int64_t)(item->renewal->every_s * 1000);
}

void
speaker_begin(struct speaker *speaker)
{
    for (size_t i = 0; i < speaker->profile->renewal_count; i++) {
        struct item *item = &speaker->items[i];

        item->due = true;
        loop_timer_start(item->timer, every_ms(item), every_ms(item));
    }
    renew_due(speaker);
}

void
speaker_seek(struct speaker *speaker)
{
    for (size_t i = 0; i < speaker->profile->renewal_count; i++)
        if (every_ms(&speaker->items[i]) > SEEK_MS)
            speaker->items[i].due = true;
    renew_due(speaker);
}

/* ---- opening and closing ---- */

struct speaker *
speaker_new(struct loop *loop, const struct profile *profile, struct wire *wire, loop_fn *renewed,
            void *context)
{
    struct speaker *speaker = need_memory(1, sizeof *speaker);

    *speaker =
        (struct speaker){.loop = loop,
                         .profile = profile,
                         .wire = wire,
                         .items = need_memory(profile->renewal_count, sizeof *speaker->items),
                         .late = loop_timer_open(loop, renew_due, speaker),
                         .renewed = renewed,
                         .context = context};
    ceiling_init(&speaker->ceiling, profile->pace.per_second, loop_now_us(loop));
    for (size_t i = 0; i < profile->renewal_count; i++) {
        struct item *item = &speaker->items[i];

        *item = (struct item){speaker, &profile->renewals[i], loop_timer_open(loop, on_time, item),
                              false};
    }
    return speaker;
}

void
speaker_free(struct speaker *speaker)
{
    loop_timer_close(speaker->late);
    for (size_t i = 0; i < speaker->profile->renewal_count; i++)
        loop_timer_close(speaker->items[i].timer);
    free(speaker->items);
    free(speaker);
}
