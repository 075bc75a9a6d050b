/* SPDX-License-Identifier: MIT */
#include "osc/check.h"

#include <string.h>

static const struct {
    const char *name, *says;
} rejects[OSC_REJECTS] = {
    [OSC_OK] = {"ok", "it is good"},
    [OSC_EMPTY] = {"empty", "it has no bytes"},
    [OSC_UNALIGNED] = {"unaligned", "its length is no multiple of 4"},
    [OSC_NO_ADDRESS] = {"no-address", "it begins with no address"},
    [OSC_BAD_STRING] = {"bad-string", "a text in it has no end, or is not filled up with zeros"},
    [OSC_NO_TYPES] = {"no-types", "it has no type tags"},
    [OSC_UNKNOWN_TYPE] = {"unknown-type", "OSC knows no such type tag"},
    [OSC_BAD_ARRAY] = {"bad-array", "an array has one bracket only"},
    [OSC_SHORT] = {"short", "it has fewer bytes than its type tags say"},
    [OSC_LONG] = {"long", "it has more bytes than its type tags say"},
    [OSC_BAD_BLOB] = {"bad-blob", "a blob in it is longer than the message"},
    [OSC_BAD_ELEMENT] = {"bad-element", "the bundle gives it a size that cannot be"},
    [OSC_TOO_DEEP] = {"too-deep", "its bundles are nested too deeply"},
    [OSC_TOO_MANY] = {"too-many", "its bundle holds too many messages"},
    [OSC_REFUSED] = {"refused", "it has too many arguments"},
};

const char *
osc_reject_name(enum osc_reject reject)
{
    return rejects[reject].name;
}

const char *
osc_reject_says(enum osc_reject reject)
{
    return rejects[reject].says;
}

/* A place in the bytes; every read goes through it. */
struct cursor {
    const uint8_t *at;
    size_t left;
    size_t arrays; /* open around it */
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
    case '[':
        cursor->arrays++;
        return OSC_OK;
    case ']':
        return cursor->arrays-- > 0 ? OSC_OK : OSC_BAD_ARRAY;
    case 'i':
    case 'f':
    case 'c':
    case 'r':
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
    struct cursor cursor = {bytes, length, 0};

    for (; *types; types++) {
        enum osc_reject reject = skip_argument(&cursor, *types);

        if (reject != OSC_OK)
            return reject;
    }
    if (cursor.arrays > 0)
        return OSC_BAD_ARRAY;
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
    struct cursor cursor = {bytes, length, 0};
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

/* The string at the cursor, which moves behind it; NULL when it does not end inside. */
static const char *
take_string(struct cursor *cursor)
{
    const char *string = (const char *)cursor->at;
    const uint8_t *end = cursor->left > 0 ? memchr(cursor->at, 0, cursor->left) : NULL;

    if (!end)
        return NULL;
    if (!skip(cursor, ((size_t)(end - cursor->at) / 4 + 1) * 4))
        cursor->left = 0;
    return string;
}

/* Whatever begins with '/' was meant to be an address; a name alone is one if it can be printed. */
static bool
is_address(const char *text)
{
    if (*text == '/')
        return true;
    for (const char *at = text; *at; at++)
        if (!begins_address((uint8_t)*at, (struct osc_forms){.bare = true}))
            return false;
    return *text != '\0';
}

struct osc_outline
osc_outline(const uint8_t *bytes, size_t length)
{
    struct cursor cursor = {bytes, length, 0};
    struct osc_outline outline = {NULL, NULL};

    outline.address = take_string(&cursor);
    if (outline.address && !is_address(outline.address))
        outline.address = NULL;
    if (outline.address && cursor.left > 0 && *cursor.at == ',')
        outline.types = take_string(&cursor);
    return outline;
}

/* ---- bundles ---- */

struct walk {
    struct osc_forms forms;
    const struct osc_told *told;
    int elements; /* that it came to */
};

static void
reject(const struct walk *walk, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    walk->told->rejected(walk->told->context, why, bytes, length);
}

static void
walk_message(const struct walk *walk, const uint8_t *bytes, size_t length)
{
    enum osc_reject why = osc_check_message(bytes, length, walk->forms);

    if (why == OSC_OK)
        walk->told->message(walk->told->context, bytes, length);
    else
        reject(walk, why, bytes, length);
}

static bool
is_bundle(const uint8_t *bytes, size_t length)
{
    return length >= 8 && memcmp(bytes, "#bundle", 8) == 0;
}

static void walk_bundle(struct walk *walk, const uint8_t *bytes, size_t length, int depth);

/* Nothing says any more where the next element begins. */
static void
turn_down_rest(const struct walk *walk, struct cursor *cursor)
{
    reject(walk, OSC_BAD_ELEMENT, cursor->at, cursor->left);
    cursor->left = 0;
}

/* Zeros that fill a bundle up are one bad element. */
static void
turn_down_zeros(const struct walk *walk, struct cursor *cursor)
{
    while (cursor->left >= 4 && osc_word(cursor->at) == 0)
        skip(cursor, 4);
    reject(walk, OSC_BAD_ELEMENT, cursor->at, 0);
}

/* What is left behind it may be what fills it up. */
static void
turn_down_odd(const struct walk *walk, struct cursor *cursor, const uint8_t *element, size_t size)
{
    reject(walk, OSC_BAD_ELEMENT, element, size);
    if (cursor->left < 4)
        skip(cursor, cursor->left);
}

/* The element at the cursor, which moves behind it: what is wrong with one is its own matter, as
 * long as its size says where the next one begins. */
static void
walk_element(struct walk *walk, struct cursor *cursor, int depth)
{
    const uint8_t *element;
    uint32_t size;

    if (cursor->left < 4) {
        turn_down_rest(walk, cursor);
        return;
    }
    size = osc_word(cursor->at);
    skip(cursor, 4);
    element = cursor->at;
    if (!skip(cursor, size))
        turn_down_rest(walk, cursor);
    else if (size == 0)
        turn_down_zeros(walk, cursor);
    else if (size % 4 != 0)
        turn_down_odd(walk, cursor, element, size);
    else if (is_bundle(element, size))
        walk_bundle(walk, element, size, depth + 1);
    else
        walk_message(walk, element, size);
}

/* Takes the bundle apart; recursion is bounded by OSC_DEPTH. Time tags are not waited for: a desk's
 * value is true when it is heard. */
static void
walk_bundle(struct walk *walk, const uint8_t *bytes, size_t length, int depth)
{
    struct cursor cursor = {bytes, length, 0};

    if (depth > OSC_DEPTH) {
        reject(walk, OSC_TOO_DEEP, bytes, length);
        return;
    }
    if (!skip(&cursor, 16)) {
        reject(walk, OSC_SHORT, bytes, length);
        return;
    }
    while (cursor.left > 0 && walk->elements++ < OSC_ELEMENTS)
        walk_element(walk, &cursor, depth);
    if (cursor.left > 0 && walk->elements == OSC_ELEMENTS + 1)
        reject(walk, OSC_TOO_MANY, cursor.at, cursor.left);
}

void
osc_check_datagram(const uint8_t *bytes, size_t length, struct osc_forms forms,
                   const struct osc_told *told)
{
    struct walk walk = {forms, told, 0};

    if (length == 0)
        reject(&walk, OSC_EMPTY, bytes, length);
    else if (length % 4 != 0)
        reject(&walk, OSC_UNALIGNED, bytes, length);
    else if (is_bundle(bytes, length))
        walk_bundle(&walk, bytes, length, 1);
    else
        walk_message(&walk, bytes, length);
}
