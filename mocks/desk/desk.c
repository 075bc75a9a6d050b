/* SPDX-License-Identifier: MIT */
#include "desk.h"

#include <stdio.h>
#include <string.h>

#include "moves.h"
#include "pattern.h"
#include "spectra.h"

enum { QUESTION_SIZE = 256 }; /* patterns may be longer than what they match */

/* One message being dealt with. */
struct hearing {
    struct desk *desk;
    const struct peer *from;
    int64_t now_us;
};

bool
desk_init(struct desk *desk, const struct dialect *dialect)
{
    return book_init(&desk->book, dialect, &desk->state) && moves_init(&desk->moves, &desk->state);
}

void
desk_release(struct desk *desk)
{
    addresses_release(&desk->moves);
    book_release(&desk->book);
    state_release(&desk->state);
}

/* ---- speaking ---- */

/* Half a desk knows its odd-numbered inputs and mixes only. */
static bool
is_missing(const struct desk *desk, enum scope scope, size_t object)
{
    enum count kind = scope_rows[scope].outer;

    return faults_is_on(desk->faults, FAULT_HALF) &&
           (kind == COUNT_INPUTS || kind == COUNT_MIXES) &&
           state_outer(&desk->state, scope, object) % 2 == 1;
}

/* `number` is that of the question, where there was one that has to come back. Returns the size of
 * the message; 0 when the desk has no words for so much. */
static size_t
compose(const struct desk *desk, const struct phrase *phrase, size_t object, const int32_t *number,
        uint8_t bytes[WIRE_MESSAGE_SIZE])
{
    struct manner manner = desk->book.dialect->manner;
    char address[ADDRESS_SIZE];
    struct draft draft;

    manner.number = number;
    phrase_write(phrase, &desk->state, object, &manner, address, &draft);
    draft.address += desk->bare;
    draft.untagged = desk->untagged;
    draft.arrays = desk->arrays;
    return draft_finish(&draft, bytes, WIRE_MESSAGE_SIZE);
}

static void
answer(struct hearing *hearing, const struct phrase *phrase, size_t object, const int32_t *number)
{
    struct desk *desk = hearing->desk;
    uint8_t bytes[WIRE_MESSAGE_SIZE];
    size_t size =
        is_missing(desk, phrase->scope, object) ? 0 : compose(desk, phrase, object, number, bytes);

    if (size == 0)
        return;
    outbox_post(desk->outbox, hearing->from, bytes, size);
    pace_spend(&desk->pace, desk->faults->values[FAULT_ANSWERS_PER_SECOND], hearing->now_us);
}

static void
post_to_all(struct desk *desk, struct subscribers *subscribers, const uint8_t *bytes, size_t size,
            int64_t now_us)
{
    subscribers_lapse(subscribers, now_us);
    for (size_t i = 0; size > 0 && i < subscribers->count; i++)
        outbox_post(desk->outbox, &subscribers->list[i].peer, bytes, size);
}

void
desk_push(struct desk *desk, const struct field *field, size_t object, int64_t now_us)
{
    const struct phrase *phrase = book_tells(&desk->book, &desk->state, field, &object);
    uint8_t bytes[WIRE_MESSAGE_SIZE];

    post_to_all(desk, &desk->subscribers, bytes, compose(desk, phrase, object, NULL, bytes),
                now_us);
}

/* Returns the size of the message; 0 when no sound goes there. */
static size_t
compose_spectrum(const struct desk *desk, const struct spectra_of *of,
                 uint8_t bytes[WIRE_MESSAGE_SIZE])
{
    char address[ADDRESS_SIZE];
    struct draft draft;

    if (!spectra_write(desk->book.dialect, desk->stage, of, address, &draft))
        return 0;
    draft.address += desk->bare;
    draft.untagged = desk->untagged;
    draft.arrays = desk->arrays;
    return draft_finish(&draft, bytes, WIRE_MESSAGE_SIZE);
}

static void
answer_spectrum(struct hearing *hearing, const struct spectra_of *of)
{
    struct desk *desk = hearing->desk;
    uint8_t bytes[WIRE_MESSAGE_SIZE];
    size_t size = compose_spectrum(desk, of, bytes);

    if (size == 0)
        return;
    outbox_post(desk->outbox, hearing->from, bytes, size);
    pace_spend(&desk->pace, desk->faults->values[FAULT_ANSWERS_PER_SECOND], hearing->now_us);
}

void
desk_push_spectra(struct desk *desk, int64_t now_us)
{
    unsigned most = desk->state.counts[COUNT_INPUTS] > desk->state.counts[COUNT_MIXES]
                        ? desk->state.counts[COUNT_INPUTS]
                        : desk->state.counts[COUNT_MIXES];
    struct spectra_of of;
    uint8_t bytes[WIRE_MESSAGE_SIZE];

    if (faults_is_on(desk->faults, FAULT_SILENT) || desk->spectra_subscribers.count == 0)
        return;
    for (of.row = 0; of.row < SPECTRA_ROWS; of.row++)
        for (of.number = 1; (unsigned)of.number <= most; of.number++)
            post_to_all(desk, &desk->spectra_subscribers, bytes, compose_spectrum(desk, &of, bytes),
                        now_us);
}

