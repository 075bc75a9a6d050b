/* SPDX-License-Identifier: MIT */
/* Addresses and arguments of a profile: what is sent, and what is waited for. */
#include "profile/loader.h"

#include <ctype.h>
#include <float.h>
#include <math.h>
#include <string.h>

#include "core/need.h"
#include "profile/wording.h"

enum { ADDRESS_LIMIT = 200, TEXT_LIMIT = 1000, ELEMENT_LIMIT = 64 };

static const char *
placeholder_name_at(const void *context, size_t i)
{
    (void)context;
    return index_placeholder((enum index_kind)(INDEX_INPUT + i));
}

/* ---- addresses ---- */

enum index_kind
loader_index(const char *name, enum index_kind band)
{
    if (strcmp(name, "band") == 0)
        return band;
    for (enum index_kind kind = INDEX_INPUT; kind <= INDEX_GROUP; kind++)
        if (strcmp(index_placeholder(kind), name) == 0)
            return kind;
    return INDEX_NONE;
}

/* The entry's variable of the kind, added when it is new; -1 with a problem when it cannot be. */
static int
entry_variable(const struct reading *reading, const char *name, const struct where *where)
{
    enum index_kind kind = loader_index(name, reading->band);
    struct entry *entry = reading->entry;
    char nearest[100];

    if (kind == INDEX_NONE && strcmp(name, "band") == 0) {
        where_problem(where, "{band} stands for nothing here: no value of this entry has bands");
        return -1;
    }
    if (kind == INDEX_NONE) {
        where_problem(where, "unknown index {%s}%s", name,
                      where_nearest(name, placeholder_name_at, NULL, 4, nearest));
        return -1;
    }
    for (int i = 0; i < entry->variable_count; i++)
        if (entry->variables[i].kind == kind)
            return i;
    if (entry->variable_count == ENTRY_VARIABLES) {
        where_problem(where, "more than %d indexes in one entry", ENTRY_VARIABLES);
        return -1;
    }
    if (reading->loader->profile->counts.of[kind] == 0) {
        where_problem(where, "{%s} is used, but counts.%s is missing", name, index_name(kind));
        return -1;
    }
    entry->variables[entry->variable_count] = (struct variable){
        kind, reading->loader->first[kind], reading->loader->profile->names[kind]};
    return entry->variable_count++;
}

/* "{input}" or "{input:2}" at `text`: its length, name and width; 0 when it is no placeholder, as
 * the braces of JSON in a text are not. */
static size_t
scan_placeholder(const char *text, char name[20], int *width)
{
    size_t length = text[0] == '{' ? strcspn(text + 1, "\":},") : 0;
    const char *end = text + 1 + length;

    if (length == 0 || length >= 20)
        return 0;
    memcpy(name, text + 1, length);
    name[length] = '\0';
    *width = 0;
    if (*end == ':' && isdigit((unsigned char)end[1])) {
        *width = end[1] - '0';
        end += 2;
    }
    return *end == '}' ? (size_t)(end + 1 - text) : 0;
}

/* Length of plain text at `at`, up to the next placeholder. */
static size_t
plain_length(const char *at)
{
    char name[20];
    size_t length = 0;
    int width;

    while (at[length] && scan_placeholder(at + length, name, &width) == 0)
        length++;
    return length;
}

static bool
check_address(const char *address, bool wildcards, const struct where *where)
{
    if (!address[0] || address[0] == ',' || strcmp(address, "/") == 0) {
        where_problem(where, "an address begins with '/' or a name, found \"%s\"", address);
        return false;
    }
    if (strlen(address) > ADDRESS_LIMIT) {
        where_problem(where, "the address is longer than %d bytes", ADDRESS_LIMIT);
        return false;
    }
    for (const char *at = address; *at; at++) {
        char name[20];
        int width;
        size_t skip = scan_placeholder(at, name, &width);

        if (skip > 0) {
            at += skip - 1;
            continue;
        }
        if (*at <= ' ' || *at > '~' || *at == '#' || (!wildcards && strchr("*?,[]{}", *at))) {
            where_problem(where, "the character '%c' may not stand in this address", *at);
            return false;
        }
    }
    return true;
}

bool
loader_read_pieces(const struct reading *reading, const char *at, struct piece **pieces,
                   size_t *count, const struct where *where)
{
    *pieces = need_memory(strlen(at) + 1, sizeof **pieces);
    while (*at) {
        struct piece *piece = &(*pieces)[*count];
        char name[20];
        size_t length = scan_placeholder(at, name, &piece->width);

        if (length > 0) {
            piece->variable = entry_variable(reading, name, where);
            if (piece->variable < 0)
                return false;
            if (piece->width > 0 && reading->entry->variables[piece->variable].names)
                where_problem(where, "{%s:%d} wants digits, but inputs and the like have names",
                              name, piece->width);
        } else {
            length = plain_length(at);
            piece->text = need_part(at, length);
        }
        (*count)++;
        at += length;
    }
    return true;
}

/* Bytes of the longest name; a problem for one that fits no address. */
static size_t
check_names(const struct variable *variable, int count, const struct where *where)
{
    size_t longest = 0;

    for (int i = 0; i < count; i++) {
        const char *name = variable->names[i].text;
        const char *unfit = name ? profile_name_unfit(name) : NULL;

        if (!name) /* it is no name, which was told */
            continue;
        longest = strlen(name) > longest ? strlen(name) : longest;
        if (!unfit)
            continue;
        where_problem(where, "names.%s[%d] is put in, but %s", index_name(variable->kind), i,
                      unfit);
        return 0;
    }
    return longest;
}

