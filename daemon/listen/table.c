/* SPDX-License-Identifier: MIT */
#include "listen/table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "base/text_format.h"
#include "core/need.h"

enum { SLOTS = 2 * LISTEN_ADDRESSES, ROOM_LEAST = LISTEN_ADDRESSES / 8 };

void
listen_table_init(struct listen_table *table)
{
    *table = (struct listen_table){.rows = need_memory(LISTEN_ADDRESSES, sizeof *table->rows),
                                   .slots = need_memory(SLOTS, sizeof *table->slots)};
}

void
listen_table_release(struct listen_table *table)
{
    free(table->rows);
    free(table->slots);
}

/* FNV-1a. Whoever makes addresses collide slows his own desk's listening, no more. */
static size_t
slot_of(const struct listen_table *table, const char *address)
{
    uint64_t hash = UINT64_C(14695981039346656037);
    size_t slot;

    for (const char *at = address; *at; at++)
        hash = (hash ^ (unsigned char)*at) * UINT64_C(1099511628211);
    for (slot = hash % SLOTS; table->slots[slot] != 0; slot = (slot + 1) % SLOTS)
        if (strcmp(table->rows[table->slots[slot] - 1].address, address) == 0)
            break;
    return slot;
}

static size_t
heard_once(const struct listen_table *table)
{
    size_t count = 0;

    for (size_t i = 0; i < table->count; i++)
        count += table->rows[i].count == 1;
    return count;
}

/* Forgets those that were heard once, where that makes room worth the work. */
static void
make_room(struct listen_table *table)
{
    size_t kept = 0;

    if (table->wait > 0) {
        table->wait--;
        return;
    }
    if (heard_once(table) < ROOM_LEAST) {
        table->wait = ROOM_LEAST;
        return;
    }
    memset(table->slots, 0, SLOTS * sizeof *table->slots);
    for (size_t i = 0; i < table->count; i++) {
        if (table->rows[i].count == 1) {
            table->forgotten++;
            table->untabled++;
            continue;
        }
        table->rows[kept++] = table->rows[i];
        table->slots[slot_of(table, table->rows[kept - 1].address)] = (uint32_t)kept;
    }
    table->count = kept;
}

static struct listen_row *
row_of(struct listen_table *table, const char *address)
{
    size_t slot = slot_of(table, address);
    struct listen_row *row;

    if (table->slots[slot] != 0)
        return &table->rows[table->slots[slot] - 1];
    if (table->count == LISTEN_ADDRESSES) {
        make_room(table);
        slot = slot_of(table, address);
    }
    if (table->count == LISTEN_ADDRESSES)
        return NULL;
    row = &table->rows[table->count++];
    table->slots[slot] = (uint32_t)table->count;
    *row = (struct listen_row){.shape = address_shape(address)};
    snprintf(row->address, sizeof row->address, "%s", address);
    for (size_t i = 0; i < LISTEN_ARGUMENTS; i++)
        row->range[i] = (struct listen_range){NAN, NAN};
    return row;
}

static void
write_argument(struct text *text, const struct argument *argument)
{
    char clean[LISTEN_TEXT_SIZE];

    if (argument->kind == ARGUMENT_TEXT) {
        escape_clean(clean, sizeof clean, argument->text);
        text_add(text, " \"%s\"", clean);
    } else if (argument->kind == ARGUMENT_BLOB) {
        text_format(text, " (%g bytes)", argument->number);
    } else if (argument->kind == ARGUMENT_OTHER) {
        text_add(text, " -");
    } else {
        text_format(text, " %g", argument->number);
    }
}

/* The arguments as a person reads them, as many as fit. */
static void
write_arguments(struct listen_row *row, const struct osc_message *message)
{
    struct text last;

    text_init(&last, row->last, sizeof row->last);
    row->types[0] = '\0';
    for (size_t i = 0; i < message->count && i + 4 < sizeof row->types && !last.cut; i++) {
        row->types[i] = message->arguments[i].type;
        row->types[i + 1] = '\0';
        write_argument(&last, &message->arguments[i]);
    }
    if (message->count + 4 >= sizeof row->types)
        memcpy(row->types + sizeof row->types - 4, "...", 4);
    row->untyped = message->untyped;
    if (row->untyped)
        snprintf(row->last, sizeof row->last, " (no type tags, %zu bytes)", message->data_size);
}

static void
widen(struct listen_row *row, struct listen_range *range, const struct argument *argument)
{
    double number = argument->number;

    if (argument->kind == ARGUMENT_TEXT && !law_parse_number(argument->text, &number))
        row->named = true;
    else if (argument->kind != ARGUMENT_BLOB && argument->kind != ARGUMENT_OTHER) {
        range->low = fmin(range->low, number); /* what is no number gives way */
        range->high = fmax(range->high, number);
    }
}

/* The row of the address, counted once more; NULL: there is no place for it. */
static struct listen_row *
count(struct listen_table *table, const char *from)
{
    char address[ADDRESS_SIZE];
    struct listen_row *row;

    escape_clean(address, sizeof address, from);
    row = row_of(table, address);
    if (!row) {
        table->untabled++;
        return NULL;
    }
    row->count++;
    row->news = true;
    row->odd = strcmp(address, from) != 0;
    return row;
}

void
listen_table_note_unread(struct listen_table *table, enum osc_reject why,
                         const struct osc_outline *outline, size_t length)
{
    struct listen_row *row = count(table, outline->address);

    if (!row)
        return;
    row->unread = true;
    row->reject = why;
    escape_clean(row->types, sizeof row->types, outline->types ? outline->types + 1 : "");
    snprintf(row->last, sizeof row->last, " (%zu bytes)", length);
}

struct listen_row *
listen_table_note(struct listen_table *table, const struct link_heard *heard)
{
    const struct osc_message *message = heard->message;
    struct listen_row *row = count(table, message->address);

    if (!row)
        return NULL;
    row->unread = false;
    row->result = heard->result;
    row->entry = heard->entry;
    row->place = heard->place;
    write_arguments(row, message);
    for (size_t i = 0; i < message->count && i < LISTEN_ARGUMENTS; i++)
        widen(row, &row->range[i], &message->arguments[i]);
    return row;
}
