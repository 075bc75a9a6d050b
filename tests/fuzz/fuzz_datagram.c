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

enum { RUN_EVERY = 16 }; /* messages from one run of the checks to the next */

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

        if (argument->kind == ARGUMENT_TEXT)
            assert(is_inside(argument->text, bytes, length));
        if (argument->kind == ARGUMENT_BLOB)
            assert(argument->number >= 0 && (const uint8_t *)argument->text > bytes &&
                   (const uint8_t *)argument->text + (size_t)argument->number <= bytes + length);
        if (argument->kind == ARGUMENT_SWITCH)
            assert(argument->number == 0 || argument->number == 1);
    }
}

/* A message of what we can write ourselves is written again, and must be the same bytes. */
static void
check_encoded(const struct osc_message *message, const uint8_t *bytes, size_t length)
{
    uint8_t *again;
    size_t again_length;

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
take_datagram(struct desk_end *desk, const uint8_t *bytes, size_t length)
{
    enum osc_reject reject;

    desk->left = bytes;
    desk->end = bytes + length;
    desk->messages = 0;
    reject = osc_check_datagram(bytes, length, profile->forms, on_message, desk);
    assert(reject < OSC_REJECTS && reject != OSC_REFUSED);
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

static void
count_strict(void *context, const uint8_t *bytes, size_t length)
{
    struct osc_message message;

    ++*(size_t *)context;
    assert(bytes[0] == '/');
    if (osc_decode(&message, bytes, length))
        assert(!message.untyped);
}

static void
count(void *context, const uint8_t *bytes, size_t length)
{
    (void)bytes;
    (void)length;
    ++*(size_t *)context;
}

/* What passes when a desk keeps to the specification passes also when it need not, and is the same.
 */
static void
check_forms(const uint8_t *bytes, size_t length)
{
    static const struct osc_forms strict, loose = {.untyped = true, .bare = true};
    size_t strictly = 0, loosely = 0;
    enum osc_reject reject = osc_check_datagram(bytes, length, strict, count_strict, &strictly);
    enum osc_reject other = osc_check_datagram(bytes, length, loose, count, &loosely);

    assert(strictly <= loosely);
    assert(reject != OSC_OK || (other == OSC_OK && strictly == loosely));
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct desk_end desk = {.profile = profile, .now_ms = 1000};

    check_forms(bytes, length);
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
