/* SPDX-License-Identifier: MIT */
/* What a profile could say of addresses that no entry covers: those that differ only in their
 * numbers are one entry, the numbers are indexes, and the words tell what it may be. */
#include "command/listen_table.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/output.h"
#include "core/need.h"
#include "desk/param.h"

#define DIGITS "0123456789"

enum { INDEXES = 3, WORDS = 16, WORD_SIZE = 32, GROUPS_SHOWN = 200, RUN_LEAST = 8 };

/* ---- the words of an address ---- */

struct address {
    char word[WORDS][WORD_SIZE]; /* lower case; digits are words of their own */
    int count;
};

static void
split(struct address *words, const char *address)
{
    words->count = 0;
    while (*address && words->count < WORDS) {
        char *word = words->word[words->count];
        int length = 0;
        bool digits = isdigit((unsigned char)*address);

        while (isalnum((unsigned char)*address) &&
               (isdigit((unsigned char)*address) != 0) == digits && length < WORD_SIZE - 1)
            word[length++] = (char)tolower((unsigned char)*address++);
        word[length] = '\0';
        if (length > 0)
            words->count++;
        else
            address++;
    }
}

static bool
is_number(const char *word)
{
    return isdigit((unsigned char)*word);
}

/* Other words of the trade for what the parameter table calls by one name. */
static const char *const synonyms[][2] = {
    {"preamp", "head"},      {"preamp_gain", "gain"}, {"high_pass", "hp"},    {"high_pass", "hpf"},
    {"high_pass", "lowcut"}, {"phantom", "48v"},      {"mute", "muted"},      {"level", "send"},
    {"name", "label"},       {"limiter", "limit"},    {"comp", "compressor"}, {"comp", "dyn"},
    {"gate", "expander"},    {"graphic", "geq"},      {"gain", "graphic"},    {"freq", "frequency"},
    {"polarity", "invert"},  {"polarity", "phase"},   {"fader", "volume"},    {"makeup", "make"},
    {"eq", "equaliser"},     {"trim", "digital"},     {"level", "meter"},
};

static bool
means(const char *part, const char *word)
{
    if (strcmp(part, word) == 0)
        return true;
    for (size_t i = 0; i < sizeof synonyms / sizeof *synonyms; i++)
        if (strcmp(part, synonyms[i][0]) == 0 && strcmp(word, synonyms[i][1]) == 0)
            return true;
    return false;
}

/* ---- indexes ---- */

/* What the number behind `word` counts. */
static enum index_kind
kind_of(const char *word)
{
    static const struct {
        const char *word;
        enum index_kind kind;
    } rows[] = {{"mix", INDEX_MIX},
                {"bus", INDEX_MIX},
                {"aux", INDEX_MIX},
                {"out", INDEX_MIX},
                {"output", INDEX_MIX},
                {"to", INDEX_MIX},
                {"send", INDEX_MIX},
                {"monitor", INDEX_MIX},
                {"group", INDEX_GROUP},
                {"sub", INDEX_GROUP},
                {"band", INDEX_INPUT_EQ_BAND},
                {"eq", INDEX_INPUT_EQ_BAND},
                {"graphic", INDEX_MIX_GRAPHIC_BAND}};

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (strcmp(rows[i].word, word) == 0)
            return rows[i].kind;
    return INDEX_INPUT;
}

static bool
taken(const enum index_kind kinds[INDEXES], int count, enum index_kind kind)
{
    for (int i = 0; i < count; i++)
        if (kinds[i] == kind)
            return true;
    return false;
}

/* Kinds of the numbers in order; how many. A second number behind an unknown word counts mixes. */
static int
kinds_of(const struct address *words, enum index_kind kinds[INDEXES])
{
    int count = 0;

    for (int i = 0; i < words->count && count < INDEXES; i++) {
        enum index_kind kind;

        if (!is_number(words->word[i]))
            continue;
        kind = i > 0 && !is_number(words->word[i - 1]) ? kind_of(words->word[i - 1]) : INDEX_INPUT;
        if (taken(kinds, count, kind))
            kind = kind == INDEX_INPUT ? INDEX_MIX : INDEX_INPUT;
        kinds[count++] = kind;
    }
    return count;
}

/* ---- parameters ---- */

/* How well one part of a parameter's name fits: best where the address ends with it. */
static int
fit(const char *part, const struct address *words)
{
    int best = 0;

    for (int i = 0; i < words->count; i++)
        if (means(part, words->word[i]))
            best = i + 1 == words->count ? 6 : 4;
    return best;
}

/* How well a parameter's name fits: its parts that stand in the address, but for the first, which
 * only says where it is at home; and its indexes. 0: not at all. */
