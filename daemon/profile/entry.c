/* SPDX-License-Identifier: MIT */
/* The entries under "values" of a profile. */
#include "profile/loader.h"

#include <string.h>

#include "core/need.h"
#include "profile/read_only.h"

static void
note_band(const struct where *value, enum index_kind *band, const struct where *where)
{
    struct where is = where_key(value, "is");
    enum param_id id = where_text(&is) ? param_find(where_text(&is)) : PARAMS;

    if (id == PARAMS || params[id].column < INDEX_INPUT_EQ_BAND)
        return;
    if (*band != INDEX_NONE && *band != params[id].column)
        where_problem(where, "one entry cannot hold both %s and %s", index_name(*band),
                      index_name(params[id].column));
    *band = params[id].column;
}

/* Of each argument, of what shares one, and of the fields of a text. */
static void
note_bands(const struct where *list, enum index_kind *band, const struct where *where)
{
    for (struct where one = where_first(list); one.json; where_next(&one)) {
        static const char *const within[] = {"fields", "labels", "json"};

        if (where_is(&one, JSON_ARRAY))
            note_bands(&one, band, where);
        else
            note_band(&one, band, where);
        for (size_t i = 0; i < sizeof within / sizeof *within; i++) {
            struct where inner = where_key(&one, within[i]);

            if (where_is(&inner, JSON_ARRAY) || where_is(&inner, JSON_OBJECT))
                note_bands(&inner, band, where);
        }
    }
}

