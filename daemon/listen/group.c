/* SPDX-License-Identifier: MIT */
#include "listen/group.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text_format.h"
#include "core/need.h"

enum { RUN_LEAST = 8 };

/* ---- numbers ---- */

static void
note_numbers(struct group *group, const char *address)
{
    struct address_number found[ADDRESS_NUMBERS];
    int count = address_numbers(address, found);

    for (int i = 0; i < count && i < group->numbers; i++) {
        struct group_number *number = &group->number[i];
        bool zeros = address[found[i].at] == '0' && found[i].digits > 1;

        number->low = found[i].value < number->low ? found[i].value : number->low;
        number->high = found[i].value > number->high ? found[i].value : number->high;
        if (zeros && number->width == 0)
            number->width = found[i].digits;
    }
}

static struct group
begin(const struct listen_row *row)
{
    struct group group = {.row = row, .param = PARAMS, .arguments = strlen(row->types)};
    struct address_number found[ADDRESS_NUMBERS];

    group.numbers = address_numbers(row->address, found);
    group.alike = true;
    for (int i = 0; i < group.numbers; i++)
        group.number[i] = (struct group_number){INDEX_NONE, found[i].value, found[i].value, 0};
    for (size_t i = 0; i < LISTEN_ARGUMENTS; i++)
        group.range[i] = (struct listen_range){NAN, NAN};
    return group;
}

static void
add_row(struct group *group, const struct listen_row *row)
{
    group->rows++;
    group->messages += row->count;
    group->alike &= strcmp(group->row->types, row->types) == 0;
    group->named |= row->named;
    note_numbers(group, row->address);
    for (size_t i = 0; i < LISTEN_ARGUMENTS; i++) {
        group->range[i].low = fmin(group->range[i].low, row->range[i].low);
        group->range[i].high = fmax(group->range[i].high, row->range[i].high);
    }
}

/* ---- what counts ---- */

/* Whole numbers from 0 or 1 on, in front of what is no whole number. */
static bool
may_count(const struct group *group, size_t argument)
{
    const struct listen_range *range = &group->range[argument];

    return group->row->types[argument] == 'i' && (range->low == 0 || range->low == 1) &&
           range->high > range->low && range->high <= COUNT_LIMIT;
}

/* Many arguments of one type are a run along the bands. */
static bool
is_run(const char *types)
{
    return strlen(types) >= RUN_LEAST &&
           strspn(types, (char[]){types[0], '.', '\0'}) == strlen(types);
}

static void
add_index(struct group *group, int at, enum index_kind kind, struct guess_indexes *indexes)
{
    if (indexes->count < GUESS_INDEXES)
        indexes->kind[indexes->count++] = kind;
    group->number[at].kind = kind;
}

/* A number that is the same in all of several addresses counts nothing. */
static void
find_indexes(struct group *group, const struct guess_words *words, struct guess_indexes *indexes)
{
    for (int i = 0; i < group->numbers; i++)
        if (group->rows == 1 || group->number[i].low != group->number[i].high)
            add_index(group, i, guess_index(words, i, indexes), indexes);
    if (group->numbers < 0 || group->run)
        return;
    for (size_t i = 0; i + 1 < group->arguments && i < LISTEN_ARGUMENTS && may_count(group, i);
         i++) {
        int at = group->numbers + group->counting++;

        add_index(group, at, guess_argument(words, indexes), indexes);
        group->number[at].low = (int)group->range[i].low;
        group->number[at].high = (int)group->range[i].high;
    }
}

static bool
is_band(enum index_kind kind)
{
    return kind >= INDEX_INPUT_EQ_BAND;
}

/* {band} is of the kind that the parameter's is, and an index that is none of its own none at all.
 */
static void
settle(struct group *group)
{
    const struct param *param = &params[group->param];

    for (int i = 0; i < group->numbers + group->counting; i++)
        if (is_band(group->number[i].kind) && is_band(param->column))
            group->number[i].kind = param->column;
}

static void
find_meaning(struct group *group)
{
    struct guess_words words;
    struct guess_indexes indexes = {.count = 0};

    guess_split(&words, group->row->address);
    group->run = is_run(group->row->types);
    find_indexes(group, &words, &indexes);
    if (group->run && indexes.count < GUESS_INDEXES)
        indexes.kind[indexes.count++] = INDEX_MIX_GRAPHIC_BAND;
    group->param = guess_param(&words, &indexes);
    if (group->param < PARAMS)
        settle(group);
}

/* ---- all of them ---- */

static int
compare(const void *one, const void *other)
{
    const struct group *a = one, *b = other;

    if (a->rows != b->rows)
        return a->rows < b->rows ? 1 : -1;
    if (a->messages != b->messages)
        return a->messages < b->messages ? 1 : -1;
    return a->row < b->row ? -1 : 1;
}

/* A row by its shape. */
struct shaped {
    uint64_t shape;
    const struct listen_row *row;
};

