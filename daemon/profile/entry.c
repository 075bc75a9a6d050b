/* SPDX-License-Identifier: MIT */
/* The entries under "values" of a profile. */
#include "profile/loader.h"

#include <string.h>

#include "core/need.h"
#include "profile/read_only.h"

static void
note_band(const struct json *value, enum index_kind *band, const struct where *where)
{
    const struct json *is = json_kind(value) == JSON_OBJECT ? json_get(value, "is") : NULL;
    enum param_id id = is && json_kind(is) == JSON_STRING ? param_find(json_string(is)) : PARAMS;

    if (id == PARAMS || params[id].column < INDEX_INPUT_EQ_BAND)
        return;
    if (*band != INDEX_NONE && *band != params[id].column)
        where_problem(where, "one entry cannot hold both %s and %s", index_name(*band),
                      index_name(params[id].column));
    *band = params[id].column;
}

/* The kind of band the entry's values have; more than one is a problem. */
static enum index_kind
band_of(const struct json *json, const struct where *where)
{
    enum index_kind band = INDEX_NONE;
    const struct json *list = json_get(json, "answer");

    if (!list || json_kind(list) != JSON_ARRAY) {
        note_band(json, &band, where);
        return band;
    }
    for (const struct json *item = json_first(list); item; item = json_next(item)) {
        const struct json *fields =
            json_kind(item) == JSON_OBJECT ? json_get(item, "fields") : NULL;

        note_band(item, &band, where);
        if (fields && json_kind(fields) == JSON_ARRAY)
            for (const struct json *field = json_first(fields); field; field = json_next(field))
                note_band(field, &band, where);
    }
    return band;
}

/* The entry's variable of the kind, or -1. */
static int
variable_of(const struct entry *entry, enum index_kind kind)
{
    for (int i = 0; i < entry->variable_count; i++)
        if (entry->variables[i].kind == kind)
            return i;
    return -1;
}

static bool
pattern_brings(const struct pattern *pattern, int variable)
{
    for (size_t i = 0; i < pattern->pieces; i++)
        if (!pattern->address[i].text && pattern->address[i].variable == variable)
            return true;
    for (size_t i = 0; i < pattern->count; i++)
        if (pattern->elements[i].kind == ELEMENT_INDEX && pattern->elements[i].variable == variable)
            return true;
    return false;
}

/* Finds row and column of each value among the entry's indexes. */
static void
place_values(struct entry *entry, const struct where *where)
{
    int values = 0;

    for (size_t i = 0; i < entry->answer.count; i++) {
        struct element *element = &entry->answer.elements[i];
        const struct param *param;

        if (element->kind != ELEMENT_VALUE || element->param == PARAMS)
            continue;
        values++;
        param = &params[element->param];
        element->row = variable_of(entry, param->row);
        element->column = variable_of(entry, param->column);
        if ((param->row != INDEX_NONE && element->row < 0 && element->each != param->row) ||
            (param->column != INDEX_NONE && element->column < 0 && element->each != param->column))
            where_problem(where, "%s needs {%s}%s%s%s in the address or among the arguments",
                          param->name, index_placeholder(param->row),
                          param->column != INDEX_NONE ? " and {" : "",
                          index_placeholder(param->column), param->column != INDEX_NONE ? "}" : "");
        if (element->each != INDEX_NONE && i + 1 != entry->answer.count)
            where_problem(where, "a run (\"each\") must be the last argument");
    }
    for (int i = 0; i < entry->variable_count; i++)
        if (!pattern_brings(&entry->answer, i))
            where_problem(
                where,
                "the question's {%s} does not come back in the answer, so nobody could tell "
                "whose it is",
                index_placeholder(entry->variables[i].kind));
    if (values == 0)
        where_problem(where, "gives no value: no argument of the answer says what it \"is\"");
}

static void
read_at(struct reading *reading, const struct json *json, const struct where *where)
{
    struct entry *entry = reading->entry;
    const struct json *at = json_get(json, "at");
    struct where here = where_key(where, "at");
    size_t before = where->problems->count;

    entry->asks = true;
    loader_read_address(reading, &entry->ask, at, &here);
    entry->asked_count = entry->variable_count;
    if (where->problems->count == before)
        loader_read_address(reading, &entry->answer, at, &here);
    entry->answer.elements = need_memory(1, sizeof *entry->answer.elements);
    entry->answer.count = 1;
    loader_read_value(reading->loader, &entry->answer.elements[0], json, where);
}

