/* SPDX-License-Identifier: MIT */
/* Bytes as one datagram: walked, decoded, routed into an engine on a small desk, judged. First the
 * desk knows nothing, then everything, then everything is stale.
 */
#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "link/questions.h"
#include "link/router.h"
#include "osc/check.h"
#include "osc/osc.h"
#include "rig.h"

enum {
    RUN_EVERY = 16,        /* messages from one run of the checks to the next */
    NEIGHBOURS_MOST = 4096 /* bytes that cannot hold OSC_ELEMENTS */
};

struct desk_end {
    const struct profile *profile;
    struct engine *engine;
    struct router *router;
    struct questions *questions;
    const uint8_t *left, *end; /* of the datagram, behind the last message */
    size_t messages;
    bool heard; /* a message reached an entry */
    int64_t now_ms;
};

static struct profile *profile;

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    profile = rig_small_desk();
    return 0;
}

/* A question put now and then, so that answers meet questions in every state. */
static void
put_question(struct desk_end *desk)
{
    size_t entry, place;

    questions_expire(desk->questions, 1000 * desk->now_ms);
    if (questions_next(desk->questions, 1000 * desk->now_ms, &entry, &place))
        assert(place < entry_places(desk->profile, &desk->profile->entries[entry],
                                    desk->profile->entries[entry].asked_count));
}

static void
on_answer(void *context, size_t entry, size_t place)
{
    struct desk_end *desk = context;
    struct question_figures figures;

    assert(entry < desk->profile->entry_count);
    assert(place < entry_places(desk->profile, &desk->profile->entries[entry],
                                desk->profile->entries[entry].variable_count));
    questions_answered(desk->questions, entry, place, 1000 * desk->now_ms);
    figures = questions_figures(desk->questions);
    assert(figures.heard + figures.never_came <= figures.questions);
}

static bool
is_inside(const char *text, const uint8_t *bytes, size_t length)
{
    const char *begin = (const char *)bytes;

    return text >= begin && text < begin + length &&
           memchr(text, 0, length - (size_t)(text - begin)) != NULL;
}

static void
check_decoded(const struct osc_message *message, const uint8_t *bytes, size_t length)
{
    assert(is_inside(message->address, bytes, length));
    assert(message->address_size <= length && message->address_size % 4 == 0);
    assert(message->count <= OSC_ARGUMENTS);
    for (size_t i = 0; i < message->count; i++) {
        const struct argument *argument = &message->arguments[i];

        if (argument->kind == ARGUMENT_TEXT && argument->type == 'c')
            assert(strlen(argument->text) <= 1);
        else if (argument->kind == ARGUMENT_TEXT)
            assert(is_inside(argument->text, bytes, length));
        if (argument->kind == ARGUMENT_BLOB)
            assert(argument->number >= 0 && (const uint8_t *)argument->text > bytes &&
                   (const uint8_t *)argument->text + (size_t)argument->number <= bytes + length);
        if (argument->kind == ARGUMENT_SWITCH)
            assert(argument->number == 0 || argument->number == 1);
    }
}

/* A message of what we can write ourselves, which is no array, is written again, and must be the
 * same bytes. */
static void
check_encoded(const struct osc_message *message, const uint8_t *bytes, size_t length)
{
    uint8_t *again;
    size_t again_length;

    if (strpbrk(message->types, "[]"))
        return;
    for (size_t i = 0; i < message->count; i++)
        if (!strchr("ifsTF", message->arguments[i].type) || isnan(message->arguments[i].number))
            return;
    again = osc_encode(message->address, message->arguments, message->count, true, &again_length);
    assert(again && again_length == length && memcmp(again, bytes, length) == 0);
    free(again);
}

/* The message alone at the end of a block, so that the address sanitizer sees the first byte read
 * behind it, and aligned to 4 bytes only, as inside a bundle. */
static void
take_message(struct desk_end *desk, const uint8_t *bytes, size_t length)
{
    struct osc_message message;
    uint8_t *block = malloc(length + 4);

    assert(block);
    memcpy(block + 4, bytes, length);
    if (osc_decode(&message, block + 4, length)) {
        check_decoded(&message, block + 4, length);
        if (!message.untyped)
            check_encoded(&message, block + 4, length);
        if (router_take(desk->router, &message, desk->now_ms) != ROUTE_UNKNOWN_ADDRESS)
            desk->heard = true;
    }
    free(block);
}

static void
on_message(void *context, const uint8_t *bytes, size_t length)
{
    struct desk_end *desk = context;

    assert(bytes >= desk->left && bytes <= desk->end);
    assert(length > 0 && length % 4 == 0 && length <= (size_t)(desk->end - bytes));
    desk->left = bytes + length;
    desk->now_ms += 7;
    take_message(desk, bytes, length);
    put_question(desk);
    if (++desk->messages % RUN_EVERY == 0)
        rig_run(desk->engine, desk->now_ms);
}

