/* SPDX-License-Identifier: MIT */
#include "osc/check.h"

#include <string.h>

static const char *const names[OSC_REJECTS] = {
    [OSC_OK] = "ok",
    [OSC_EMPTY] = "empty",
    [OSC_UNALIGNED] = "unaligned",
    [OSC_NO_ADDRESS] = "no-address",
    [OSC_BAD_STRING] = "bad-string",
    [OSC_NO_TYPES] = "no-types",
    [OSC_UNKNOWN_TYPE] = "unknown-type",
    [OSC_SHORT] = "short",
    [OSC_LONG] = "long",
    [OSC_BAD_BLOB] = "bad-blob",
    [OSC_BAD_ELEMENT] = "bad-element",
    [OSC_TOO_DEEP] = "too-deep",
    [OSC_TOO_MANY] = "too-many",
    [OSC_REFUSED] = "refused",
};

const char *
osc_reject_name(enum osc_reject reject)
{
    return names[reject];
}

/* A place in the bytes; every read goes through it. */
struct cursor {
    const uint8_t *at;
    size_t left;
};

uint32_t
osc_word(const uint8_t *bytes)
{
    return (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 | bytes[3];
}

static bool
skip(struct cursor *cursor, size_t bytes)
{
    if (bytes > cursor->left)
        return false;
    cursor->at += bytes;
    cursor->left -= bytes;
    return true;
}

/* Steps over a NUL-padded string. False when it does not end inside, or its padding is not NUL. */
static bool
skip_string(struct cursor *cursor)
{
    const uint8_t *end = memchr(cursor->at, 0, cursor->left);
    size_t length, padded;

    if (!end)
        return false;
    length = (size_t)(end - cursor->at);
    padded = (length / 4 + 1) * 4;
    if (padded > cursor->left)
        return false;
    for (size_t i = length; i < padded; i++)
        if (cursor->at[i] != 0)
            return false;
    return skip(cursor, padded);
}

static enum osc_reject
skip_blob(struct cursor *cursor)
{
    uint32_t size;

    if (cursor->left < 4)
        return OSC_BAD_BLOB;
    size = osc_word(cursor->at);
    skip(cursor, 4);
    if (size > INT32_MAX || size > cursor->left)
        return OSC_BAD_BLOB;
    return skip(cursor, ((size_t)size + 3) / 4 * 4) ? OSC_OK : OSC_BAD_BLOB;
}

static enum osc_reject
skip_argument(struct cursor *cursor, char type)
{
    switch (type) {
    case 'T':
    case 'F':
    case 'N':
    case 'I':
        return OSC_OK;
    case 'i':
    case 'f':
    case 'c':
    case 'm':
        return skip(cursor, 4) ? OSC_OK : OSC_SHORT;
    case 'h':
    case 'd':
    case 't':
        return skip(cursor, 8) ? OSC_OK : OSC_SHORT;
    case 's':
    case 'S':
        if (cursor->left == 0)
            return OSC_SHORT;
        return skip_string(cursor) ? OSC_OK : OSC_BAD_STRING;
    case 'b':
        return skip_blob(cursor);
    default:
        return OSC_UNKNOWN_TYPE;
    }
}

enum osc_reject
osc_check_arguments(const char *types, const uint8_t *bytes, size_t length)
{
    struct cursor cursor = {bytes, length};

    for (; *types; types++) {
        enum osc_reject reject = skip_argument(&cursor, *types);

        if (reject != OSC_OK)
            return reject;
    }
    return cursor.left == 0 ? OSC_OK : OSC_LONG;
}

/* '#' begins a bundle and ',' type tags; everything else that can be printed may name something. */
static bool
begins_address(uint8_t byte, struct osc_forms forms)
{
    return byte == '/' || (forms.bare && byte > ' ' && byte <= '~' && byte != '#' && byte != ',');
}

enum osc_reject
osc_check_message(const uint8_t *bytes, size_t length, struct osc_forms forms)
{
    struct cursor cursor = {bytes, length};
    const char *types;

    if (length == 0)
        return OSC_EMPTY;
    if (length % 4 != 0)
        return OSC_UNALIGNED;
    if (!begins_address(bytes[0], forms))
        return OSC_NO_ADDRESS;
    if (!skip_string(&cursor))
        return OSC_BAD_STRING;
    if (cursor.left == 0 || *cursor.at != ',')
        return forms.untyped ? OSC_OK : OSC_NO_TYPES;
    types = (const char *)cursor.at + 1;
    if (!skip_string(&cursor))
        return OSC_BAD_STRING;
    return osc_check_arguments(types, cursor.at, cursor.left);
}

struct walk {
    struct osc_forms forms;
    osc_message_fn *each;
    void *context;
    int messages;
};

static enum osc_reject
walk_message(struct walk *walk, const uint8_t *bytes, size_t length)
{
    enum osc_reject reject = osc_check_message(bytes, length, walk->forms);

    if (reject != OSC_OK)
        return reject;
    if (++walk->messages > OSC_ELEMENTS)
        return OSC_TOO_MANY;
    walk->each(walk->context, bytes, length);
    return OSC_OK;
}

static bool
is_bundle(const uint8_t *bytes, size_t length)
{
    return length >= 8 && memcmp(bytes, "#bundle", 8) == 0;
}

/* Takes the bundle apart; recursion is bounded by OSC_DEPTH. Time tags are not waited for: a desk's
 * value is true when it is heard. */
static enum osc_reject
walk_bundle(struct walk *walk, const uint8_t *bytes, size_t length, int depth)
{
    struct cursor cursor = {bytes, length};

    if (depth > OSC_DEPTH)
        return OSC_TOO_DEEP;
    if (!skip(&cursor, 16))
        return OSC_SHORT;
    while (cursor.left > 0) {
        const uint8_t *element;
        enum osc_reject reject;
        uint32_t size;

        if (cursor.left < 4)
            return OSC_BAD_ELEMENT;
        size = osc_word(cursor.at);
        skip(&cursor, 4);
        element = cursor.at;
        if (size == 0 || size % 4 != 0 || !skip(&cursor, size))
            return OSC_BAD_ELEMENT;
        reject = is_bundle(element, size) ? walk_bundle(walk, element, size, depth + 1)
                                          : walk_message(walk, element, size);
        if (reject != OSC_OK)
            return reject;
    }
    return OSC_OK;
}

enum osc_reject
osc_check_datagram(const uint8_t *bytes, size_t length, struct osc_forms forms,
                   osc_message_fn *each, void *context)
{
    struct walk walk = {forms, each, context, 0};

    if (length == 0)
        return OSC_EMPTY;
    if (length % 4 != 0)
        return OSC_UNALIGNED;
    return is_bundle(bytes, length) ? walk_bundle(&walk, bytes, length, 1)
                                    : walk_message(&walk, bytes, length);
}
