/* SPDX-License-Identifier: MIT */
#include "listen/stirring.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "osc/check.h"
#include "profile/law.h"

enum {
    SLOTS = 2 * STIRRING_STREAMS,
    ROOM_LEAST = STIRRING_STREAMS / 8,
    FLIPS = 64,
    WHOLE_MOST = 65536
};

struct spoken {
    double now, low, high;
    int changes, turns, direction;
};

struct stream {
    struct stirring_at at; /* without a value */
    char types[STIRRING_ARGUMENTS];
    struct spoken values[STIRRING_ARGUMENTS];
    char text[STIRRING_TEXT_SIZE]; /* the last of its texts */
    uint64_t messages;
    uint32_t stretch;        /* in which it was heard last */
    uint32_t here, changes;  /* messages and changes in that */
    uint32_t stirred, stirs; /* the last rest in which it moved, and how many */
    int64_t last_ms;         /* heard, */
    int64_t moved_ms;        /* and changed */
};

struct stirring {
    struct stream *streams;
    size_t count, wait;
    uint32_t *slots; /* of address and keys -> stream + 1 */
    uint32_t stretch;
    bool turning;
};

struct stirring *
stirring_new(void)
{
    struct stirring *stirring = need_memory(1, sizeof *stirring);

    stirring->streams = need_memory(STIRRING_STREAMS, sizeof *stirring->streams);
    stirring->slots = need_memory(SLOTS, sizeof *stirring->slots);
    stirring->stretch = 1;
    return stirring;
}

void
stirring_free(struct stirring *stirring)
{
    if (!stirring)
        return;
    free(stirring->streams);
    free(stirring->slots);
    free(stirring);
}

/* ---- streams ---- */

static bool
is_same(const struct stirring_at *one, const struct stirring_at *other)
{
    return one->key_count == other->key_count && one->count == other->count &&
           memcmp(one->keys, other->keys, sizeof one->keys) == 0 &&
           strcmp(one->address, other->address) == 0;
}

static size_t
slot_of(const struct stirring *stirring, const struct stirring_at *at)
{
    uint64_t hash = UINT64_C(14695981039346656037) ^ at->count;
    size_t slot;

    for (const char *byte = at->address; *byte; byte++)
        hash = (hash ^ (unsigned char)*byte) * UINT64_C(1099511628211);
    for (int i = 0; i < at->key_count; i++)
        hash = (hash ^ (unsigned)at->keys[i]) * UINT64_C(1099511628211);
    for (slot = hash % SLOTS; stirring->slots[slot] != 0; slot = (slot + 1) % SLOTS)
        if (is_same(&stirring->streams[stirring->slots[slot] - 1].at, at))
            break;
    return slot;
}

/* Forgets those that were heard once. */
static void
make_room(struct stirring *stirring)
{
    size_t kept = 0;

    if (stirring->wait > 0) {
        stirring->wait--;
        return;
    }
    stirring->wait = ROOM_LEAST;
    memset(stirring->slots, 0, SLOTS * sizeof *stirring->slots);
    for (size_t i = 0; i < stirring->count; i++) {
        if (stirring->streams[i].messages == 1)
            continue;
        stirring->streams[kept++] = stirring->streams[i];
        stirring->slots[slot_of(stirring, &stirring->streams[kept - 1].at)] = (uint32_t)kept;
    }
    stirring->count = kept;
}

static struct stream *
stream_of(struct stirring *stirring, const struct stirring_at *at)
{
    size_t slot = slot_of(stirring, at);
    struct stream *stream;

    if (stirring->slots[slot] != 0)
        return &stirring->streams[stirring->slots[slot] - 1];
    if (stirring->count == STIRRING_STREAMS) {
        make_room(stirring);
        slot = slot_of(stirring, at);
    }
    if (stirring->count == STIRRING_STREAMS)
        return NULL;
    stream = &stirring->streams[stirring->count++];
    stirring->slots[slot] = (uint32_t)stirring->count;
    *stream = (struct stream){.at = *at, .stretch = stirring->stretch};
    return stream;
}

/* ---- hearing ---- */

/* Whole numbers in front of the last argument. */
static void
take_keys(struct stirring_at *at, const struct osc_message *message)
{
    for (size_t i = 0; i + 1 < message->count && i < STIRRING_KEYS; i++) {
        const struct argument *argument = &message->arguments[i];

        if (argument->type != 'i')
            return;
        at->keys[at->key_count++] = (int)argument->number;
    }
}

/* A text that is no number is one by its bytes, so that another one differs. */
static double
number_of(const struct argument *argument)
{
    size_t size = argument->kind == ARGUMENT_BLOB ? (size_t)argument->number : 0;
    uint32_t hash = 2166136261u;
    double number;

    if (argument->kind == ARGUMENT_NUMBER || argument->kind == ARGUMENT_SWITCH)
        return argument->number;
    if (argument->kind == ARGUMENT_OTHER)
        return 0;
    if (argument->kind == ARGUMENT_TEXT) {
        if (law_parse_number(argument->text, &number))
            return number;
        size = strlen(argument->text);
    }
    for (size_t i = 0; i < size; i++)
        hash = (hash ^ (unsigned char)argument->text[i]) * 16777619u;
    return hash;
}

