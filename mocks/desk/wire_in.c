/* SPDX-License-Identifier: MIT */
/* Reading packets: one cursor that only moves forward and never past what is left. */
#include <math.h>
#include <string.h>

#include "wire.h"

enum { DEPTH_LIMIT = 4 }; /* bundles inside bundles */

struct cursor {
    const uint8_t *at;
    size_t left;
};

static const uint8_t *
take(struct cursor *cursor, size_t size)
{
    const uint8_t *start = cursor->at;

    if (size > cursor->left)
        return NULL;
    cursor->at += size;
    cursor->left -= size;
    return start;
}

static const char *
take_text(struct cursor *cursor)
{
    const uint8_t *end = cursor->left > 0 ? memchr(cursor->at, 0, cursor->left) : NULL;
    size_t length;

    if (!end)
        return NULL;
    length = (size_t)(end - cursor->at);
    return (const char *)take(cursor, (length / 4 + 1) * 4);
}

uint32_t
wire_get_u32(const uint8_t *bytes)
{
    return (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 | bytes[3];
}

static uint64_t
read_u64(const uint8_t *bytes)
{
    return (uint64_t)wire_get_u32(bytes) << 32 | wire_get_u32(bytes + 4);
}

static double
read_float(const uint8_t *bytes)
{
    uint32_t bits = wire_get_u32(bytes);
    float value;

    memcpy(&value, &bits, sizeof value);
    return (double)value;
}

static double
read_double(const uint8_t *bytes)
{
    uint64_t bits = read_u64(bytes);
    double value;

    memcpy(&value, &bits, sizeof value);
    return value;
}

static bool
take_number(struct cursor *cursor, struct argument *argument)
{
    bool wide = argument->tag == 'd' || argument->tag == 'h';
    const uint8_t *bytes = take(cursor, wide ? 8 : 4);

    if (!bytes)
        return false;
    switch (argument->tag) {
    case 'i':
        argument->number = (double)(int32_t)wire_get_u32(bytes);
        return true;
    case 'h':
        argument->number = (double)(int64_t)read_u64(bytes);
        return true;
    case 'f':
        argument->number = read_float(bytes);
        return true;
    default:
        argument->number = read_double(bytes);
        return true;
    }
}

static bool
skip_blob(struct cursor *cursor)
{
    const uint8_t *head = take(cursor, 4);
    uint32_t size = head ? wire_get_u32(head) : 0;

    /* The length is compared before it is rounded up, so that the sum cannot wrap. */
    return head && size <= cursor->left && take(cursor, ((size_t)size + 3) / 4 * 4) != NULL;
}

static bool
take_argument(struct cursor *cursor, struct argument *argument)
{
    switch (argument->tag) {
    case 'i':
    case 'f':
    case 'h':
    case 'd':
        return take_number(cursor, argument);
    case 's':
    case 'S':
        argument->text = take_text(cursor);
        return argument->text != NULL;
    case 'T':
    case 'F':
        argument->number = argument->tag == 'T';
        return true;
    case 'b':
        return skip_blob(cursor);
    case 't':
        return take(cursor, 8) != NULL;
    case 'c':
    case 'r':
    case 'm':
        return take(cursor, 4) != NULL;
    default: /* no data; anything outside the specification voids the message */
        return strchr("NI[]", argument->tag) != NULL;
    }
}

static bool
take_arguments(struct cursor *cursor, const char *tags, struct message *message)
{
    for (; *tags != '\0'; tags++) {
        struct argument *argument = &message->arguments[message->count];

        if (message->count == WIRE_ARGUMENTS)
            return false;
        *argument = (struct argument){.tag = *tags, .number = NAN};
        if (!take_argument(cursor, argument))
            return false;
        message->count++;
    }
    return true;
}

/* Old senders leave the tag string out; of them this desk understands numbers of objects only. */
static bool
take_untagged(struct cursor *cursor, struct message *message)
{
    while (cursor->left > 0) {
        struct argument *argument = &message->arguments[message->count];

        if (message->count == WIRE_ARGUMENTS)
            return false;
        *argument = (struct argument){.tag = 'i'};
        if (!take_number(cursor, argument))
            return false;
        message->count++;
    }
    return true;
}

static bool
read_message(struct cursor cursor, struct message *message)
{
    const char *tags;

    message->count = 0;
    message->address = take_text(&cursor);
    if (!message->address)
        return false;
    message->tagged = cursor.left > 0 && cursor.at[0] == ',';
    if (!message->tagged)
        return take_untagged(&cursor, message);
    tags = take_text(&cursor);
    return tags && take_arguments(&cursor, tags + 1, message) && cursor.left == 0;
}

static bool each_in(struct cursor cursor, unsigned depth, message_visit_fn *visit, void *context);

static bool
each_element(struct cursor cursor, unsigned depth, message_visit_fn *visit, void *context)
{
    while (cursor.left > 0) {
        const uint8_t *head = take(&cursor, 4);
        size_t size = head ? wire_get_u32(head) : 0;
        const uint8_t *element = take(&cursor, size);

        if (size == 0 || !element)
            return false;
        if (!each_in((struct cursor){element, size}, depth, visit, context))
            return false;
    }
    return true;
}

static bool
each_in(struct cursor cursor, unsigned depth, message_visit_fn *visit, void *context)
{
    struct message message;

    if (cursor.left == 0 || cursor.left % 4 != 0)
        return false;
    if (cursor.left >= WIRE_BUNDLE_HEAD && memcmp(cursor.at, "#bundle", 8) == 0) {
        take(&cursor, WIRE_BUNDLE_HEAD);
        return depth < DEPTH_LIMIT && each_element(cursor, depth + 1, visit, context);
    }
    if (!read_message(cursor, &message))
        return false;
    visit(context, &message);
    return true;
}

bool
packet_each(const uint8_t *data, size_t size, message_visit_fn *visit, void *context)
{
    return each_in((struct cursor){data, size}, 0, visit, context);
}
