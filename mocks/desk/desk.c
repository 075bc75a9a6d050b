#include "desk.h"

#include <math.h>

/* One message being dealt with. */
struct Hearing {
    struct Desk *desk;
    const struct Peer *from;
    int64_t now_us;
};

typedef void Handler(struct Hearing *hearing, const struct Node *node,
                     const struct Message *message);

static void
answer(struct Hearing *hearing, const struct Draft *draft)
{
    struct Desk *desk = hearing->desk;
    uint8_t bytes[WIRE_MESSAGE_SIZE];
    size_t size = Draft_finish(draft, bytes, sizeof bytes);

    if (size == 0)
        return;
    Outbox_post(desk->outbox, hearing->from, bytes, size);
    Pace_spend(&desk->pace, desk->faults->values[FAULT_ANSWERS_PER_SECOND], hearing->now_us);
}

static void
push(struct Hearing *hearing, const struct Draft *draft)
{
    struct Subscribers *subscribers = &hearing->desk->subscribers;
    uint8_t bytes[WIRE_MESSAGE_SIZE];
    size_t size = Draft_finish(draft, bytes, sizeof bytes);

    Subscribers_lapse(subscribers, hearing->now_us);
    for (size_t i = 0; size > 0 && i < subscribers->count; i++)
        Outbox_post(hearing->desk->outbox, &subscribers->list[i].peer, bytes, size);
}

/* Half a desk knows its odd-numbered inputs and mixes only; `outer` is 0-based. */
static bool
is_missing(const struct Desk *desk, enum Scope scope, size_t outer)
{
    enum Count kind = SCOPE_ROWS[scope].outer;

    return Faults_is_on(desk->faults, FAULT_HALF) && outer % 2 == 1 &&
           (kind == COUNT_INPUTS || kind == COUNT_MIXES);
}

static void
draft_graphic(const struct Desk *desk, size_t mix, struct Draft *draft, char address[ADDRESS_SIZE])
{
    const struct Field *gain = Field_find(SCOPE_GRAPHIC, "gain");

    Draft_begin(draft, Addresses_graphic(mix, address));
    for (size_t i = 0; i < desk->state.counts[COUNT_GRAPHIC_BANDS]; i++)
        State_write(&desk->state, gain, State_object(&desk->state, SCOPE_GRAPHIC, mix, i), draft);
}

static void
draft_value(const struct Desk *desk, const struct Node *node, struct Draft *draft)
{
    Draft_begin(draft, node->address);
    State_write(&desk->state, node->field, node->object, draft);
}

static void
hear_value(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    struct Desk *desk = hearing->desk;
    enum Scope scope = node->field->scope;
    size_t outer = State_outer(&desk->state, scope, node->object);
    char address[ADDRESS_SIZE];
    struct Draft draft;

    if (message->count == 0) {
        draft_value(desk, node, &draft);
        if (!is_missing(desk, scope, outer))
            answer(hearing, &draft);
        return;
    }
    if (message->count != 1 ||
        !State_move(&desk->state, node->field, node->object, &message->arguments[0]))
        return;
    if (scope == SCOPE_GRAPHIC) /* one slider moved: the whole run is told */
        draft_graphic(desk, outer, &draft, address);
    else
        draft_value(desk, node, &draft);
    push(hearing, &draft);
}

static void
hear_graphic(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    char address[ADDRESS_SIZE];
    struct Draft draft;

    if (message->count != 0 || is_missing(hearing->desk, SCOPE_MIX, node->object))
        return;
    draft_graphic(hearing->desk, node->object, &draft, address);
    answer(hearing, &draft);
}

/* Reads a 1-based index argument into a 0-based one. */
static bool
read_index(const struct Argument *argument, unsigned count, size_t *out)
{
    if (!(argument->number >= 1 && argument->number <= count))
        return false;
    *out = (size_t)argument->number - 1;
    return true;
}