/* ---- questions ---- */

static unsigned
count_indices(enum scope scope)
{
    if (scope_rows[scope].inner != COUNTS)
        return 2;
    return scope_rows[scope].outer != COUNTS ? 1 : 0;
}

/* Of `count` objects of a kind. */
static bool
read_index(const struct argument *argument, enum count kind, size_t count,
           const struct manner *manner, size_t *index)
{
    double number = argument->number - manner->first;

    if (manner->naming != NAMING_NUMBERS)
        return argument->text && naming_find(manner->naming, kind, count, argument->text, index);
    if (!(number >= 0 && number < (double)count))
        return false;
    *index = (size_t)number;
    return true;
}

/* The first arguments name one object of the scope. */
static bool
read_indices(const struct desk *desk, const struct message *message, enum scope scope,
             const struct manner *manner, size_t *object)
{
    const enum count kinds[2] = {scope_rows[scope].outer, scope_rows[scope].inner};
    size_t indices[2] = {0, 0};
    unsigned count = count_indices(scope);

    if (message->count < count)
        return false;
    for (unsigned i = 0; i < count; i++)
        if (!read_index(&message->arguments[i], kinds[i], desk->state.counts[kinds[i]], manner,
                        &indices[i]))
            return false;
    *object = state_object(&desk->state, scope, indices[0], indices[1]);
    return true;
}

/* False when it is none. */
static bool
hear_question(struct hearing *hearing, const struct node *node, const struct message *message)
{
    const struct desk *desk = hearing->desk;
    const struct phrase *phrase = node->phrase;
    bool in_address = strchr(phrase->ask, '#') != NULL;
    bool numbered = desk->book.dialect->manner.reply_at != NULL;
    unsigned count = in_address ? 0 : count_indices(phrase->scope);
    size_t object = node->object;
    int32_t number;

    if (message->count != count + numbered || (numbered && message->arguments[count].tag != 'i'))
        return false;
    if (!in_address &&
        !read_indices(desk, message, phrase->scope, &desk->book.dialect->manner, &object))
        return false;
    number = numbered ? (int32_t)message->arguments[count].number : 0;
    answer(hearing, phrase, object, numbered ? &number : NULL);
    return true;
}

static void
hear_pattern(struct hearing *hearing, const char *pattern)
{
    const struct desk *desk = hearing->desk;
    char address[ADDRESS_SIZE];
    size_t object;

    for (size_t i = 0; i < desk->book.messages; i++) {
        const struct phrase *phrase = book_message(&desk->book, &desk->state, i, &object);
        struct named named = {&desk->state, desk->book.dialect->manner.naming, phrase->scope,
                              object};

        address_expand(phrase->ask, &named, address);
        if (pattern_match(pattern, address))
            answer(hearing, phrase, object, NULL);
    }
}

/* Who renews in the middle is told the rest, and then from the beginning what came before. */
static void
hear_stay(struct hearing *hearing)
{
    struct desk *desk = hearing->desk;
    int64_t hold_us = (int64_t)(desk->faults->values[FAULT_HOLD_STAY] * 1e6);
    size_t sweep = desk->book.dialect->sweeps ? desk->book.messages : 0;

    subscribers_lapse(&desk->subscribers, hearing->now_us);
    subscribers_stay(&desk->subscribers, hearing->from, hearing->now_us, hold_us, sweep);
}

static void
hear_stay_spectra(struct hearing *hearing)
{
    struct desk *desk = hearing->desk;
    int64_t hold_us = (int64_t)(desk->faults->values[FAULT_HOLD_STAY] * 1e6);

    subscribers_lapse(&desk->spectra_subscribers, hearing->now_us);
    subscribers_stay(&desk->spectra_subscribers, hearing->from, hearing->now_us, hold_us, 0);
}

/* ---- moves ---- */

static void
move_value(struct hearing *hearing, const struct node *node, const struct message *message)
{
    if (message->count == 1 &&
        state_move(&hearing->desk->state, node->field, node->object, &message->arguments[0]))
        desk_push(hearing->desk, node->field, node->object, hearing->now_us);
}

static unsigned
count_fields(enum scope scope)
{
    unsigned count = 0;

    for (size_t i = 0; i < fields_count; i++)
        count += all_fields[i].scope == scope;
    return count;
}

static void
move_band(struct hearing *hearing, const struct node *node, const struct message *message)
{
    static const struct manner plain = {.first = 1};
    struct state *state = &hearing->desk->state;
    enum scope scope = (enum scope)node->object;
    const struct field *told = NULL;
    unsigned next = 2; /* the arguments after the two indices */
    size_t object;

    if (message->count != next + count_fields(scope) ||
        !read_indices(hearing->desk, message, scope, &plain, &object))
        return;
    for (size_t i = 0; i < fields_count; i++) {
        if (all_fields[i].scope != scope)
            continue;
        told = &all_fields[i];
        state_move(state, told, object, &message->arguments[next++]);
    }
    desk_push(hearing->desk, told, object, hearing->now_us);
}