static int
compare_shapes(const void *one, const void *other)
{
    const struct shaped *a = one, *b = other;

    if (a->shape != b->shape)
        return a->shape < b->shape ? -1 : 1;
    return a->row < b->row ? -1 : 1;
}

/* The wanted rows, sorted, so that those of a shape stand together; for free(). */
static struct shaped *
sort_rows(const struct listen_table *table, bool (*wanted)(const struct listen_row *row),
          size_t *count)
{
    struct shaped *list = need_memory(table->count + 1, sizeof *list);

    *count = 0;
    for (size_t i = 0; i < table->count; i++)
        if (wanted(&table->rows[i]))
            list[(*count)++] = (struct shaped){table->rows[i].shape, &table->rows[i]};
    qsort(list, *count, sizeof *list, compare_shapes);
    return list;
}

size_t
groups_of(const struct listen_table *table, bool (*wanted)(const struct listen_row *row),
          struct group groups[GROUPS_KEPT])
{
    size_t rows, count = 0;
    struct shaped *list = sort_rows(table, wanted, &rows);
    struct group *all = need_memory(rows + 1, sizeof *all);

    for (size_t i = 0; i < rows; i++) {
        if (i == 0 || list[i].shape != list[i - 1].shape ||
            !address_alike(list[i].row->address, list[i - 1].row->address))
            all[count++] = begin(list[i].row);
        add_row(&all[count - 1], list[i].row);
    }
    qsort(all, count, sizeof *all, compare);
    for (size_t i = 0; i < count && i < GROUPS_KEPT; i++) {
        groups[i] = all[i];
        find_meaning(&groups[i]);
    }
    free(all);
    free(list);
    return count;
}

/* ---- as text and as an entry ---- */

static void
write_placeholder(const struct group_number *number, struct text *text)
{
    if (number->width > 0)
        text_format(text, "{%s:%zu}", index_placeholder(number->kind), number->width);
    else
        text_format(text, "{%s}", index_placeholder(number->kind));
}

void
group_address(const struct group *group, char *address, size_t size)
{
    const char *from = group->row->address;
    struct address_number found[ADDRESS_NUMBERS];
    struct text text;
    size_t at = 0;

    text_init(&text, address, size);
    for (int i = 0; i < address_numbers(from, found); i++) {
        if (group->number[i].kind == INDEX_NONE)
            continue;
        text_format(&text, "%.*s", (int)(found[i].at - at), from + at);
        write_placeholder(&group->number[i], &text);
        at = found[i].at + found[i].digits;
    }
    text_add(&text, "%s", from + at);
}

const char *
group_why_not(const struct group *group)
{
    if (group->row->odd || !address_is_plain(group->row->address) || group->numbers < 0)
        return "the address is no plain text";
    if (group->arguments == 0)
        return group->row->untyped ? NULL : "it brings no value";
    if (strstr(group->row->types, "..."))
        return group->run ? NULL : "it brings too many values";
    return group->alike ? NULL : "the addresses bring different types";
}

static void
add_all(struct json *to, struct json *from)
{
    for (const struct json *one = json_first(from); one; one = json_next(one))
        json_add(to, json_key(one), json_copy(one));
    json_free(from);
}

/* [address, index, ..., value, "*", ...] */
static struct json *
answer_of(const struct group *group, const char *address, struct json *value)
{
    struct json *answer = json_new_array();
    size_t counting = (size_t)group->counting;

    json_add_string(answer, NULL, address);
    for (size_t i = 0; i < counting; i++) {
        char index[20];
        struct text text;

        text_init(&text, index, sizeof index);
        write_placeholder(&group->number[group->numbers + (int)i], &text);
        json_add_string(answer, NULL, index);
    }
    if (group->run)
        json_add_string(value, "each", index_placeholder(INDEX_MIX_GRAPHIC_BAND));
    json_add(answer, NULL, value);
    for (size_t i = counting + 1; i < group->arguments && !group->run; i++)
        json_add_string(answer, NULL, "*");
    return answer;
}

struct json *
group_entry(const struct group *group, struct json *value)
{
    struct json *entry = json_new_object();
    char address[2 * ADDRESS_SIZE];

    group_address(group, address, sizeof address);
    if (group->arguments <= 1) {
        json_add_string(entry, "at", address);
        add_all(entry, value);
        if (group->row->untyped)
            json_add_string(entry, "untyped", "...");
    } else {
        json_add(entry, "answer", answer_of(group, address, value));
    }
    return entry;
}

void
group_write_indexes(const struct group *group, struct text *text)
{
    const char *comma = "";

    for (int i = 0; i < group->numbers + group->counting; i++) {
        const struct group_number *number = &group->number[i];

        if (number->kind == INDEX_NONE)
            continue;
        text_format(text, "%s{%s} %d", comma, index_placeholder(number->kind), number->low);
        if (number->high > number->low)
            text_format(text, " to %d", number->high);
        comma = ", ";
    }
}
