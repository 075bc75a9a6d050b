/* SPDX-License-Identifier: MIT */
/* All answer addresses, with every index put in, stand in one hash table, so that a message costs
 * one look-up however large the desk is. */
#include "link/router.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "core/need.h"
#include "link/unfold.h"
#include "profile/wording.h"
#include "spectrum/bands.h"

enum { ADDRESS_SIZE = 404 };

/* One entry at one address. */
struct route {
    uint32_t entry;
    uint32_t next;                    /* another one at the same address; 0: none */
    int16_t indexes[ENTRY_VARIABLES]; /* -1: comes with the arguments */
};

struct bucket {
    uint32_t hash;    /* half of it */
    uint32_t address; /* offset in `addresses` */
    uint32_t size;    /* of it, with its padding */
    uint32_t route;   /* 0: empty */
};

struct router {
    const struct profile *profile;
    struct engine *engine;
    router_answer_fn *answered;
    void *context;
    struct bucket *buckets;
    size_t mask;          /* number of buckets - 1, a power of two - 1 */
    struct route *routes; /* route 0 is not used */
    size_t route_count;
    char *addresses;
    size_t address_used, address_size;
    struct unfolded unfolded; /* of the message in hand, */
    bool moved;               /* which moved a value */
};

/* An OSC address with its padding is a whole number of 4-byte words, and is hashed as such. The
 * table holds only the profile's own addresses, so nobody outside can fill it. */
static uint64_t
hash_of(const char *address, size_t size)
{
    uint64_t hash = size;

    for (size_t at = 0; at < size; at += 4) {
        uint32_t word;

        memcpy(&word, address + at, sizeof word);
        hash = (hash ^ word) * UINT64_C(0x9e3779b97f4a7c15);
        hash ^= hash >> 32;
    }
    return hash;
}

/* The bucket of the address, or the empty one where it would go. */
static size_t
find(const struct router *router, const char *address, size_t size)
{
    uint64_t hash = hash_of(address, size);
    size_t at = hash & router->mask;

    for (;; at = (at + 1) & router->mask) {
        const struct bucket *bucket = &router->buckets[at];

        if (bucket->route == 0 || (bucket->hash == (uint32_t)hash && bucket->size == size &&
                                   memcmp(router->addresses + bucket->address, address, size) == 0))
            return at;
    }
}

/* Where it stands. */
static uint32_t
keep_address(struct router *router, const char *address, size_t size)
{
    size_t offset = router->address_used;

    if (offset + size > router->address_size) {
        router->address_size = router->address_size * 2 + 4096;
        router->addresses = need_more(router->addresses, router->address_size, 1);
    }
    memcpy(router->addresses + offset, address, size);
    router->address_used += size;
    return (uint32_t)offset;
}

static bool
in_address(const struct pattern *pattern, int variable)
{
    for (size_t i = 0; i < pattern->pieces; i++)
        if (!pattern->address[i].text && pattern->address[i].variable == variable)
            return true;
    return false;
}

static void
add_route(struct router *router, size_t number, const int indexes[ENTRY_VARIABLES])
{
    const struct entry *entry = &router->profile->entries[number];
    struct route *route = &router->routes[++router->route_count];
    char address[ADDRESS_SIZE] = {0}; /* zeros are the padding */
    struct bucket *bucket;
    size_t length, size;

    length = pattern_address(&entry->answer, entry, indexes, address, sizeof address - 4);
    assert(length < sizeof address - 4); /* of a profile, which holds it shorter */
    size = (length / 4 + 1) * 4;
    bucket = &router->buckets[find(router, address, size)];
    route->entry = (uint32_t)number;
    route->next = bucket->route;
    for (int i = 0; i < ENTRY_VARIABLES; i++)
        route->indexes[i] =
            (int16_t)(i < entry->variable_count && in_address(&entry->answer, i) ? indexes[i] : -1);
    if (bucket->route == 0)
        bucket->address = keep_address(router, address, size);
    bucket->hash = (uint32_t)hash_of(address, size);
    bucket->size = (uint32_t)size;
    bucket->route = (uint32_t)router->route_count;
}

/* One route for each combination of the indexes that stand in the answer's address. */
static void
add_entry(struct router *router, size_t number)
{
    const struct entry *entry = &router->profile->entries[number];
    size_t places = entry_places(router->profile, entry, entry->variable_count);

    for (size_t place = 0; place < places; place++) {
        int indexes[ENTRY_VARIABLES] = {0};
        bool first = true; /* of those that differ only in what travels as an argument */

        entry_indexes(router->profile, entry, entry->variable_count, place, indexes);
        for (int i = 0; i < entry->variable_count; i++)
            first = first && (in_address(&entry->answer, i) || indexes[i] == 0);
        if (first)
            add_route(router, number, indexes);
    }
}