/* Finds the band that the first two arguments name. */
static bool
read_band(const struct Desk *desk, const struct BandRow *row, const struct Message *message,
          size_t *object)
{
    const struct ScopeRow *counts = &SCOPE_ROWS[row->scope];
    size_t outer;
    size_t inner;

    if (message->count < 2 ||
        !read_index(&message->arguments[0], desk->state.counts[counts->outer], &outer) ||
        !read_index(&message->arguments[1], desk->state.counts[counts->inner], &inner))
        return false;
    *object = State_object(&desk->state, row->scope, outer, inner);
    return true;
}

static size_t
count_fields(enum Scope scope)
{
    size_t count = 0;

    for (size_t i = 0; i < FIELDS_COUNT; i++)
        count += FIELDS[i].scope == scope;
    return count;
}

static void
draft_band(const struct Desk *desk, const struct BandRow *row, size_t object, struct Draft *draft)
{
    Draft_begin(draft, row->answer);
    Draft_int(draft, (int32_t)State_outer(&desk->state, row->scope, object) + 1);
    Draft_int(draft, (int32_t)State_inner(&desk->state, row->scope, object) + 1);
    for (size_t i = 0; i < FIELDS_COUNT; i++)
        if (FIELDS[i].scope == row->scope)
            State_write(&desk->state, &FIELDS[i], object, draft);
}

static void
hear_band_ask(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    struct Desk *desk = hearing->desk;
    const struct BandRow *row = &BAND_ROWS[node->object];
    struct Draft draft;
    size_t object;

    if (message->count != 2 || !read_band(desk, row, message, &object) ||
        is_missing(desk, row->scope, State_outer(&desk->state, row->scope, object)))
        return;
    draft_band(desk, row, object, &draft);
    answer(hearing, &draft);
}

static void
hear_band_set(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    struct Desk *desk = hearing->desk;
    const struct BandRow *row = &BAND_ROWS[node->object];
    struct Draft draft;
    size_t object;
    size_t next = 2; /* the arguments after the two indices */

    if (message->count != next + count_fields(row->scope) ||
        !read_band(desk, row, message, &object))
        return;
    for (size_t i = 0; i < FIELDS_COUNT; i++)
        if (FIELDS[i].scope == row->scope)
            State_move(&desk->state, &FIELDS[i], object, &message->arguments[next++]);
    draft_band(desk, row, object, &draft);
    push(hearing, &draft);
}

static void
hear_stay(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    struct Desk *desk = hearing->desk;
    int64_t hold_us = (int64_t)(desk->faults->values[FAULT_HOLD_STAY] * 1e6);

    (void)node;
    (void)message;
    Subscribers_lapse(&desk->subscribers, hearing->now_us);
    Subscribers_stay(&desk->subscribers, hearing->from, hearing->now_us + hold_us);
}

static void
hear_rig(struct Hearing *hearing, const struct Node *node, const struct Message *message)
{
    if (message->count == 1)
        Faults_set(hearing->desk->faults, (enum Fault)node->object, message->arguments[0].number);
}

static Handler *const HANDLERS[NODE_KINDS] = {
    [NODE_VALUE] = hear_value,       [NODE_GRAPHIC] = hear_graphic, [NODE_BAND_ASK] = hear_band_ask,
    [NODE_BAND_SET] = hear_band_set, [NODE_STAY] = hear_stay,       [NODE_RIG] = hear_rig,
};

static void
hear_message(void *context, const struct Message *message)
{
    struct Hearing *hearing = context;
    const struct Node *node = Addresses_find(&hearing->desk->addresses, message->address);

    if (node == NULL)
        return;
    if (Faults_is_on(hearing->desk->faults, FAULT_SILENT) && node->kind != NODE_RIG)
        return;
    HANDLERS[node->kind](hearing, node, message);
}

void
Desk_hear(struct Desk *desk, const struct Received *received, int64_t now_us)
{
    struct Hearing hearing = {desk, &received->peer, now_us};

    (void)Packet_each(received->data, received->size, hear_message, &hearing);
}
