/* SPDX-License-Identifier: MIT */
/* Written from the profile format and the OSC specification: what goes out here must come home
 * through the program's own reading. */
#include "answer.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BYTES_MOST = 16384 };

struct answer {
    const struct profile *profile;
    const struct entry *entry;
    const int *indexes;
    uint8_t data[BYTES_MOST];
    size_t length;
    char types[OSC_ARGUMENTS + 2]; /* with the comma */
    size_t count;
    bool possible;
};

/* ---- bytes ---- */

static void
put(struct answer *answer, const void *bytes, size_t length)
{
    if (answer->length + length > BYTES_MOST) {
        answer->possible = false;
        return;
    }
    memcpy(answer->data + answer->length, bytes, length);
    answer->length += length;
}

/* The low `size` bytes, highest first. */
static void
put_whole(struct answer *answer, uint64_t number, int size)
{
    while (size-- > 0) {
        uint8_t byte = (uint8_t)(number >> (8 * size));

        put(answer, &byte, 1);
    }
}

static void
put_padding(struct answer *answer)
{
    while (answer->length % 4 != 0)
        put(answer, "", 1);
}

static void
put_text(struct answer *answer, const char *text)
{
    put(answer, text, strlen(text) + 1);
    put_padding(answer);
}

/* ---- one argument ---- */

/* An element's meaning before it is written: a text, or a number. */
struct meaning {
    char text[BYTES_MOST / 4]; /* of a text; the others are numbers */
    bool is_text, is_long;     /* what does not fit cannot be said */
    double number;
};

static struct meaning
a_number(double number)
{
    return (struct meaning){.number = number};
}

static struct meaning
a_text(const char *text)
{
    struct meaning meaning = {.is_text = true};

    if (strlen(text) >= sizeof meaning.text)
        return (struct meaning){.is_text = true, .is_long = true};
    strcpy(meaning.text, text);
    return meaning;
}

static struct meaning
index_meaning(const struct answer *answer, int variable)
{
    const struct variable *of = &answer->entry->variables[variable];
    const struct index_name *name = of->names ? &of->names[answer->indexes[variable]] : NULL;

    if (name)
        return name->is_text ? a_text(name->text) : a_number(name->number);
    return a_number(answer->indexes[variable] + of->first);
}

static struct meaning
pieces_meaning(const struct answer *answer, const struct piece *pieces, size_t count)
{
    struct meaning meaning = a_text("");

    for (size_t i = 0; i < count; i++) {
        const struct piece *piece = &pieces[i];
        size_t used = strlen(meaning.text);
        struct meaning part =
            piece->text ? a_text(piece->text) : index_meaning(answer, piece->variable);

        if (part.is_text)
            snprintf(meaning.text + used, sizeof meaning.text - used, "%s", part.text);
        else
            snprintf(meaning.text + used, sizeof meaning.text - used, "%0*.0f", piece->width,
                     part.number);
    }
    return meaning;
}

static struct meaning
meaning_of(const struct answer *answer, const struct element *element)
{
    switch (element->kind) {
    case ELEMENT_LITERAL:
        return element->literal.text ? a_text(element->literal.text)
                                     : a_number(element->literal.number);
    case ELEMENT_INDEX:
        return index_meaning(answer, element->variable);
    case ELEMENT_WORDING:
        return pieces_meaning(answer, element->pieces, element->piece_count);
    case ELEMENT_ECHO:
        return a_number(answer->entry->echo + (double)entry_place(answer->profile, answer->entry,
                                                                  answer->entry->asked_count,
                                                                  answer->indexes));
    case ELEMENT_ANY:
        return a_number(7);
    case ELEMENT_VALUE:
        break;
    }
    return a_number(1);
}

/* The type it travels as, where the profile leaves that to the desk. */
static char
usual_type(const struct answer *answer, const struct element *element)
{
    if (element->separator || element->form != LABELS_NONE)
        return 's';
    if (element->blob != BLOB_NONE)
        return 'b';
    if (element->kind == ELEMENT_LITERAL)
        return element->literal.type;
    return meaning_of(answer, element).is_text ? 's' : 'i';
}