static void
on_reject(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    struct desk_end *desk = context;
    struct osc_outline outline = osc_outline(bytes, length);

    assert(why > OSC_OK && why < OSC_REJECTS && why != OSC_REFUSED);
    assert(bytes >= desk->left && bytes + length <= desk->end);
    assert(!outline.address || is_inside(outline.address, bytes, length));
    assert(!outline.types || (outline.address && is_inside(outline.types, bytes, length)));
    desk->left = bytes + length;
}

static void
take_datagram(struct desk_end *desk, const uint8_t *bytes, size_t length)
{
    desk->left = bytes;
    desk->end = bytes + length;
    desk->messages = 0;
    osc_check_datagram(bytes, length, profile->forms,
                       &(struct osc_told){on_message, on_reject, desk});
    assert(desk->messages <= OSC_ELEMENTS);
    if (!desk->heard)
        return;
    rig_check_desk(engine_desk(desk->engine));
    rig_check_ranges(desk->profile, engine_desk(desk->engine));
    rig_run(desk->engine, desk->now_ms);
    rig_check_marks(desk->engine);
}

/* The datagram on a desk whose every value is known. */
static void
take_again(struct desk_end *desk, const uint8_t *bytes, size_t length)
{
    rig_fill(desk->engine, RIG_USUAL, desk->now_ms);
    rig_run(desk->engine, desk->now_ms);
    take_datagram(desk, bytes, length);
    engine_expire(desk->engine, INT64_MAX);
    assert(rig_run(desk->engine, desk->now_ms) == 0); /* silence is no news */
    rig_check_marks(desk->engine);
}

/* ---- what is given out, and what turned down ---- */

struct counts {
    size_t messages, rejects;
    const uint8_t *last; /* the last message */
};

static void
count_message(void *context, const uint8_t *bytes, size_t length)
{
    struct counts *counts = context;

    (void)length;
    counts->messages++;
    counts->last = bytes;
}

static void
count_strict(void *context, const uint8_t *bytes, size_t length)
{
    struct osc_message message;

    count_message(context, bytes, length);
    assert(bytes[0] == '/');
    if (osc_decode(&message, bytes, length))
        assert(!message.untyped);
}

static void
count_reject(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    (void)why;
    (void)bytes;
    (void)length;
    ((struct counts *)context)->rejects++;
}

/* What passes when a desk keeps to the specification passes also when it need not, and is the same.
 */
static void
check_forms(const uint8_t *bytes, size_t length)
{
    static const struct osc_forms strict, loose = {.untyped = true, .bare = true};
    struct counts strictly = {0}, loosely = {0};

    osc_check_datagram(bytes, length, strict,
                       &(struct osc_told){count_strict, count_reject, &strictly});
    osc_check_datagram(bytes, length, loose,
                       &(struct osc_told){count_message, count_reject, &loosely});
    assert(strictly.messages + strictly.rejects == loosely.messages + loosely.rejects);
    assert(strictly.messages <= loosely.messages);
}

/* Between two good messages of a bundle it may be what it will: they are heard. */
static void
check_neighbours(const uint8_t *bytes, size_t length)
{
    static const uint8_t head[16] = "#bundle", good[12] = {0, 0, 0, 8, '/', 'n', 0, 0, ','};
    const uint8_t size[4] = {(uint8_t)(length >> 24), (uint8_t)(length >> 16),
                             (uint8_t)(length >> 8), (uint8_t)length};
    uint8_t *bundle = malloc(44 + length), *behind = bundle + 32 + length;
    struct counts alone = {0}, counts = {0};

    assert(bundle);
    memcpy(bundle, head, 16);
    memcpy(bundle + 16, good, 12);
    memcpy(bundle + 28, size, 4);
    memcpy(bundle + 32, bytes, length);
    memcpy(behind, good, 12);
    osc_check_datagram(bytes, length, profile->forms,
                       &(struct osc_told){count_message, count_reject, &alone});
    osc_check_datagram(bundle, 44 + length, profile->forms,
                       &(struct osc_told){count_message, count_reject, &counts});
    assert(counts.messages <= alone.messages + 2); /* fewer: a bundle too deep now */
    assert(counts.last == behind + 4);
    free(bundle);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct desk_end desk = {.profile = profile, .now_ms = 1000};

    check_forms(bytes, length);
    if (length > 0 && length % 4 == 0 && length < NEIGHBOURS_MOST)
        check_neighbours(bytes, length);
    desk.engine = rig_engine(profile, NULL);
    desk.router = router_new(profile, desk.engine, on_answer, &desk);
    desk.questions = questions_new(profile);
    assert(desk.router && desk.questions);
    questions_begin(desk.questions, 1000 * desk.now_ms, profile->pace.per_second);
    take_datagram(&desk, bytes, length);
    if (desk.heard)
        take_again(&desk, bytes, length);
    router_free(desk.router);
    questions_free(desk.questions);
    engine_free(desk.engine);
    return 0;
}