static int
score_of(const struct param *param, const struct address *words,
         const enum index_kind kinds[INDEXES], int indexes)
{
    char name[60], *save = NULL, *part;
    int score = 0, parts = 0;
    bool band = param->column >= INDEX_INPUT_EQ_BAND;

    if ((param->row != INDEX_NONE) + (param->column != INDEX_NONE) != indexes)
        return 0;
    snprintf(name, sizeof name, "%s", param->name);
    strtok_r(name, ".", &save);
    for (; (part = strtok_r(NULL, ".", &save)); parts++)
        score += fit(part, words);
    if (score == 0)
        return 0;
    for (int i = 0; i < indexes; i++)
        score += kinds[i] == param->row || kinds[i] == param->column ||
                         (band && kinds[i] >= INDEX_INPUT_EQ_BAND)
                     ? 1
                     : -3;
    return score - parts;
}

static const char *
guess(const struct address *words, const enum index_kind kinds[INDEXES], int indexes)
{
    const char *name = "...";
    int best = 0;

    for (int i = 0; i < PARAMS; i++) {
        int score = score_of(&params[i], words, kinds, indexes);

        if (score <= best)
            continue;
        best = score;
        name = params[i].name;
    }
    return name;
}

/* ---- groups ---- */

/* The address with every number as '#', for comparing. */
static void
shape_of(const char *address, char shape[LISTEN_ADDRESS_SIZE])
{
    size_t used = 0;

    while (*address) {
        size_t digits = strspn(address, DIGITS);

        shape[used++] = digits > 0 ? '#' : *address;
        address += digits > 0 ? digits : 1;
    }
    shape[used] = '\0';
}

/* How many rows from `first` on have its shape; they are marked as done. */
static size_t
gather(const struct listen_table *table, size_t first, bool *done)
{
    char shape[LISTEN_ADDRESS_SIZE], other[LISTEN_ADDRESS_SIZE];
    size_t members = 0;

    shape_of(table->rows[first].address, shape);
    for (size_t i = first; i < table->count; i++) {
        if (done[i])
            continue;
        shape_of(table->rows[i].address, other);
        if (strcmp(shape, other) == 0) {
            done[i] = true;
            members++;
        }
    }
    return members;
}

/* Prints the address with placeholders for its numbers. A leading zero means a fixed width. */
static void
print_address(const char *address, const enum index_kind kinds[INDEXES])
{
    int index = 0;

    while (*address) {
        size_t digits = strspn(address, DIGITS);

        if (digits == 0 || index == INDEXES) {
            putchar(*address++);
            continue;
        }
        printf(*address == '0' && digits > 1 ? "{%s:%zu}" : "{%s}", index_placeholder(kinds[index]),
               digits);
        index++;
        address += digits;
    }
}

static bool
is_plain(const char *address)
{
    return strspn(address, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/_.-:") ==
           strlen(address);
}

/* Many arguments of one type are a run along the bands. */
static bool
is_run(const char *types)
{
    return strlen(types) >= RUN_LEAST &&
           strspn(types, (char[]){types[0], '.', '\0'}) == strlen(types);
}

static void
print_entry(const struct listen_row *row, size_t members)
{
    enum index_kind kinds[INDEXES + 1] = {INDEX_NONE};
    struct address words;
    size_t arguments = strlen(row->types);
    const char *is;
    int indexes;

    if (!is_plain(row->address)) {
        printf("    no entry can be written for \"%s\"\n", row->address);
        return;
    }
    split(&words, row->address);
    indexes = kinds_of(&words, kinds);
    printf(arguments > 1 ? "    { \"answer\": [\"" : "    { \"at\": \"");
    print_address(row->address, kinds);
    if (is_run(row->types))
        kinds[indexes++] = INDEX_MIX_GRAPHIC_BAND;
    is = guess(&words, kinds, indexes);
    if (is_run(row->types)) {
        printf("\", { \"each\": \"band\", \"is\": \"%s\" }] }", is);
    } else if (arguments > 1) {
        printf("\", { \"is\": \"%s\" }", is);
        for (size_t i = 1; i < arguments; i++)
            printf(", \"*\"");
        printf("] }");
    } else {
        printf("\", \"is\": \"%s\"%s }", is, row->untyped ? ", \"untyped\": \"...\"" : "");
    }
    printf("    %zu address%s, last %s%s\n", members, members == 1 ? "" : "es", row->types,
           row->last);
}

size_t
listen_suggest(const struct listen_table *table)
{
    bool *done = need_memory(table->count + 1, sizeof *done);
    size_t groups = 0;

    for (size_t i = 0; i < table->count; i++)
        done[i] = table->rows[i].unread || table->rows[i].result != ROUTE_UNKNOWN_ADDRESS;
    for (size_t i = 0; i < table->count; i++) {
        if (done[i])
            continue;
        if (groups++ == 0)
            output_format(0, 0,
                          "\nAddresses that no entry covers, and an entry for each to look at. "
                          "\"is\" is a guess; a law is needed where the value is not in the "
                          "parameter's unit:");
        if (groups > GROUPS_SHOWN) {
            printf("    and more: the first %d kinds are shown\n", GROUPS_SHOWN);
            break;
        }
        print_entry(&table->rows[i], gather(table, i, done));
    }
    free(done);
    return groups;
}