static void
hear_move(struct hearing *hearing, const struct node *node, const struct message *message)
{
    hearing->desk->moved |= node->kind != NODE_RIG;
    switch (node->kind) {
    case NODE_VALUE:
        move_value(hearing, node, message);
        break;
    case NODE_BAND:
        move_band(hearing, node, message);
        break;
    case NODE_RIG:
        if (message->count == 1)
            faults_set(hearing->desk->faults, (enum fault)node->object,
                       message->arguments[0].number);
        break;
    case NODE_QUESTION:
    case NODE_KINDS:
        break;
    }
}

/* ---- hearing ---- */

/* The question that stands as a text, the first argument, in a message to the one address. */
static bool
hear_path(struct hearing *hearing, const struct message *message)
{
    const char *path = message->count > 0 ? message->arguments[0].text : NULL;
    const struct node *node = path ? addresses_find(&hearing->desk->book.questions, path) : NULL;
    struct message rest = *message;

    if (!node)
        return false;
    rest.count--;
    memmove(rest.arguments, rest.arguments + 1, rest.count * sizeof *rest.arguments);
    return hear_question(hearing, node, &rest);
}

/* A message in the desk's own spelling of addresses. False when it is no question. */
static bool
hear_dialect(struct hearing *hearing, const char *address, const struct message *message)
{
    const struct book *book = &hearing->desk->book;
    const struct manner *manner = &book->dialect->manner;
    const struct node *node = addresses_find(&book->questions, address);
    struct spectra_of of;

    if (hearing->desk->stage && strcmp(address, "/stay/spectra") == 0) {
        hear_stay_spectra(hearing);
        return true;
    }
    if (hearing->desk->stage && spectra_asked(book->dialect, address, message, &of)) {
        answer_spectrum(hearing, &of);
        return true;
    }
    if (strcmp(address, "/stay") == 0) {
        hear_stay(hearing);
        return true;
    }
    if (book->dialect->patterns && message->count == 0 && pattern_is(address)) {
        hear_pattern(hearing, address);
        return true;
    }
    if (manner->ask_at)
        return strcmp(address, manner->ask_at) == 0 && hear_path(hearing, message);
    return node && hear_question(hearing, node, message);
}

static void
hear_message(void *context, const struct message *message)
{
    struct hearing *hearing = context;
    const struct desk *desk = hearing->desk;
    bool bare = message->address[0] != '/';
    bool silent = faults_is_on(desk->faults, FAULT_SILENT);
    const struct node *node = addresses_find(&desk->moves, message->address);
    char address[QUESTION_SIZE];

    if (strlen(message->address) > sizeof address - 2)
        return;
    snprintf(address, sizeof address, "%s%s", bare ? "/" : "", message->address);
    if (bare == desk->bare && !silent && hear_dialect(hearing, address, message))
        return;
    if (node && message->tagged && (!silent || node->kind == NODE_RIG))
        hear_move(hearing, node, message);
}

void
desk_hear(struct desk *desk, const struct received *received, int64_t now_us)
{
    struct hearing hearing = {desk, &received->peer, now_us};

    (void)packet_each(received->data, received->size, hear_message, &hearing);
}

/* ---- sweeping ---- */

static void
sweep_one(struct desk *desk, struct subscriber *subscriber, int64_t now_us)
{
    double per_second = desk->faults->values[FAULT_PUSHES_PER_SECOND];
    uint8_t bytes[WIRE_MESSAGE_SIZE];
    size_t object;

    while (subscriber->left > 0 && subscriber->due_us <= now_us) {
        const struct phrase *phrase =
            book_message(&desk->book, &desk->state, subscriber->next, &object);
        size_t size = is_missing(desk, phrase->scope, object)
                          ? 0
                          : compose(desk, phrase, object, NULL, bytes);

        if (size > 0)
            outbox_post(desk->outbox, &subscriber->peer, bytes, size);
        subscriber->next = (subscriber->next + 1) % desk->book.messages;
        subscriber->left--;
        subscriber->due_us += (int64_t)(1e6 / per_second);
    }
}

void
desk_sweep(struct desk *desk, int64_t now_us)
{
    if (faults_is_on(desk->faults, FAULT_SILENT))
        return;
    subscribers_lapse(&desk->subscribers, now_us);
    for (size_t i = 0; i < desk->subscribers.count; i++)
        sweep_one(desk, &desk->subscribers.list[i], now_us);
}

int64_t
desk_next_us(const struct desk *desk)
{
    int64_t next = INT64_MAX;

    if (faults_is_on(desk->faults, FAULT_SILENT))
        return next;
    for (size_t i = 0; i < desk->subscribers.count; i++)
        if (desk->subscribers.list[i].left > 0 && desk->subscribers.list[i].due_us < next)
            next = desk->subscribers.list[i].due_us;
    return next;
}
