/* SPDX-License-Identifier: MIT */
/* Every message that an entry waits for has a number: its address with all indexes put in and its
 * arguments, of which a value may be anything. Messages of equal numbers are the same. */
#include "profile/overlap.h"

#include <stdlib.h>
#include <string.h>

#include "base/fingerprint.h"
#include "core/need.h"
#include "profile/wording.h"

enum { ADDRESS_SIZE = 404, GROUP_MOST = 16 }; /* more for one message: the first are looked at */

struct message {
    uint64_t number;
    size_t entry, place;
};

/* What is known of an entry. */
struct found {
    size_t covered; /* places */
    bool shares;
    struct overlap by, argument;
};

struct search {
    const struct profile *profile;
    struct message *messages;
    size_t count;
    struct found *found; /* of each entry */
};

/* ---- numbers ---- */

static uint64_t
add_number(uint64_t fingerprint, double number)
{
    char text[40];

    snprintf(text, sizeof text, "=%.17g", number);
    return fingerprint_add(fingerprint, text);
}

/* How it travels. Of a labelled field the label counts, without its indexes. */
static uint64_t
form_of(const struct element *element)
{
    char form[80];
    uint64_t fingerprint;

    snprintf(form, sizeof form, "|%d%d%d%d%d%d%zu,%d", element->separator, element->goes_on,
             element->shares, (int)element->form, (int)element->blob, element->little_endian,
             element->skip, (int)element->each);
    fingerprint = fingerprint_add(FINGERPRINT_BEGIN, form);
    for (size_t i = 0; i < element->label_pieces; i++)
        fingerprint =
            fingerprint_add(fingerprint, element->label[i].text ? element->label[i].text : "{}");
    return fingerprint;
}

/* An element as the message brings it. */
static uint64_t
part_of(const struct profile *profile, const struct entry *entry, const struct element *element,
        const int indexes[ENTRY_VARIABLES])
{
    uint64_t part = form_of(element);
    struct argument argument;

    if (element->kind == ELEMENT_ANY || element->kind == ELEMENT_VALUE)
        return fingerprint_add(part, "*");
    argument = wording_argument(profile, element, entry, indexes);
    if (argument.kind == ARGUMENT_TEXT)
        part = fingerprint_add(fingerprint_add(part, "\""), argument.text);
    else
        part = add_number(part, argument.number);
    wording_free_argument(element, &argument);
    return part;
}

/* Whether it differs from place to place. */
static bool
varies(const struct element *element)
{
    return element->kind == ELEMENT_INDEX || element->kind == ELEMENT_WORDING ||
           element->kind == ELEMENT_ECHO;
}

/* `parts` are those of another place, but for what varies. */
static uint64_t
number_of(const struct profile *profile, const struct entry *entry, size_t place, uint64_t *parts)
{
    int indexes[ENTRY_VARIABLES] = {0};
    char address[ADDRESS_SIZE];
    uint64_t number;

    entry_indexes(profile, entry, entry->variable_count, place, indexes);
    pattern_address(&entry->answer, entry, indexes, address, sizeof address);
    number = fingerprint_add(FINGERPRINT_BEGIN, address);
    for (size_t i = 0; i < entry->answer.count; i++) {
        if (place == 0 || varies(&entry->answer.elements[i]))
            parts[i] = part_of(profile, entry, &entry->answer.elements[i], indexes);
        number = (number ^ parts[i]) * FINGERPRINT_BEGIN; /* an odd number like any other */
    }
    return number;
}

static int
compare(const void *one, const void *other)
{
    const struct message *a = one, *b = other;

    if (a->number != b->number)
        return a->number < b->number ? -1 : 1;
    if (a->entry != b->entry)
        return a->entry < b->entry ? -1 : 1;
    return a->place < b->place ? -1 : a->place > b->place;
}

static size_t
places_of(const struct profile *profile)
{
    size_t places = 0;

    for (size_t i = 0; i < profile->entry_count; i++)
        places += entry_places(profile, &profile->entries[i], profile->entries[i].variable_count);
    return places;
}

static void
number_all(struct search *search)
{
    const struct profile *profile = search->profile;

    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];
        size_t places = entry_places(profile, entry, entry->variable_count);
        uint64_t *parts = need_memory(entry->answer.count, sizeof *parts);

        for (size_t place = 0; place < places; place++)
            search->messages[search->count++] =
                (struct message){number_of(profile, entry, place, parts), i, place};
        free(parts);
    }
    qsort(search->messages, search->count, sizeof *search->messages, compare);
}