struct router *
router_new(const struct profile *profile, struct engine *engine, router_answer_fn *answered,
           void *context)
{
    struct router *router = need_memory(1, sizeof *router);
    size_t places = 1, buckets = 64;

    *router = (struct router){
        .profile = profile, .engine = engine, .answered = answered, .context = context};
    for (size_t i = 0; i < profile->entry_count; i++)
        places += entry_places(profile, &profile->entries[i], profile->entries[i].variable_count);
    while (buckets < 2 * places)
        buckets *= 2;
    router->mask = buckets - 1;
    router->buckets = need_memory(buckets, sizeof *router->buckets);
    router->routes = need_memory(places + 1, sizeof *router->routes);
    for (size_t i = 0; i < profile->entry_count; i++)
        add_entry(router, i);
    return router;
}

void
router_free(struct router *router)
{
    if (!router)
        return;
    free(router->buckets);
    free(router->routes);
    free(router->addresses);
    free(router);
}

/* ---- matching ---- */

/* A field of a text line has no type: there "7" is the number 7. */
static bool
equals_literal(const struct element *element, const struct argument *argument)
{
    const struct argument *literal = &element->literal;
    double number;

    if (argument->kind == ARGUMENT_TEXT && literal->kind == ARGUMENT_TEXT)
        return strcmp(literal->text, argument->text) == 0;
    if (argument->kind == ARGUMENT_TEXT)
        return element->separator && law_parse_number(argument->text, &number) &&
               number == literal->number;
    number = argument->type == 'f' ? (double)(float)literal->number : literal->number;
    return (argument->kind == ARGUMENT_NUMBER || argument->kind == ARGUMENT_SWITCH) &&
           literal->kind != ARGUMENT_TEXT && argument->number == number;
}

/* Reads an index that travels as an argument. False when it is none of the desk's, or another one
 * than is known already. */
static bool
take_index(const struct router *router, const struct variable *variable,
           const struct argument *argument, int *known)
{
    int index;

    if (!wording_find(variable, router->profile->counts.of[variable->kind], argument, &index) ||
        (*known >= 0 && *known != index))
        return false;
    *known = index;
    return true;
}

/* The number of a question of this entry, and with it the indexes that were asked for. */
static bool
take_echo(const struct router *router, const struct entry *entry, const struct argument *argument,
          int indexes[ENTRY_VARIABLES])
{
    int asked[ENTRY_VARIABLES];
    size_t place;

    if (!wording_find_echo(router->profile, entry, argument, &place))
        return false;
    entry_indexes(router->profile, entry, entry->asked_count, place, asked);
    for (int i = 0; i < entry->asked_count; i++) {
        if (indexes[i] >= 0 && indexes[i] != asked[i])
            return false;
        indexes[i] = asked[i];
    }
    return true;
}

/* The element itself; of a value only that it is there. */
static bool
match_element(const struct router *router, const struct entry *entry, const struct element *element,
              const struct argument *argument, int indexes[ENTRY_VARIABLES])
{
    switch (element->kind) {
    case ELEMENT_LITERAL:
        return equals_literal(element, argument);
    case ELEMENT_INDEX:
        return take_index(router, &entry->variables[element->variable], argument,
                          &indexes[element->variable]);
    case ELEMENT_WORDING:
        return argument->kind == ARGUMENT_TEXT &&
               wording_match(element->pieces, element->piece_count, entry, &router->profile->counts,
                             argument->text, indexes);
    case ELEMENT_ECHO:
        return take_echo(router, entry, argument, indexes);
    case ELEMENT_ANY:
    case ELEMENT_VALUE:
        break;
    }
    return true;
}

/* Everything of the message but its values. */
static bool
match(const struct router *router, const struct entry *entry, const struct osc_message *message,
      int indexes[ENTRY_VARIABLES])
{
    const struct pattern *answer = &entry->answer;
    bool run = answer->count > 0 && answer->elements[answer->count - 1].kind == ELEMENT_VALUE &&
               answer->elements[answer->count - 1].each != INDEX_NONE;

    if (run ? message->count < answer->count : message->count != answer->count)
        return false;
    for (size_t i = 0; i < answer->count; i++)
        if (!match_element(router, entry, &answer->elements[i], &message->arguments[i], indexes))
            return false;
    return true;
}