/* Whatever name is put in, it stays an address. */
static void
check_filled(const struct reading *reading, const struct pattern *pattern,
             const struct where *where)
{
    const int *counts = reading->loader->profile->counts.of;
    size_t length = 0;
    bool named = false;

    for (size_t i = 0; i < pattern->pieces; i++) {
        const struct piece *piece = &pattern->address[i];
        const struct variable *variable = &reading->entry->variables[piece->variable];

        if (piece->text) {
            length += strlen(piece->text);
        } else if (variable->names) {
            named = true;
            length += check_names(variable, counts[variable->kind], where);
        } else {
            length += piece->width > 3 ? (size_t)piece->width : 3;
        }
    }
    if (named && length > ADDRESS_LIMIT)
        where_problem(where, "with the longest names the address is longer than %d bytes",
                      ADDRESS_LIMIT);
}

void
loader_read_address(const struct reading *reading, struct pattern *pattern,
                    const struct where *where)
{
    const char *at = where_text(where);

    if (!at)
        where_problem(where, "is %s, must be an address", json_kind_name(json_kind(where->json)));
    if (at && check_address(at, reading->question, where) &&
        loader_read_pieces(reading, at, &pattern->address, &pattern->pieces, where))
        check_filled(reading, pattern, where);
}

/* ---- elements ---- */

/* As it travels: what is listed for a person to agree to is what is sent. */
static void
read_number(struct argument *literal, double number, const struct where *where)
{
    bool whole = number == floor(number) && fabs(number) < 0x1p31;

    if (!whole && (!(fabs(number) <= FLT_MAX) || fabs(number) < FLT_MIN))
        where_problem(where, "%g is no number of 32 bits, as messages carry them", number);
    else
        *literal = (struct argument){ARGUMENT_NUMBER, whole ? 'i' : 'f', number, NULL};
}

static void
read_literal(struct element *element, const struct where *where)
{
    struct argument *literal = &element->literal;
    const char *text = where_text(where);
    bool on = json_bool(where->json);

    element->kind = ELEMENT_LITERAL;
    if (text)
        *literal = (struct argument){ARGUMENT_TEXT, 's', 0, need_text(text)};
    else if (where_is(where, JSON_BOOL))
        *literal = (struct argument){ARGUMENT_SWITCH, on ? 'T' : 'F', on, NULL};
    else
        read_number(literal, where_number(where), where);
}

/* A text with indexes in it. */
static void
read_wording(const struct reading *reading, struct element *element, const struct where *where)
{
    const char *text = where_text(where);

    element->kind = ELEMENT_WORDING;
    if (strlen(text) > TEXT_LIMIT)
        where_problem(where, "a text with an {index} is longer than %d bytes", TEXT_LIMIT);
    else
        loader_read_pieces(reading, text, &element->pieces, &element->piece_count, where);
}

void
loader_read_element(const struct reading *reading, struct element *element,
                    const struct where *where)
{
    const char *text = where_text(where);
    enum json_kind kind = json_kind(where->json);
    bool answer = !reading->question;
    char name[20];
    int width;

    element->param = PARAMS;
    if (kind == JSON_OBJECT && answer) {
        bool blob = json_get(where->json, "blob") || json_get(where->json, "skip");
        const struct field *fields = blob ? profile_blob_fields : profile_value_fields;

        if (fields_check_keys(fields, where))
            loader_read_value(reading->loader, fields, element, where);
    } else if (kind == JSON_OBJECT) {
        where_problem(where,
                      "a question may carry only literals and indexes; a value here would be a "
                      "move");
    } else if (text && *text && scan_placeholder(text, name, &width) == strlen(text)) {
        element->kind = ELEMENT_INDEX;
        element->variable = entry_variable(reading, name, where);
    } else if (text && plain_length(text) < strlen(text)) {
        read_wording(reading, element, where);
    } else if (text && !reading->renewal && strcmp(text, "*") == 0) {
        element->kind = answer ? ELEMENT_ANY : ELEMENT_ECHO;
    } else if (text || kind == JSON_NUMBER || kind == JSON_BOOL) {
        read_literal(element, where);
    } else {
        where_problem(where, "is %s; allowed are a number, text, true, false, an {index}%s",
                      json_kind_name(kind),
                      answer             ? ", \"*\" or a value"
                      : reading->renewal ? ""
                                         : ", \"*\"");
    }
}

struct element *
loader_add_element(struct pattern *pattern, const struct where *where)
{
    if (pattern->count < ELEMENT_LIMIT - 1)
        return &pattern->elements[pattern->count++];
    where_problem(where, "more than %d arguments and fields", ELEMENT_LIMIT - 1);
    return NULL;
}

static void
read_argument(const struct reading *reading, struct pattern *pattern, const struct where *where)
{
    struct element *element;

    if (!reading->question && loader_read_packed(reading, pattern, where)) {
        reading->entry->unfolds = true;
        return;
    }
    element = loader_add_element(pattern, where);
    if (!element)
        return;
    loader_read_element(reading, element, where);
    reading->entry->unfolds |= element->blob != BLOB_NONE;
}

/* [address, argument, ...] */
void
loader_read_pattern(const struct reading *reading, struct pattern *pattern,
                    const struct where *where)
{
    struct where one = where_first(where);

    if (!where_is(where, JSON_ARRAY) || !one.json) {
        where_problem(where, "must be an array: the address, then at most %d arguments",
                      ELEMENT_LIMIT - 1);
        return;
    }
    loader_read_address(reading, pattern, &one);
    pattern->elements = need_memory(ELEMENT_LIMIT, sizeof *pattern->elements);
    for (where_next(&one); one.json; where_next(&one))
        read_argument(reading, pattern, &one);
}