static void
put_number(struct answer *answer, char type, double number)
{
    float single = (float)number;
    uint32_t word;
    uint64_t words;
    char text[40];

    switch (type) {
    case 'i':
        put_whole(answer, (uint64_t)(int64_t)number, 4);
        break;
    case 'h':
        put_whole(answer, (uint64_t)(int64_t)number, 8);
        break;
    case 'f':
        memcpy(&word, &single, sizeof word);
        put_whole(answer, word, 4);
        break;
    case 'd':
        memcpy(&words, &number, sizeof words);
        put_whole(answer, words, 8);
        break;
    case 's':
        snprintf(text, sizeof text, "%.17g", number);
        put_text(answer, text);
        break;
    default: /* T and F are all there is of them; a blob of no bytes */
        put_whole(answer, 0, type == 'b' ? 4 : 0);
    }
}

/* A literal must mean the same in the type that it travels as; anything else may mean what it will.
 */
static bool
can_hold(char type, const struct element *element, struct meaning meaning)
{
    bool literal = element->kind == ELEMENT_LITERAL;

    if (meaning.is_long)
        return false;
    if (meaning.is_text)
        return type == 's';
    if (element->kind == ELEMENT_INDEX)
        return type != 'b';
    if (!literal)
        return true;
    if (type == 'i' || type == 'h')
        return meaning.number == floor(meaning.number) && fabs(meaning.number) < 2e9;
    return strchr("fdTF", type) && fabs(meaning.number) < 1e38;
}

static void
put_argument(struct answer *answer, char type, const struct element *element)
{
    struct meaning meaning = meaning_of(answer, element);

    answer->possible &= can_hold(type, element, meaning) && answer->count < OSC_ARGUMENTS;
    if (!answer->possible)
        return;
    answer->types[++answer->count] = type;
    if (meaning.is_text)
        put_text(answer, meaning.text);
    else
        put_number(answer, type, meaning.number);
}

/* ---- blobs and lines ---- */

static int
times_of(const struct answer *answer, const struct element *element)
{
    return element->each == INDEX_NONE ? 1 : answer->profile->counts.of[element->each];
}

static void
put_blob(struct answer *answer, const struct element *element)
{
    size_t size = element->blob == BLOB_INT16 ? 2 : 4;
    size_t length = element->skip + size * (size_t)times_of(answer, element);

    put_whole(answer, length, 4);
    for (size_t i = 0; i < length; i++)
        put(answer, "", 1);
    put_padding(answer);
}

/* A field, in quotes where it would be read as another without. */
static void
put_field(struct answer *answer, const struct element *element)
{
    struct meaning meaning = meaning_of(answer, element);
    bool quote;

    if (!meaning.is_text)
        snprintf(meaning.text, sizeof meaning.text, "%.17g", meaning.number);
    quote =
        !*meaning.text || strpbrk(meaning.text, " \t") || strchr(meaning.text, element->separator);
    answer->possible &= !meaning.is_long && !strchr(meaning.text, '"') && isfinite(meaning.number);
    put(answer, "\"", quote);
    put(answer, meaning.text, strlen(meaning.text));
    put(answer, "\"", quote);
}

/* The element and those that go on in its line; gives the last of them. */
static size_t
put_line(struct answer *answer, size_t at)
{
    const struct pattern *pattern = &answer->entry->answer;
    char separator = pattern->elements[at].separator;

    for (;; at++) {
        bool shares = pattern->elements[at].shares;
        int times = shares ? 0 : times_of(answer, &pattern->elements[at]);

        for (int i = 0; i < times; i++) {
            if (i > 0)
                put(answer, &separator, 1);
            put_field(answer, &pattern->elements[at]);
        }
        if (at + 1 == pattern->count || !pattern->elements[at + 1].goes_on)
            break;
        put(answer, &separator, !pattern->elements[at + 1].shares);
    }
    put(answer, "", 1);
    put_padding(answer);
    return at;
}

/* ---- texts with labels ---- */

/* A label as it stands in the text, one that JSON or a line reads as such. */
static struct meaning
label_of(struct answer *answer, const struct element *element)
{
    struct meaning label = pieces_meaning(answer, element->label, element->label_pieces);
    size_t length = strlen(label.text), depth = 1;

    for (const char *at = label.text; *at; at++) {
        depth += *at == '/';
        answer->possible &= *at != '"' && *at != '\\' && (unsigned char)*at >= ' ' &&
                            (element->form == LABELS_JSON ||
                             (*at != element->separator && *at != element->label_end));
    }
    answer->possible &= !label.is_long && length < 400 && depth <= 15 &&
                        !strchr(" \t", label.text[0]) && !strchr(" \t", label.text[length - 1]);
    return label;
}

static void
put_plain(struct answer *answer, const char *text)
{
    put(answer, text, strlen(text));
}

