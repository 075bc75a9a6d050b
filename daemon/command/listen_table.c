#include "command/listen_table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "core/need.h"

enum { SLOTS = 2 * LISTEN_ADDRESSES };

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

static struct listen_row *
row_of(struct listen_table *table, const char *address)
{
    size_t slot = slot_of(table, address);
    struct listen_row *row;

    if (table->slots[slot] != 0)
        return &table->rows[table->slots[slot] - 1];
    if (table->count == LISTEN_ADDRESSES)
        return NULL;
    row = &table->rows[table->count++];
    table->slots[slot] = (uint32_t)table->count;
    snprintf(row->address, sizeof row->address, "%s", address);
    return row;
}

/* The arguments as a person reads them, as many as fit. */
static void
write_arguments(struct listen_row *row, const struct osc_message *message)
{
    size_t used = 0;

    row->types[0] = row->last[0] = '\0';
    for (size_t i = 0; i < message->count && i + 4 < sizeof row->types; i++) {
        const struct argument *argument = &message->arguments[i];
        char text[LISTEN_TEXT_SIZE], *to = row->last + used;
        size_t room = sizeof row->last - used;

        row->types[i] = argument->type;
        row->types[i + 1] = '\0';
        if (argument->kind == ARGUMENT_TEXT) {
            escape_clean(text, sizeof text, argument->text);
            used += (size_t)snprintf(to, room, " \"%s\"", text);
        } else if (argument->kind == ARGUMENT_BLOB) {
            used += (size_t)snprintf(to, room, " (%g bytes)", argument->number);
        } else if (argument->kind == ARGUMENT_OTHER) {
            used += (size_t)snprintf(to, room, " -");
        } else {
            used += (size_t)snprintf(to, room, " %g", argument->number);
        }
        if (used >= sizeof row->last) {
            memcpy(row->last + sizeof row->last - 4, "...", 4);
            break;
        }
    }
    if (message->count + 4 >= sizeof row->types)
        memcpy(row->types + sizeof row->types - 4, "...", 4);
    row->untyped = message->untyped;
    if (row->untyped)
        snprintf(row->last, sizeof row->last, " (no type tags, %zu bytes)", message->data_size);
}

void
listen_table_note(struct listen_table *table, const struct link_heard *heard)
{
    char address[LISTEN_ADDRESS_SIZE];
    struct listen_row *row;

    escape_clean(address, sizeof address, heard->message->address);
    row = row_of(table, address);
    if (!row) {
        table->untabled++;
        return;
    }
    row->count++;
    row->news = true;
    row->result = heard->result;
    row->entry = heard->entry;
    row->place = heard->place;
    write_arguments(row, heard->message);
}