static void
begin_stretch(struct stirring *stirring, struct stream *stream)
{
    stream->stretch = stirring->stretch;
    stream->here = stream->changes = 0;
    for (size_t i = 0; i < STIRRING_ARGUMENTS; i++) {
        struct spoken *value = &stream->values[i];

        *value = (struct spoken){.now = value->now, .low = value->now, .high = value->now};
    }
}

/* Whether it changed. What is heard for the first time while somebody turns, moved. */
static bool
take_value(struct spoken *value, double number, bool first, bool turning)
{
    int direction = number > value->now ? 1 : -1;

    if (first)
        *value = (struct spoken){.now = number, .low = number, .high = number, .changes = turning};
    if (number == value->now)
        return first && turning;
    value->changes++;
    value->turns += value->direction != 0 && direction != value->direction;
    value->direction = direction;
    value->low = fmin(value->low, number);
    value->high = fmax(value->high, number);
    value->now = number;
    return true;
}

static void
note_change(struct stirring *stirring, struct stream *stream, int64_t now_ms)
{
    stream->changes++;
    stream->moved_ms = now_ms;
    if (stirring->turning || stream->stirred == stirring->stretch)
        return;
    stream->stirred = stirring->stretch;
    stream->stirs++;
}

/* Without type tags four bytes are a small whole number or else a float. */
static struct argument
untyped_argument(const struct osc_message *message)
{
    uint32_t word = osc_word(message->data);
    int32_t whole = (int32_t)word;
    float number;

    memcpy(&number, &word, sizeof number);
    if (whole > -WHOLE_MOST && whole < WHOLE_MOST)
        return (struct argument){ARGUMENT_NUMBER, 'i', whole, NULL};
    return (struct argument){ARGUMENT_NUMBER, 'f', isfinite(number) ? number : 0, NULL};
}

static bool
take_argument(struct stirring *stirring, struct stream *stream, size_t i,
              const struct argument *argument)
{
    if (!(stream->at.untyped && stream->types[i] == 'f')) /* a float that is 0 looks whole */
        stream->types[i] = argument->type;
    if (argument->kind == ARGUMENT_TEXT)
        snprintf(stream->text, sizeof stream->text, "%s", argument->text);
    return take_value(&stream->values[i], number_of(argument), stream->messages == 0,
                      stirring->turning);
}

static bool
is_chatter(const struct stream *stream)
{
    return stream->stirs > 0;
}

bool
stirring_note(struct stirring *stirring, const struct osc_message *message, int64_t now_ms)
{
    struct stirring_at at = {.count = message->count, .untyped = message->untyped};
    struct stream *stream;
    bool changed = false;

    if (!address_is_plain(message->address))
        return true;
    if (message->untyped && message->data_size == 4)
        at.count = 1;
    snprintf(at.address, sizeof at.address, "%s", message->address);
    take_keys(&at, message);
    stream = stream_of(stirring, &at);
    if (!stream)
        return true;
    if (stream->stretch != stirring->stretch)
        begin_stretch(stirring, stream);
    for (size_t i = (size_t)at.key_count; i < at.count && i < STIRRING_ARGUMENTS; i++) {
        struct argument argument =
            message->untyped ? untyped_argument(message) : message->arguments[i];

        changed |= take_argument(stirring, stream, i, &argument);
    }
    stream->messages++;
    stream->here++;
    stream->last_ms = now_ms;
    if (changed)
        note_change(stirring, stream, now_ms);
    return is_chatter(stream);
}

/* ---- stretches ---- */

void
stirring_rest(struct stirring *stirring)
{
    stirring->stretch++;
    stirring->turning = false;
}

void
stirring_turn(struct stirring *stirring)
{
    stirring->stretch++;
    stirring->turning = true;
}

void
stirring_forget(struct stirring *stirring)
{
    for (size_t i = 0; i < stirring->count; i++)
        stirring->streams[i].stirs = 0;
}

size_t
stirring_chatter(const struct stirring *stirring)
{
    size_t count = 0;

    for (size_t i = 0; i < stirring->count; i++)
        count += is_chatter(&stirring->streams[i]);
    return count;
}

/* ---- finding ---- */

static bool
is_text(const struct stream *stream, int argument)
{
    double number;

    return strchr("sSb", stream->types[argument]) != NULL &&
           !law_parse_number(stream->text, &number);
}

/* One way, and back: what jitters turns more often than any hand. */
static int
score_of(const struct spoken *value)
{
    int score = value->changes > 20 ? 20 : value->changes;

    score += value->turns > 0 ? 10 : 0;
    return score - (value->turns > 8 ? 2 * (value->turns - 8) : 0);
}