/* A number as it is, a text in quotes. */
static void
put_quoted(struct answer *answer, const struct element *element)
{
    struct meaning meaning = meaning_of(answer, element);
    char number[40];

    answer->possible &= !meaning.is_long && isfinite(meaning.number);
    for (const char *at = meaning.text; meaning.is_text && *at; at++)
        answer->possible &= *at != '"' && *at != '\\' && (unsigned char)*at >= ' ';
    snprintf(number, sizeof number, "%.17g", meaning.number);
    if (!meaning.is_text && element->kind == ELEMENT_LITERAL &&
        element->literal.kind == ARGUMENT_SWITCH && element->form == LABELS_JSON) {
        put_plain(answer, meaning.number != 0 ? "true" : "false");
    } else if (meaning.is_text) {
        put_plain(answer, "\"");
        put_plain(answer, meaning.text);
        put_plain(answer, "\"");
    } else {
        put_plain(answer, number);
    }
}

/* "a/b": a value inside objects of their own; keys may stand twice. */
static void
put_path(struct answer *answer, const struct element *element)
{
    struct meaning label = label_of(answer, element);
    int depth = 0, times = times_of(answer, element);

    for (char *at = label.text, *end; at; at = end, depth++) {
        end = strchr(at, '/');
        if (end)
            *end++ = '\0';
        put_plain(answer, depth > 0 ? "{\"" : "\"");
        put_plain(answer, at);
        put_plain(answer, "\":");
    }
    put_plain(answer, element->each != INDEX_NONE ? "[" : "");
    for (int i = 0; i < times; i++) {
        put_plain(answer, i > 0 ? "," : "");
        put_quoted(answer, element);
    }
    put_plain(answer, element->each != INDEX_NONE ? "]" : "");
    while (depth-- > 1)
        put_plain(answer, "}");
}

/* The element and those that go on in its text; gives the last of them. */
static size_t
put_labels(struct answer *answer, size_t at)
{
    const struct pattern *pattern = &answer->entry->answer;
    bool json = pattern->elements[at].form == LABELS_JSON;

    put_plain(answer, json ? "{" : "");
    for (;; at++) {
        const struct element *element = &pattern->elements[at];

        if (json) {
            put_path(answer, element);
        } else {
            put_plain(answer, label_of(answer, element).text);
            put(answer, &element->label_end, 1);
            put_quoted(answer, element);
        }
        if (at + 1 == pattern->count || !pattern->elements[at + 1].goes_on)
            break;
        put(answer, json ? "," : &element->separator, 1);
    }
    put_plain(answer, json ? "}" : "");
    put(answer, "", 1);
    put_padding(answer);
    return at;
}

/* ---- the message ---- */

static void
put_arguments(struct answer *answer)
{
    const struct entry *entry = answer->entry;
    size_t argument = 0;

    for (size_t i = 0; i < entry->answer.count && answer->possible; i++) {
        const struct element *element = &entry->answer.elements[i];
        char type = entry->untyped && !element->shares ? entry->untyped[argument]
                                                       : usual_type(answer, element);
        bool packed =
            element->separator || element->form != LABELS_NONE || element->blob != BLOB_NONE;

        if (element->shares)
            continue;
        argument++;
        if (packed) {
            answer->possible &=
                type == usual_type(answer, element) && answer->count < OSC_ARGUMENTS;
            answer->types[++answer->count] = type;
        }
        if (element->form != LABELS_NONE)
            i = put_labels(answer, i);
        else if (element->separator)
            i = put_line(answer, i);
        else if (packed)
            put_blob(answer, element);
        for (int times = packed ? 0 : times_of(answer, element); times > 0; times--)
            put_argument(answer, type, element);
    }
}

uint8_t *
answer_make(const struct profile *profile, const struct entry *entry,
            const int indexes[ENTRY_VARIABLES], size_t *length)
{
    struct answer *answer = calloc(2, sizeof *answer);
    struct answer *head = answer + 1;
    uint8_t *bytes = NULL;
    char address[400];

    assert(answer);
    *answer = (struct answer){profile, entry, indexes, .types = ",", .possible = true};
    *head = *answer;
    assert(pattern_address(&entry->answer, entry, indexes, address, sizeof address) <
           sizeof address);
    put_arguments(answer);
    put_text(head, address);
    if (!entry->untyped)
        put_text(head, answer->types);
    if (answer->possible) {
        *length = head->length + answer->length;
        bytes = malloc(*length);
        assert(bytes);
        memcpy(bytes, head->data, head->length);
        memcpy(bytes + head->length, answer->data, answer->length);
    }
    free(answer);
    return bytes;
}
