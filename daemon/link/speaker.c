/* SPDX-License-Identifier: MIT */
#include "link/speaker.h"

#include <assert.h>
#include <stdlib.h>

#include "core/need.h"
#include "link/ceiling.h"
#include "link/renewals.h"
#include "osc/osc.h"

enum { ADDRESS_SIZE = 400 };

struct speaker {
    struct loop *loop;
    const struct profile *profile;
    struct wire *wire;
    struct ceiling ceiling; /* of all that is sent */
    struct renewals *renewals;
    bool question_waits, renewed_last; /* for the ceiling; whose turn it was */
};

bool
speaker_is_ready(const struct speaker *speaker)
{
    return speaker->wire && wire_is_ready(speaker->wire);
}

static void
send_pattern(struct speaker *speaker, const struct entry *entry, const struct pattern *pattern,
             const int indexes[ENTRY_VARIABLES])
{
    struct argument arguments[OSC_ARGUMENTS];
    char address[ADDRESS_SIZE];
    uint8_t *bytes;
    size_t length;

    if (!speaker_is_ready(speaker))
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
    bytes =
        osc_encode(address, arguments, pattern->count, !speaker->profile->link.untagged, &length);
    wire_send(speaker->wire, bytes, length);
    ceiling_sent(&speaker->ceiling, loop_now_us(speaker->loop));
    free(bytes);
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

/* Where both wait for the ceiling, questions and renewals take turns. */
static bool
send_renewal(void *context, const struct pattern *message)
{
    static const int none[ENTRY_VARIABLES] = {0};
    static const struct entry nothing = {0};
    struct speaker *speaker = context;

    assert(speaker->profile->agreed);
    if (speaker->question_waits && speaker->renewed_last) {
        speaker->renewed_last = false; /* once: the question may have become needless */
        return false;
    }
    speaker->renewed_last = true;
    send_pattern(speaker, &nothing, message, none);
    return true;
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

void
speaker_begin(struct speaker *speaker)
{
    renewals_begin(speaker->renewals);
}

void
speaker_seek(struct speaker *speaker)
{
    renewals_seek(speaker->renewals);
}

void
speaker_set_wire(struct speaker *speaker, struct wire *wire)
{
    speaker->wire = wire;
}

struct speaker *
speaker_new(struct loop *loop, const struct profile *profile)
{
    struct speaker *speaker = need_memory(1, sizeof *speaker);

    speaker->loop = loop;
    speaker->profile = profile;
    ceiling_init(&speaker->ceiling, profile->pace.per_second, loop_now_us(loop));
    speaker->renewals = renewals_new(loop, profile, &speaker->ceiling, send_renewal, speaker);
    return speaker;
}

void
speaker_free(struct speaker *speaker)
{
    if (!speaker)
        return;
    renewals_free(speaker->renewals);
    free(speaker);
}
