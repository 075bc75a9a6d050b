/* SPDX-License-Identifier: MIT */
#include "listen/guess.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

void
guess_split(struct guess_words *words, const char *address)
{
    words->count = 0;
    while (*address && words->count < GUESS_WORDS) {
        char *word = words->word[words->count];
        int length = 0;
        bool digits = isdigit((unsigned char)*address);

        while (isalnum((unsigned char)*address) &&
               (isdigit((unsigned char)*address) != 0) == digits && length < GUESS_WORD_SIZE - 1)
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
is_taken(const struct guess_indexes *indexes, enum index_kind kind)
{
    for (int i = 0; i < indexes->count; i++)
        if (indexes->kind[i] == kind)
            return true;
    return false;
}

/* A second number behind an unknown word counts mixes. */
enum index_kind
guess_index(const struct guess_words *words, int which, const struct guess_indexes *before)
{
    enum index_kind kind = INDEX_INPUT;

    for (int i = 0; i < words->count; i++) {
        if (!is_number(words->word[i]) || which-- > 0)
            continue;
        if (i > 0 && !is_number(words->word[i - 1]))
            kind = kind_of(words->word[i - 1]);
        break;
    }
    if (is_taken(before, kind))
        kind = kind == INDEX_INPUT ? INDEX_MIX : INDEX_INPUT;
    return kind;
}

/* Whose words come first are first; bands come last. */
enum index_kind
guess_argument(const struct guess_words *words, const struct guess_indexes *before)
{
    enum index_kind found = INDEX_INPUT;
    bool bands = false, inputs = false;

    for (int i = 0; i < words->count; i++) {
        enum index_kind kind = kind_of(words->word[i]);

        bands |= kind >= INDEX_INPUT_EQ_BAND;
        inputs |= strcmp(words->word[i], "in") == 0 || strcmp(words->word[i], "input") == 0;
        if (kind == INDEX_MIX && !inputs && before->count == 0)
            found = INDEX_MIX;
    }
    if (before->count == 0)
        return found;
    return bands ? INDEX_INPUT_EQ_BAND : INDEX_MIX;
}

/* ---- parameters ---- */

/* How well one part of a parameter's name fits: best where the address ends with it. */
static int
fit(const char *part, const struct guess_words *words)
{
    int best = 0;

    for (int i = 0; i < words->count; i++)
        if (means(part, words->word[i]))
            best = i + 1 == words->count ? 6 : 4;
    return best;
}

/* By each part of the parameter's name behind where it is at home; and its indexes. 0: not at all. */
static int
score_of(const struct param *param, const struct guess_words *words,
         const struct guess_indexes *indexes)
{
    char name[60], *save = NULL, *part;
    int score = 0, parts = 0;
    bool band = param->column >= INDEX_INPUT_EQ_BAND;

    if ((param->row != INDEX_NONE) + (param->column != INDEX_NONE) != indexes->count)
        return 0;
    snprintf(name, sizeof name, "%s", param->name);
    strtok_r(name, ".", &save);
    for (; (part = strtok_r(NULL, ".", &save)); parts++)
        score += fit(part, words);
    if (score == 0)
        return 0;
    for (int i = 0; i < indexes->count; i++)
        score += indexes->kind[i] == param->row || indexes->kind[i] == param->column ||
                         (band && indexes->kind[i] >= INDEX_INPUT_EQ_BAND)
                     ? 1
                     : -3;
    return score - parts;
}

enum param_id
guess_param(const struct guess_words *words, const struct guess_indexes *indexes)
{
    enum param_id found = PARAMS;
    int best = 0;

    for (enum param_id i = 0; i < PARAMS; i++) {
        int score = score_of(&params[i], words, indexes);

        if (score <= best)
            continue;
        best = score;
        found = i;
    }
    return found;
}
