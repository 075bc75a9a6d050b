#include "desk.h"

#include "moves.h"
#include "pattern.h"

#include <stdio.h>
#include <string.h>

enum { QUESTION_SIZE = 256 }; /* patterns may be longer than what they match */

/* One message being dealt with. */
struct Hearing {
    struct Desk *desk;
    const struct Peer *from;
    int64_t now_us;
};

bool
Desk_init(struct Desk *desk, const struct Dialect *dialect)
{
    return Book_init(&desk->book, dialect, &desk->state) && Moves_init(&desk->moves, &desk->state);
}

void
Desk_release(struct Desk *desk)
{
    Addresses_release(&desk->moves);
    Book_release(&desk->book);
    State_release(&desk->state);
}

/* ---- speaking ---- */

/* Half a desk knows its odd-numbered inputs and mixes only. */
static bool
is_missing(const struct Desk *desk, enum Scope scope, size_t object)
{
    enum Count kind = SCOPE_ROWS[scope].outer;

    return Faults_is_on(desk->faults, FAULT_HALF) &&
           (kind == COUNT_INPUTS || kind == COUNT_MIXES) &&
           State_outer(&desk->state, scope, object) % 2 == 1;
}

/* Returns the size of the message; 0 when the desk has no words for so much. */
static size_t
compose(const struct Desk *desk, const struct Phrase *phrase, size_t object,
        uint8_t bytes[WIRE_MESSAGE_SIZE])
{
    char address[ADDRESS_SIZE];
    struct Draft draft;

    Phrase_write(phrase, &desk->state, object, desk->book.dialect->first, address, &draft);
    draft.address += desk->bare;
    draft.untagged = desk->untagged;
    return Draft_finish(&draft, bytes, WIRE_MESSAGE_SIZE);
}

static void
answer(struct Hearing *hearing, const struct Phrase *phrase, size_t object)
{
    struct Desk *desk = hearing->desk;
    uint8_t bytes[WIRE_MESSAGE_SIZE];
    size_t size =
        is_missing(desk, phrase->scope, object) ? 0 : compose(desk, phrase, object, bytes);

    if (size == 0)
        return;
    Outbox_post(desk->outbox, hearing->from, bytes, size);
    Pace_spend(&desk->pace, desk->faults->values[FAULT_ANSWERS_PER_SECOND], hearing->now_us);
}

/* Tells all who stay what a field of an object is now. */
static void
push(struct Hearing *hearing, const struct Field *field, size_t object)
{
    struct Desk *desk = hearing->desk;
    const struct Phrase *phrase = Book_tells(&desk->book, &desk->state, field, &object);
    uint8_t bytes[WIRE_MESSAGE_SIZE];
    size_t size = compose(desk, phrase, object, bytes);

    Subscribers_lapse(&desk->subscribers, hearing->now_us);
    for (size_t i = 0; size > 0 && i < desk->subscribers.count; i++)
        Outbox_post(desk->outbox, &desk->subscribers.list[i].peer, bytes, size);
}

/* ---- questions ---- */

static unsigned
count_indices(enum Scope scope)
{
    if (SCOPE_ROWS[scope].inner != COUNTS)
        return 2;
    return SCOPE_ROWS[scope].outer != COUNTS ? 1 : 0;
}

/* The first arguments are the numbers of one object of the scope. */
static bool
read_indices(const struct Desk *desk, const struct Message *message, enum Scope scope,
             unsigned first, size_t *object)
{
    const enum Count kinds[2] = {SCOPE_ROWS[scope].outer, SCOPE_ROWS[scope].inner};
    size_t indices[2] = {0, 0};
    unsigned count = count_indices(scope);

    if (message->count < count)
        return false;
    for (unsigned i = 0; i < count; i++) {
        double number = message->arguments[i].number - first;

        if (!(number >= 0 && number < desk->state.counts[kinds[i]]))
            return false;
        indices[i] = (size_t)number;
    }
    *object = State_object(&desk->state, scope, indices[0], indices[1]);
    return true;
}

/* False when it is none. */
static bool
hear_question(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    const struct Desk *desk = hearing->desk;
    const struct Phrase *phrase = node->phrase;
    bool in_address = strchr(phrase->ask, '#') != NULL;
    size_t object = node->object;

    if (message->count != (in_address ? 0 : count_indices(phrase->scope)))
        return false;
    if (!in_address &&
        !read_indices(desk, message, phrase->scope, desk->book.dialect->first, &object))
        return false;
    answer(hearing, phrase, object);
    return true;
}

static void
hear_pattern(struct Hearing *hearing, const char *pattern)
{
    const struct Desk *desk = hearing->desk;
    char address[ADDRESS_SIZE];
    size_t object;

    for (size_t i = 0; i < desk->book.messages; i++) {
        const struct Phrase *phrase = Book_message(&desk->book, &desk->state, i, &object);

        Address_expand(phrase->ask, &desk->state, phrase->scope, object, address);
        if (Pattern_match(pattern, address))
            answer(hearing, phrase, object);
    }
}