static void
read_ask(struct reading *reading, const struct json *json, const struct where *where)
{
    struct entry *entry = reading->entry;
    const struct json *ask = json_get(json, "ask");
    const struct json *answer = json_get(json, "answer");
    struct where here = where_key(where, "ask");

    entry->asks = ask != NULL;
    reading->question = true;
    if (ask)
        loader_read_pattern(reading, &entry->ask, ask, &here);
    entry->asked_count = entry->variable_count;
    here = where_key(where, "answer");
    reading->question = false;
    if (answer)
        loader_read_pattern(reading, &entry->answer, answer, &here);
    else
        where_problem(&here, "is missing; an entry is either \"at\" with \"is\", or \"ask\" with "
                             "\"answer\"");
}

/* Whether the letter is the type of such an argument. */
static bool
is_type(char letter, const struct element *element)
{
    if (element->separator)
        return letter == 's';
    if (element->blob != BLOB_NONE)
        return letter == 'b';
    return letter && strchr("ifshd", letter);
}

/* The types of arguments that travel without tags, one letter for each argument of the answer. */
static void
read_untyped(struct entry *entry, const struct json *json, const struct where *where)
{
    const struct json *types = json_need(json, where, "untyped", JSON_STRING, false);
    struct where here = where_key(where, "untyped");
    size_t arguments = 0;
    bool good = true;

    if (!types)
        return;
    for (size_t i = 0; good && i < entry->answer.count; i++)
        if (!entry->answer.elements[i].goes_on)
            good = is_type(json_string(types)[arguments++], &entry->answer.elements[i]);
    if (!good || json_string(types)[arguments] != '\0')
        where_problem(&here, "must be a letter for each argument: i, f, s, h or d, s for a text of "
                             "fields, b for a blob");
    entry->untyped = need_text(json_string(types));
}

static void
read_entry(struct loader *loader, struct entry *entry, const struct json *json,
           const struct where *where)
{
    size_t before = where->problems->count;
    bool at = json_kind(json) == JSON_OBJECT &&
              (json_get(json, "at") || (!json_get(json, "ask") && !json_get(json, "answer")));
    const struct json *first, *only;
    struct reading reading = {.loader = loader, .entry = entry};
    struct where here;
    int number;

    if (!fields_check_keys(at ? &profile_at_fields : &profile_ask_fields, json, where))
        return;
    reading.band = band_of(json, where);
    if (at && !json_get(json, "at")) {
        if (where->problems->count == before) /* else the misspelt key has been told */
            where_problem(where, "has neither \"at\" nor \"answer\"");
        return;
    }
    if (at)
        read_at(&reading, json, where);
    else
        read_ask(&reading, json, where);
    read_untyped(entry, json, where);
    /* of this entry alone; what holds for a kind of index stands once for the whole profile */
    first = json_get(json, "first");
    here = where_key(where, "first");
    if (first && json_take_whole(first, &here, 0, 1, &number))
        for (int i = 0; i < entry->variable_count; i++)
            entry->variables[i].first = number;
    only = json_need(json, where, "this_only_asks", JSON_BOOL, false);
    entry->this_only_asks = only && json_bool(only);
    entry->listed = read_only_is_listed(entry);
    if (where->problems->count == before)
        place_values(entry, where);
}

/* What the answers need beyond the specification. */
static void
note_forms(struct osc_forms *forms, const struct entry *entry)
{
    const struct pattern *answer = &entry->answer;

    forms->untyped |= entry->untyped != NULL;
    forms->bare |=
        answer->pieces > 0 && (!answer->address[0].text || answer->address[0].text[0] != '/');
}

void
loader_read_entries(struct loader *loader, const struct json *json, const struct where *where)
{
    struct profile *profile = loader->profile;
    size_t before = where->problems->count;
    size_t places = 0;

    profile->entries = need_memory((size_t)json_size(json), sizeof *profile->entries);
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_index(where, (int)profile->entry_count);

        read_entry(loader, &profile->entries[profile->entry_count++], item, &here);
    }
    if (profile->entry_count == 0)
        where_problem(where, "is empty: nothing would be read");
    for (size_t i = 0; i < profile->entry_count; i++)
        note_forms(&profile->forms, &profile->entries[i]);
    if (where->problems->count > before)
        return;
    for (size_t i = 0; i < profile->entry_count; i++)
        places += entry_places(profile, &profile->entries[i], profile->entries[i].variable_count);
    if (places > ROUTE_LIMIT)
        where_problem(where, "stands for %zu messages, at most %d are allowed", places,
                      ROUTE_LIMIT);
}