/* ---- values ---- */

static bool
value_of(const struct element *element, const struct argument *argument, double *value)
{
    if (argument->kind == ARGUMENT_NUMBER || argument->kind == ARGUMENT_SWITCH)
        return law_value(&element->law, argument->number, value);
    return argument->kind == ARGUMENT_TEXT &&
           law_value_of_text(&element->law, argument->text, value);
}

/* Holds a value to the range of its entry; a thousandth of it is forgiven. */
static bool
in_range(const struct element *element, double *value)
{
    double slack = (element->range.most - element->range.least) / 1000;

    if (isnan(element->range.least) || (*value == -HUGE_VAL && param_may_be_off(element->param)))
        return true;
    if (!(*value >= element->range.least - slack && *value <= element->range.most + slack))
        return false;
    *value = fmin(fmax(*value, element->range.least), element->range.most);
    return true;
}

/* Of a parameter. */
struct cell {
    int row, column;
};

/* What became of a value. */
static bool
note(struct router *router, enum param_id id, enum change change)
{
    if (change == CHANGE_MOVED && params[id].class != DIFFERENCE_METER)
        router->moved = true;
    return change != CHANGE_REFUSED;
}

static bool
take_text(struct router *router, const struct element *element, struct cell cell,
          const struct argument *argument, int64_t now_ms)
{
    char text[DESK_TEXT_SIZE];

    if (argument->kind == ARGUMENT_TEXT)
        escape_clean(text, sizeof text, argument->text);
    else if (argument->kind == ARGUMENT_NUMBER)
        snprintf(text, sizeof text, "%g", argument->number);
    else
        return false;
    return note(
        router, element->param,
        engine_hear_text(router->engine, element->param, cell.row, cell.column, text, now_ms));
}

/* Levels are taken to a thousandth of a dB: a fader at -6 dB shall be -6 dB whether it came as the
 * nearest float32, as an integer or as text, or thresholds would depend on how a desk speaks. */
static double
settle(enum param_id id, double value)
{
    return params[id].unit == UNIT_DB && isfinite(value) ? round(value * 1000) / 1000 : value;
}

static bool
take_value(struct router *router, const struct element *element, struct cell cell,
           const struct argument *argument, int64_t now_ms)
{
    double value;

    if (params[element->param].unit == UNIT_TEXT)
        return take_text(router, element, cell, argument, now_ms);
    if (!value_of(element, argument, &value))
        return false;
    if (isnan(value)) /* it says nothing of the parameter */
        return true;
    return in_range(element, &value) &&
           note(router, element->param,
                engine_hear(router->engine, element->param, cell.row, cell.column,
                            settle(element->param, value), now_ms));
}

/* Multiplies the numbers; whether all are levels, without a look at each. */
static bool
scale_levels(double factor, const struct param *param, double *levels, size_t count)
{
    bool within = true;

    for (size_t i = 0; i < count; i++) {
        levels[i] *= factor;
        within &= (levels[i] >= param->least) & (levels[i] <= param->most);
    }
    return within;
}

static bool
accept_level(const struct element *element, double *level)
{
    return in_range(element, level) && param_accepts(element->param, *level);
}

/* Twenty times a second, and so in one pass where the law is as it mostly is. */
static bool
read_blob(const struct element *element, const struct argument *blob, double *levels, size_t count)
{
    double factor = isnan(element->range.least) ? law_factor(&element->law) : NAN;

    if (unfold_blob(element, blob, levels, count) != count)
        return false;
    if (!isnan(factor))
        return scale_levels(factor, &params[element->param], levels, count);
    for (size_t i = 0; i < count; i++)
        if (!law_value(&element->law, levels[i], &levels[i]) || !accept_level(element, &levels[i]))
            return false;
    return true;
}

static bool
read_arguments(const struct element *element, const struct argument *arguments, double *levels,
               size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!value_of(element, &arguments[i], &levels[i]) || !accept_level(element, &levels[i]))
            return false;
    return true;
}

/* As many levels as the desk has bands. */
static bool
read_levels(const struct element *element, const struct osc_message *message, size_t from,
            double *levels, size_t count)
{
    const struct argument *first = &message->arguments[from];

    if (element->blob != BLOB_NONE)
        return read_blob(element, first, levels, count);
    return message->count - from == count && read_arguments(element, first, levels, count);
}