/* Who renews in the middle is told the rest, and then from the beginning what came before. */
static void
hear_stay(struct Hearing *hearing)
{
    struct Desk *desk = hearing->desk;
    int64_t hold_us = (int64_t)(desk->faults->values[FAULT_HOLD_STAY] * 1e6);
    size_t sweep = desk->book.dialect->sweeps ? desk->book.messages : 0;

    Subscribers_lapse(&desk->subscribers, hearing->now_us);
    Subscribers_stay(&desk->subscribers, hearing->from, hearing->now_us, hold_us, sweep);
}

/* ---- moves ---- */

static void
move_value(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    if (message->count == 1 &&
        State_move(&hearing->desk->state, node->field, node->object, &message->arguments[0]))
        push(hearing, node->field, node->object);
}

static unsigned
count_fields(enum Scope scope)
{
    unsigned count = 0;

    for (size_t i = 0; i < FIELDS_COUNT; i++)
        count += FIELDS[i].scope == scope;
    return count;
}

static void
move_band(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    struct State *state = &hearing->desk->state;
    enum Scope scope = (enum Scope)node->object;
    const struct Field *told = NULL;
    unsigned next = 2; /* the arguments after the two indices */
    size_t object;

    if (message->count != next + count_fields(scope) ||
        !read_indices(hearing->desk, message, scope, 1, &object))
        return;
    for (size_t i = 0; i < FIELDS_COUNT; i++) {
        if (FIELDS[i].scope != scope)
            continue;
        told = &FIELDS[i];
        State_move(state, told, object, &message->arguments[next++]);
    }
    push(hearing, told, object);
}

static void
hear_move(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    switch (node->kind) {
    case NODE_VALUE:
        move_value(hearing, node, message);
        break;
    case NODE_BAND:
        move_band(hearing, node, message);
        break;
    case NODE_RIG:
        if (message->count == 1)
            Faults_set(hearing->desk->faults, (enum Fault)node->object,
                       message->arguments[0].number);
        break;
    case NODE_QUESTION:
    case NODE_KINDS:
        break;
    }
}

/* ---- hearing ---- */

/* A message in the desk's own spelling of addresses. False when it is no question. */
static bool
hear_dialect(struct Hearing *hearing, const char *address, const struct Message *message)
{
    const struct Book *book = &hearing->desk->book;
    const struct Node *node = Addresses_find(&book->questions, address);

    if (strcmp(address, "/stay") == 0) {
        hear_stay(hearing);
        return true;
    }
    if (book->dialect->patterns && message->count == 0 && Pattern_is(address)) {
        hear_pattern(hearing, address);
        return true;
    }
    return node != NULL && hear_question(hearing, node, message);
}

static void
hear_message(void *context, const struct Message *message)
{
    struct Hearing *hearing = context;
    const struct Desk *desk = hearing->desk;
    bool bare = message->address[0] != '/';
    bool silent = Faults_is_on(desk->faults, FAULT_SILENT);
    const struct Node *node = Addresses_find(&desk->moves, message->address);
    char address[QUESTION_SIZE];

    if (strlen(message->address) > sizeof address - 2)
        return;
    snprintf(address, sizeof address, "%s%s", bare ? "/" : "", message->address);
    if (bare == desk->bare && !silent && hear_dialect(hearing, address, message))
        return;
    if (node != NULL && message->tagged && (!silent || node->kind == NODE_RIG))
        hear_move(hearing, node, message);
}

void
Desk_hear(struct Desk *desk, const struct Received *received, int64_t now_us)
{
    struct Hearing hearing = {desk, &received->peer, now_us};

    (void)Packet_each(received->data, received->size, hear_message, &hearing);
}

/* ---- sweeping ---- */

static void
sweep_one(struct Desk *desk, struct Subscriber *subscriber, int64_t now_us)
{
    double per_second = desk->faults->values[FAULT_PUSHES_PER_SECOND];
    uint8_t bytes[WIRE_MESSAGE_SIZE];
    size_t object;

    while (subscriber->left > 0 && subscriber->due_us <= now_us) {
        const struct Phrase *phrase =
            Book_message(&desk->book, &desk->state, subscriber->next, &object);
        size_t size =
            is_missing(desk, phrase->scope, object) ? 0 : compose(desk, phrase, object, bytes);

        if (size > 0)
            Outbox_post(desk->outbox, &subscriber->peer, bytes, size);
        subscriber->next = (subscriber->next + 1) % desk->book.messages;
        subscriber->left--;
        subscriber->due_us += (int64_t)(1e6 / per_second);
    }
}

void
Desk_sweep(struct Desk *desk, int64_t now_us)
{
    if (Faults_is_on(desk->faults, FAULT_SILENT))
        return;
    Subscribers_lapse(&desk->subscribers, now_us);
    for (size_t i = 0; i < desk->subscribers.count; i++)
        sweep_one(desk, &desk->subscribers.list[i], now_us);
}

int64_t
Desk_next_us(const struct Desk *desk)
{
    int64_t next = INT64_MAX;

    if (Faults_is_on(desk->faults, FAULT_SILENT))
        return next;
    for (size_t i = 0; i < desk->subscribers.count; i++)
        if (desk->subscribers.list[i].left > 0 && desk->subscribers.list[i].due_us < next)
            next = desk->subscribers.list[i].due_us;
    return next;
}
