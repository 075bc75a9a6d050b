/* SPDX-License-Identifier: MIT */
/* Writing messages. */
#include <stdio.h>
#include <string.h>

#include "wire.h"

void
wire_put_u32(uint8_t *out, uint32_t value)
{
    out[0] = (uint8_t)(value >> 24);
    out[1] = (uint8_t)(value >> 16);
    out[2] = (uint8_t)(value >> 8);
    out[3] = (uint8_t)value;
}

void
wire_bundle_head(uint8_t *out, uint64_t time_tag)
{
    memcpy(out, "#bundle", 8);
    wire_put_u32(out + 8, (uint32_t)(time_tag >> 32));
    wire_put_u32(out + 12, (uint32_t)time_tag);
}

static size_t
padded(size_t length)
{
    return (length / 4 + 1) * 4; /* a text always ends in at least one NUL */
}

static size_t
put_text(uint8_t *out, const char *text)
{
    size_t length = strlen(text);

    memset(out + length, 0, padded(length) - length);
    memcpy(out, text, length);
    return padded(length);
}

void
draft_begin(struct draft *draft, const char *address)
{
    draft->address = address;
    draft->untagged = draft->arrays = false;
    draft->tag_count = 1;
    draft->size = 0;
    draft->overflow = false;
    draft->tags[0] = ',';
    draft->tags[1] = '\0';
}

static uint8_t *
grow(struct draft *draft, char tag, size_t size)
{
    uint8_t *start = draft->arguments + draft->size;

    if (draft->tag_count > WIRE_ARGUMENTS || size > sizeof draft->arguments - draft->size) {
        draft->overflow = true;
        return NULL;
    }
    draft->tags[draft->tag_count++] = tag;
    draft->tags[draft->tag_count] = '\0';
    draft->size += size;
    return start;
}

void
draft_int(struct draft *draft, int32_t value)
{
    uint8_t *out = grow(draft, 'i', 4);

    if (out)
        wire_put_u32(out, (uint32_t)value);
}

void
draft_float(struct draft *draft, float value)
{
    uint8_t *out = grow(draft, 'f', 4);
    uint32_t bits;

    memcpy(&bits, &value, sizeof bits);
    if (out)
        wire_put_u32(out, bits);
}

void
draft_double(struct draft *draft, double value)
{
    uint8_t *out = grow(draft, 'd', 8);
    uint64_t bits;

    memcpy(&bits, &value, sizeof bits);
    if (!out)
        return;
    wire_put_u32(out, (uint32_t)(bits >> 32));
    wire_put_u32(out + 4, (uint32_t)bits);
}

void
draft_text(struct draft *draft, const char *text)
{
    uint8_t *out = grow(draft, 's', padded(strlen(text)));

    if (out)
        put_text(out, text);
}

void
draft_blob(struct draft *draft, const uint8_t *bytes, size_t size)
{
    size_t whole = (size + 3) / 4 * 4;
    uint8_t *out = grow(draft, 'b', 4 + whole);

    if (!out)
        return;
    wire_put_u32(out, (uint32_t)size);
    memcpy(out + 4, bytes, size);
    memset(out + 4 + size, 0, whole - size);
}

/* The tags as they travel: ",ifff" or, with arrays, ",i[ff[f]]". */
static void
spell_tags(const struct draft *draft, char spelt[WIRE_ARGUMENTS + 6])
{
    size_t first = 2, last = draft->tag_count - 1; /* of those behind the comma and one more */

    strcpy(spelt, draft->tags);
    if (!draft->arrays || last < first)
        return;
    snprintf(spelt + first, WIRE_ARGUMENTS + 6 - first, "[%.*s[%c]]", (int)(last - first),
             draft->tags + first, draft->tags[last]);
}

size_t
draft_finish(const struct draft *draft, uint8_t *out, size_t capacity)
{
    char tags[WIRE_ARGUMENTS + 6];
    size_t head, at;

    spell_tags(draft, tags);
    head = padded(strlen(draft->address)) + (draft->untagged ? 0 : padded(strlen(tags)));
    if (draft->overflow || head + draft->size > capacity)
        return 0;
    at = put_text(out, draft->address);
    if (!draft->untagged)
        at += put_text(out + at, tags);
    memcpy(out + at, draft->arguments, draft->size);
    return at + draft->size;
}