/* ---- the same message ---- */

/* Row or column of a value; the only one (-1: not said) where none stands in the entry. */
static int
index_of(int variable, int only, const int indexes[ENTRY_VARIABLES])
{
    return variable < 0 ? only : indexes[variable];
}

struct side {
    const struct entry *entry;
    int indexes[ENTRY_VARIABLES];
};

static bool
is_same_value(const struct side *one, const struct element *mine, const struct side *other,
              const struct element *its)
{
    return its->kind == ELEMENT_VALUE && mine->param == its->param && mine->each == its->each &&
           index_of(mine->row, mine->only_row, one->indexes) ==
               index_of(its->row, its->only_row, other->indexes) &&
           index_of(mine->column, mine->only_column, one->indexes) ==
               index_of(its->column, its->only_column, other->indexes);
}

static bool
gives(const struct side *other, const struct side *one, const struct element *value)
{
    for (size_t i = 0; i < other->entry->answer.count; i++)
        if (is_same_value(one, value, other, &other->entry->answer.elements[i]))
            return true;
    return false;
}

static struct side
side_of(const struct profile *profile, const struct message *message)
{
    struct side side = {.entry = &profile->entries[message->entry]};

    entry_indexes(profile, side.entry, side.entry->variable_count, message->place, side.indexes);
    return side;
}

/* Who waits for messages without type tags also takes those that have them. */
static bool
takes_all_of(const struct entry *other, const struct entry *entry)
{
    return !entry->untyped || (other->untyped && strcmp(other->untyped, entry->untyped) == 0);
}

/* The later one beside an earlier one. Whether the earlier one gives all its values. */
static bool
look_at(struct search *search, const struct message *later, const struct message *earlier)
{
    struct side one = side_of(search->profile, later), other = side_of(search->profile, earlier);
    struct found *found = &search->found[later->entry];
    bool covered = true;

    if (!takes_all_of(other.entry, one.entry))
        return false;
    for (size_t i = 0; i < one.entry->answer.count; i++) {
        const struct element *mine = &one.entry->answer.elements[i];
        const struct element *its = &other.entry->answer.elements[i];

        if (mine->kind != ELEMENT_VALUE)
            continue;
        covered &= gives(&other, &one, mine);
        if (found->shares || its->kind != ELEMENT_VALUE || its->param == mine->param)
            continue;
        found->shares = true;
        found->argument = (struct overlap){OVERLAP_ARGUMENT, later->entry, earlier->entry,
                                           mine->param, its->param};
    }
    if (covered && later->place == 0) /* one of those that do */
        found->by = (struct overlap){OVERLAP_COVERED, later->entry, earlier->entry, PARAMS, PARAMS};
    return covered;
}

static void
look_at_all(struct search *search)
{
    size_t first = 0;

    for (size_t i = 1; i < search->count; i++) {
        const struct message *later = &search->messages[i];
        bool covered = false;

        if (later->number != search->messages[first].number) {
            first = i;
            continue;
        }
        for (size_t j = first; j < i && j < first + GROUP_MOST && !covered; j++)
            covered = search->messages[j].entry != later->entry &&
                      look_at(search, later, &search->messages[j]);
        search->found[later->entry].covered += covered;
    }
}

/* ---- what it waits for ---- */

/* A text that must be there, where the types say number, or the other way round. */
static bool
is_never(const struct entry *entry)
{
    size_t argument = 0;

    for (size_t i = 0; entry->untyped && i < entry->answer.count; i++) {
        const struct element *element = &entry->answer.elements[i];
        bool text = element->literal.kind == ARGUMENT_TEXT;

        if (element->goes_on || element->shares)
            continue;
        if (element->kind == ELEMENT_LITERAL && !element->separator &&
            text != (entry->untyped[argument] == 's'))
            return true;
        argument++;
    }
    return false;
}

void
overlap_find(const struct profile *profile, overlap_fn *each, void *context)
{
    struct search search = {.profile = profile,
                            .messages = need_memory(places_of(profile), sizeof *search.messages),
                            .found = need_memory(profile->entry_count, sizeof *search.found)};

    number_all(&search);
    look_at_all(&search);
    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];
        const struct found *found = &search.found[i];

        if (is_never(entry))
            each(context, &(struct overlap){OVERLAP_NEVER, i, i, PARAMS, PARAMS});
        else if (found->covered == entry_places(profile, entry, entry->variable_count))
            each(context, &found->by);
        else if (found->shares)
            each(context, &found->argument);
    }
    free(search.messages);
    free(search.found);
}