static void
add(struct stirring_found found[STIRRING_FOUND], size_t *count, struct stirring_found one)
{
    size_t at = *count < STIRRING_FOUND ? (*count)++ : STIRRING_FOUND - 1;

    if (at == STIRRING_FOUND - 1 && *count == STIRRING_FOUND && found[at].score > one.score)
        return;
    for (; at > 0 && found[at - 1].score < one.score; at--)
        found[at] = found[at - 1];
    found[at] = one;
}

static void
add_values(const struct stream *stream, struct stirring_found found[STIRRING_FOUND], size_t *count)
{
    for (int i = stream->at.key_count; i < (int)stream->at.count && i < STIRRING_ARGUMENTS; i++) {
        const struct spoken *value = &stream->values[i];
        struct stirring_found one = {.at = stream->at};

        if (value->changes == 0)
            continue;
        one.at.argument = i;
        one.at.type = stream->types[i];
        one.score = score_of(value);
        one.changes = value->changes;
        one.turns = value->turns;
        one.low = is_text(stream, i) ? NAN : value->low;
        one.high = is_text(stream, i) ? NAN : value->high;
        one.last_ms = stream->moved_ms;
        add(found, count, one);
    }
}

/* The one key in which they differ; -1: none, or more. */
static int
differing_key(const struct stirring_at *one, const struct stirring_at *other)
{
    int key = -1;

    if (one->count != other->count || one->key_count != other->key_count ||
        strcmp(one->address, other->address) != 0)
        return -1;
    for (int i = 0; i < one->key_count; i++) {
        if (one->keys[i] == other->keys[i])
            continue;
        if (key >= 0)
            return -1;
        key = i;
    }
    return key;
}

/* A switch in front of other arguments: it is a key, so each of its positions speaks alone. */
static void
add_flip(const struct stream *const *here, size_t many, size_t at, struct stirring_found *found,
         size_t *count)
{
    const struct stream *stream = here[at];
    struct stirring_found one = {.at = stream->at, .last_ms = stream->last_ms};
    int others = 0;

    for (size_t i = 0; i < many; i++) {
        int key = differing_key(&here[i]->at, &stream->at);

        if (i == at || strcmp(here[i]->at.address, stream->at.address) != 0)
            continue;
        if (key < 0 || (others > 0 && key != one.at.argument) || here[i]->last_ms > stream->last_ms)
            return;
        one.at.argument = key;
        one.low = fmin(here[i]->at.keys[key], stream->at.keys[key]);
        one.high = fmax(here[i]->at.keys[key], stream->at.keys[key]);
        others++;
    }
    if (others == 0)
        return;
    one.at.type = 'i';
    one.changes = (int)stream->here + others;
    one.turns = stream->here > 1;
    one.score = 5 + one.changes;
    add(found, count, one);
}

size_t
stirring_find(const struct stirring *stirring, struct stirring_found found[STIRRING_FOUND])
{
    const struct stream *here[FLIPS];
    size_t many = 0, count = 0;

    for (size_t i = 0; i < stirring->count; i++) {
        const struct stream *stream = &stirring->streams[i];

        if (stream->stretch != stirring->stretch || stream->here == 0 || is_chatter(stream))
            continue;
        add_values(stream, found, &count);
        if (stream->at.key_count > 0 && many < FLIPS)
            here[many++] = stream;
    }
    for (size_t i = 0; i < many; i++)
        add_flip(here, many, i, found, &count);
    return count;
}

/* ---- now ---- */

/* The stream whose value that is: of a key the one that spoke last. */
static const struct stream *
stream_at(const struct stirring *stirring, const struct stirring_at *at)
{
    const struct stream *last = NULL;

    for (size_t i = 0; i < stirring->count; i++) {
        const struct stream *stream = &stirring->streams[i];
        bool same = is_same(&stream->at, at) || (at->argument < at->key_count &&
                                                 differing_key(&stream->at, at) == at->argument);

        if (same && (!last || stream->last_ms >= last->last_ms))
            last = stream;
    }
    return last;
}

int64_t
stirring_last(const struct stirring *stirring, const struct stirring_at *at)
{
    const struct stream *stream = stream_at(stirring, at);

    if (!stream)
        return 0;
    return at->argument < at->key_count ? stream->last_ms : stream->moved_ms;
}

bool
stirring_now(const struct stirring *stirring, const struct stirring_at *at,
             struct stirring_value *value)
{
    const struct stream *stream = stream_at(stirring, at);

    if (!stream)
        return false;
    *value = (struct stirring_value){.number = NAN};
    if (at->argument < at->key_count) {
        value->number = stream->at.keys[at->argument];
        return true;
    }
    if (strchr("sS", stream->types[at->argument]))
        snprintf(value->text, sizeof value->text, "%s", stream->text);
    if (!is_text(stream, at->argument))
        value->number = stream->values[at->argument].now;
    return true;
}