/* The kind of band the entry's values have; more than one is a problem. */
static enum index_kind
band_of(const struct where *where)
{
    enum index_kind band = INDEX_NONE;
    struct where answer = where_key(where, "answer");

    if (!where_is(&answer, JSON_ARRAY)) {
        note_band(where, &band, where);
        return band;
    }
    note_bands(&answer, &band, where);
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
pieces_bring(const struct piece *pieces, size_t count, int variable)
{
    for (size_t i = 0; i < count; i++)
        if (!pieces[i].text && pieces[i].variable == variable)
            return true;
    return false;
}

static bool
pattern_brings(const struct pattern *pattern, int variable)
{
    if (pieces_bring(pattern->address, pattern->pieces, variable))
        return true;
    for (size_t i = 0; i < pattern->count; i++) {
        const struct element *element = &pattern->elements[i];

        if ((element->kind == ELEMENT_INDEX && element->variable == variable) ||
            pieces_bring(element->label, element->label_pieces, variable) ||
            pieces_bring(element->pieces, element->piece_count, variable))
            return true;
    }
    return false;
}

/* The element that is an echo, NULL when there is none. */
static struct element *
echo_of(const struct pattern *pattern, enum element_kind kind)
{
    for (size_t i = 0; i < pattern->count; i++)
        if (pattern->elements[i].kind == kind)
            return &pattern->elements[i];
    return NULL;
}

/* The first "*" of the answer is the one of the question, where that has one. */
static void
pair_echoes(struct entry *entry, const struct where *where)
{
    struct element *asked = echo_of(&entry->ask, ELEMENT_ECHO);
    struct element *answered = asked ? echo_of(&entry->answer, ELEMENT_ANY) : NULL;

    for (size_t i = 0; i < entry->ask.count; i++)
        if (entry->ask.elements[i].kind == ELEMENT_ECHO && &entry->ask.elements[i] != asked)
            where_problem(where, "a second \"*\"; a question has one number of its own");
    if (answered)
        answered->kind = ELEMENT_ECHO;
}

/* By the answer, but for the labels of its values. */
static bool
is_brought_besides(const struct entry *entry, int variable)
{
    const struct pattern *answer = &entry->answer;

    if (pieces_bring(answer->address, answer->pieces, variable))
        return true;
    for (size_t i = 0; i < answer->count; i++) {
        const struct element *element = &answer->elements[i];

        if (element->kind == ELEMENT_ECHO ||
            (element->kind == ELEMENT_INDEX && element->variable == variable) ||
            pieces_bring(element->pieces, element->piece_count, variable))
            return true;
    }
    return false;
}

/* Whether something says which row, or column, the value is of; more than one way is a problem. */
static bool
is_placed(enum index_kind kind, int variable, int only, enum index_kind each,
          const struct where *where)
{
    const char *name = index_placeholder(kind);

    if (only >= 0 && (variable >= 0 || each == kind))
        where_problem(where,
                      "\"%s\": %d stands beside %s%s%s; a value is of one %s alone, or of "
                      "each",
                      name, only + 1, variable >= 0 ? "{" : "\"each\": \"", name,
                      variable >= 0 ? "}" : "\"", name);
    return kind == INDEX_NONE || variable >= 0 || only >= 0 || each == kind;
}

/* Of one value. */
static void
place_value(const struct entry *entry, struct element *element, const struct where *where)
{
    const struct param *param = &params[element->param];
    bool row, column;

    element->row = variable_of(entry, param->row);
    element->column = variable_of(entry, param->column);
    row = is_placed(param->row, element->row, element->only_row, element->each, where);
    column = is_placed(param->column, element->column, element->only_column, element->each, where);
    if (param_is_of_spectrum(element->param) && element->each != param->column)
        where_problem(where, "%s comes as whole frames: it needs \"each\": \"band\"", param->name);
    else if (!row || !column)
        where_problem(where, "%s needs {%s}%s%s%s in the address or among the arguments",
                      param->name, index_placeholder(param->row),
                      param->column != INDEX_NONE ? " and {" : "", index_placeholder(param->column),
                      param->column != INDEX_NONE ? "}" : "");
}

/* Where an {index} in a label finds values, each message brings them one by one: all of them are
 * found so, and whatever finds one tells all its indexes. */
static void
check_roving(struct entry *entry, const struct where *where)
{
    for (size_t i = 0; i < entry->answer.count; i++)
        entry->roves |= entry->answer.elements[i].roves;
    for (size_t i = 0; entry->roves && i < entry->answer.count; i++) {
        const struct element *element = &entry->answer.elements[i];
        bool whole = element->roves || element->kind != ELEMENT_VALUE;

        for (int k = 0; whole && element->roves && k < entry->variable_count; k++)
            whole = pieces_bring(element->label, element->label_pieces, k) ||
                    is_brought_besides(entry, k);
        if (!whole) {
            where_problem(where, "values that an {index} in a label finds stand in an entry of "
                                 "their own, each with the same indexes");
            return;
        }
    }
}

/* Finds row and column of each value among the entry's indexes. */
static void
place_values(struct entry *entry, const struct where *where)
{
    int values = 0;

    for (size_t i = 0; i < entry->answer.count; i++) {
        struct element *element = &entry->answer.elements[i];

        if (element->kind != ELEMENT_VALUE || element->param == PARAMS)
            continue;
        values++;
        place_value(entry, element, where);
        if (entry->asks && param_is_of_spectrum(element->param))
            where_problem(where,
                          "%s comes by itself, many times a second, and is never asked: give its "
                          "\"answer\" without \"ask\", and what makes the desk send it under "
                          "\"renew\"",
                          params[element->param].name);
        if (element->each != INDEX_NONE && i + 1 != entry->answer.count)
            where_problem(where, "a run (\"each\") must be the last argument");
    }
    for (int i = 0; i < entry->variable_count; i++)
        if (!pattern_brings(&entry->answer, i) && !echo_of(&entry->answer, ELEMENT_ECHO))
            where_problem(
                where,
                "the question's {%s} does not come back in the answer, so nobody could tell "
                "whose it is",
                index_placeholder(entry->variables[i].kind));
    check_roving(entry, where);
    if (values == 0)
        where_problem(where, "gives no value: no argument of the answer says what it \"is\"");
}

static void
read_at(struct reading *reading, const struct where *where)
{
    struct entry *entry = reading->entry;
    struct where at = where_key(where, "at");
    size_t before = where->problems->count;

    entry->asks = true;
    loader_read_address(reading, &entry->ask, &at);
    entry->asked_count = entry->variable_count;
    if (where->problems->count == before)
        loader_read_address(reading, &entry->answer, &at);
    entry->answer.elements = need_memory(1, sizeof *entry->answer.elements);
    entry->answer.count = 1;
    loader_read_value(reading->loader, profile_at_fields, &entry->answer.elements[0], where);
}

static void
read_ask(struct reading *reading, const struct where *where)
{
    struct entry *entry = reading->entry;
    struct where ask = where_key(where, "ask"), answer = where_key(where, "answer");

    entry->asks = ask.json != NULL;
    reading->question = true;
    if (ask.json)
        loader_read_pattern(reading, &entry->ask, &ask);
    entry->asked_count = entry->variable_count;
    reading->question = false;
    if (answer.json) {
        loader_read_pattern(reading, &entry->answer, &answer);
        pair_echoes(entry, &ask);
    } else {
        where_problem(&answer, "is missing; an entry is either \"at\" with \"is\", or \"ask\" "
                               "with \"answer\"");
    }
}

/* Whether the letter is the type of such an argument. */
static bool
is_type(char letter, const struct element *element)
{
    if (element->separator || element->form == LABELS_JSON)
        return letter == 's';
    if (element->blob != BLOB_NONE)
        return letter == 'b';
    return letter && strchr("ifshd", letter);
}

/* The types of arguments that travel without tags, one letter for each argument of the answer. */
void
entry_take_untyped(const struct field_given *given)
{
    struct entry *entry = given->into;
    const char *types = where_text(given->where);
    size_t arguments = 0;
    bool good = true;

    for (size_t i = 0; good && i < entry->answer.count; i++)
        if (!entry->answer.elements[i].goes_on && !entry->answer.elements[i].shares)
            good = is_type(types[arguments++], &entry->answer.elements[i]);
    if (!good || types[arguments] != '\0')
        where_problem(given->where, "must be a letter for each argument: i, f, s, h or d, s for a "
                                    "text of fields, b for a blob");
    entry->untyped = need_text(types);
}

/* Of this entry alone; what holds for a kind of index stands once for the whole profile. */
void
entry_take_first(const struct field_given *given)
{
    struct entry *entry = given->into;
    int number;

    if (where_take_whole(given->where, 0, 1, &number))
        for (int i = 0; i < entry->variable_count; i++)
            entry->variables[i].first = number;
}

/* The question's own number comes back, and tells what was asked for. */
static struct json *
is_echoed(void)
{
    return schema_of("allOf", json_list(schema_has("ask", schema_ref("brings", "echo")),
                                        schema_has("answer", schema_ref("brings", "echo"))));
}

/* An index of the question, and of a value, comes back in the answer. */
static struct json *
ask_rules(const struct field *field)
{
    struct json *rules = json_new_array();

    (void)field;
    for (enum index_kind kind = INDEX_SPECTRA; kind < INDEX_KINDS; kind++)
        json_add(rules, NULL,
                 schema_if(schema_has("ask", json_new_object()),
                           schema_of("not",
                                     schema_has("answer", schema_ref("gives", index_name(kind))))));
    for (enum index_kind i = INDEX_INPUT; i <= INDEX_INPUT_EQ_BAND; i++) {
        const char *index = index_placeholder(i);
        struct json *asked = json_list(schema_has("ask", schema_ref("brings", index)), is_echoed());

        json_add(rules, NULL,
                 schema_if(schema_has("ask", schema_ref("brings", index)),
                           schema_either(schema_has("answer", schema_ref("brings", index)),
                                         is_echoed())));
        json_add(rules, NULL,
                 schema_if(schema_has("answer", schema_ref("needs", index)),
                           schema_either(schema_has("answer", schema_ref("brings", index)),
                                         schema_of("allOf", asked))));
    }
    return rules;
}

static const struct field ask_fields[] = {
    {"ask", FIELD_LIST, NULL, .defined = "ask"},
    {"answer", FIELD_LIST, NULL, .need = FIELD_MUST, .defined = "answer"},
    {ENTRY_FIRST},
    {"this_only_asks", FIELD_SWITCH,
     "true: it carries more than indexes, or reaches an address that also answers, and is no move "
     "on this desk",
     FIELD_AT(struct entry, this_only_asks), .turn = TURN_FIRST},
    {ENTRY_UNTYPED, .pattern = "^[ifshdb]+(?!\\n)$"},
    {"allOf", FIELD_RULE, NULL, .schema = ask_rules},
    {.help = "a question and its answer; without \"ask\" the desk sends it by itself"},
};

static void
read_entry(struct loader *loader, struct entry *entry, const struct where *where)
{
    size_t before = where->problems->count;
    bool has_at = json_get(where->json, "at");
    bool at = where_is(where, JSON_OBJECT) &&
              (has_at || (!json_get(where->json, "ask") && !json_get(where->json, "answer")));
    const struct field *fields = at ? profile_at_fields : ask_fields;
    struct reading reading = {.loader = loader, .entry = entry};

    if (!fields_check_keys(fields, where))
        return;
    reading.band = band_of(where);
    if (at && !has_at) {
        if (where->problems->count == before) /* else the misspelt key has been told */
            where_problem(where, "has neither \"at\" nor \"answer\"");
        return;
    }
    (at ? read_at : read_ask)(&reading, where);
    fields_read_turn(fields, TURN_UNTYPED, where, entry, NULL);
    fields_read_turn(fields, TURN_FIRST, where, entry, NULL);
    entry->listed = read_only_is_listed(entry);
    if (where->problems->count == before)
        place_values(entry, where);
}

/* What the answers need beyond the specification. */
static void
note_forms(struct osc_forms *forms, const struct entry *entry)
{
    forms->untyped |= entry->untyped != NULL;
    forms->bare |= pattern_is_bare(&entry->answer);
}

/* No two questions of the profile send the same number. */
static void
number_echoes(struct profile *profile)
{
    uint32_t next = 1;

    for (size_t i = 0; i < profile->entry_count; i++) {
        struct entry *entry = &profile->entries[i];

        if (!echo_of(&entry->ask, ELEMENT_ECHO))
            continue;
        entry->echo = next;
        next += (uint32_t)entry_places(profile, entry, entry->asked_count);
    }
}

void
profile_take_entries(const struct field_given *given)
{
    struct profile *profile = given->into;
    const struct where *where = given->where;
    size_t before = where->problems->count;
    size_t places = 0;

    profile->entries = need_memory((size_t)json_size(where->json), sizeof *profile->entries);
    for (struct where one = where_first(where); one.json; where_next(&one))
        read_entry(given->context, &profile->entries[profile->entry_count++], &one);
    if (profile->entry_count == 0)
        where_problem(where, "is empty: nothing would be read");
    for (size_t i = 0; i < profile->entry_count; i++)
        note_forms(&profile->forms, &profile->entries[i]);
    if (where->problems->count > before)
        return;
    number_echoes(profile);
    for (size_t i = 0; i < profile->entry_count; i++)
        places += entry_places(profile, &profile->entries[i], profile->entries[i].variable_count);
    if (places > ROUTE_LIMIT)
        where_problem(where, "stands for %zu messages, at most %d are allowed", places,
                      ROUTE_LIMIT);
}

/* ---- the schema ---- */

/* Whoever names a parameter by band or group has counted these. */
static struct json *
count_rule(const char *index)
{
    struct json *uses =
        schema_either(schema_has("is", schema_ref("is", index)),
                      schema_has("answer", schema_of("contains", schema_ref("gives", index))));

    return schema_if(
        schema_has("values", schema_of("contains", uses)),
        schema_has("counts", schema_has(index, schema_of("minimum", json_new_number(1)))));
}

struct json *
schema_profile_definitions(const struct field *field)
{
    struct json *definitions = json_new_object();

    (void)field;
    schema_define(definitions, "entry", NULL,
                  schema_of("oneOf", json_list(schema_of_fields(profile_at_fields),
                                               schema_of_fields(ask_fields))));
    schema_define_messages(definitions);
    schema_define_values(definitions);
    return definitions;
}

struct json *
schema_profile_rules(const struct field *field)
{
    struct json *rules = json_new_array();

    (void)field;
    for (enum index_kind kind = INDEX_GROUP; kind < INDEX_KINDS; kind++)
        json_add(rules, NULL, count_rule(index_name(kind)));
    return rules;
}