/* A whole spectrum, which no desk model keeps. */
static bool
take_spectrum(struct router *router, const struct element *element, int row,
              const struct osc_message *message, size_t from, int64_t now_ms)
{
    size_t count = (size_t)router->profile->counts.of[element->each];
    double levels[SPECTRUM_BANDS];

    if (!read_levels(element, message, from, levels, count))
        return false;
    if (element->param == PARAM_MIX_SPECTRUM_BAND_LEVEL)
        engine_hear_spectrum(router->engine, row, levels, now_ms);
    return true;
}

/* A run of arguments along one index; a longer or shorter one than the desk has is bad. */
static bool
take_run(struct router *router, const struct element *element, struct cell cell,
         const struct osc_message *message, size_t from, int64_t now_ms)
{
    bool along_rows = params[element->param].row == element->each;
    size_t count = (size_t)router->profile->counts.of[element->each];
    bool good = message->count - from == count;

    for (size_t i = 0; i < count && from + i < message->count; i++) {
        *(along_rows ? &cell.row : &cell.column) = (int)i;
        good &= take_value(router, element, cell, &message->arguments[from + i], now_ms);
    }
    return good;
}

/* By its variable, or the only one; 0 where there is no such index, or a run gives it. */
static int
index_of(const int indexes[ENTRY_VARIABLES], int variable, int only)
{
    return variable >= 0 ? indexes[variable] : only >= 0 ? only : 0;
}

static bool
take_values(struct router *router, const struct entry *entry, const struct osc_message *message,
            const int indexes[ENTRY_VARIABLES], int64_t now_ms)
{
    bool good = true;

    for (size_t i = 0; i < entry->answer.count; i++) {
        const struct element *element = &entry->answer.elements[i];
        struct cell cell;

        if (element->kind != ELEMENT_VALUE || unfold_is_missing(&message->arguments[i]))
            continue;
        cell = (struct cell){index_of(indexes, element->row, element->only_row),
                             index_of(indexes, element->column, element->only_column)};
        if (element->each == INDEX_NONE)
            good &= take_value(router, element, cell, &message->arguments[i], now_ms);
        else if (param_is_of_spectrum(element->param))
            good &= take_spectrum(router, element, cell.row, message, i, now_ms);
        else
            good &= take_run(router, element, cell, message, i, now_ms);
    }
    return good;
}

/* The values, where the message as it is unfolded is an answer of the entry. */
static void
take_answer(struct router *router, uint32_t number, const struct osc_message *answer,
            int indexes[ENTRY_VARIABLES], int64_t now_ms, enum route_result *result)
{
    const struct entry *entry = &router->profile->entries[number];

    if (!match(router, entry, answer, indexes))
        return;
    if (!take_values(router, entry, answer, indexes, now_ms))
        *result = ROUTE_BAD_VALUE;
    else if (*result != ROUTE_BAD_VALUE)
        *result = ROUTE_TAKEN;
    router->answered(router->context, number,
                     entry_place(router->profile, entry, entry->variable_count, indexes));
}

/* One answer, or as many as values rove in the message. */
static void
take_route(struct router *router, const struct route *route, const struct osc_message *message,
           int64_t now_ms, enum route_result *result)
{
    const struct entry *entry = &router->profile->entries[route->entry];
    const struct osc_message *answer = unfold(entry, message, &router->unfolded);
    int indexes[ENTRY_VARIABLES];

    if (!answer)
        return;
    do {
        for (int i = 0; i < ENTRY_VARIABLES; i++)
            indexes[i] = route->indexes[i];
        if (entry->roves &&
            !unfold_rove(entry, &router->profile->counts, &router->unfolded, indexes))
            return;
        take_answer(router, route->entry, answer, indexes, now_ms, result);
    } while (entry->roves);
}

enum route_result
router_take(struct router *router, const struct osc_message *message, int64_t now_ms)
{
    uint32_t number = router->buckets[find(router, message->address, message->address_size)].route;
    enum route_result result = number == 0        ? ROUTE_UNKNOWN_ADDRESS
                               : message->untyped ? ROUTE_NO_TYPES
                                                  : ROUTE_OTHER_ARGUMENTS;

    router->moved = false;
    unfold_begin(&router->unfolded);
    for (; number != 0; number = router->routes[number].next)
        take_route(router, &router->routes[number], message, now_ms, &result);
    return result;
}

bool
router_moved(const struct router *router)
{
    return router->moved;
}

void
router_set_engine(struct router *router, struct engine *engine)
{
    router->engine = engine;
}
