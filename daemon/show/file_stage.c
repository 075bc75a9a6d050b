/* SPDX-License-Identifier: MIT */
/* Who plays into which input, and what each mix feeds: "inputs" and "mixes" of the show file. */
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>

#include "desk/source.h"
#include "show/file_parts.h"

/* ---- words ---- */

static const char *
source_word(size_t i)
{
    return i < (size_t)source_count ? sources[i].id : NULL;
}

static const char *
source_help(size_t i, char buffer[200])
{
    static const char *const phantom[] = {"", ", 48 V needed", ", 48 V not needed"};
    const struct source *source = &sources[i];

    snprintf(buffer, 200, "usual high-pass %s%g to %g Hz%s",
             source->wants_high_pass ? "" : "off or ", source->corner_low_hz,
             source->corner_high_hz, phantom[source->phantom]);
    return buffer;
}

static const char *
microphone_word(size_t i)
{
    return i + 1 < MICROPHONES ? microphone_name((enum microphone)(i + 1)) : NULL;
}

static const char *
feeds_word(size_t i)
{
    return i + 1 < FEEDS_COUNT ? feeds_name((enum feeds)(i + 1)) : NULL;
}

static const struct field_words source_words = {
    .word = source_word,
    .help = source_help,
    .unknown = "unknown kind of source",
    .nearest = true,
    .look = "`gainwarden explain sources` lists them",
};
static const struct field_words microphone_words = {.word = microphone_word,
                                                    .first = MICROPHONE_UNKNOWN + 1};
static const struct field_words feeds_words = {.word = feeds_word,
                                               .first = FEEDS_UNKNOWN + 1,
                                               .unknown = "unknown kind of mix",
                                               .nearest = true};
static const struct field_words owner_words = {
    .list = (const char *const[]){"house", "monitor", NULL}, .quoted = true};
static const struct field_words also_words = {
    .list = (const char *const[]){"recording", "stream", NULL},
    .first = ALSO_FEEDS_RECORDING,
    .quoted = true};
static const struct field_words limiter_words = {
    .list = (const char *const[]){"transmitter", "desk", NULL}, .quoted = true};
static const struct field_words tuned_words = {
    .list = (const char *const[]){"desk", "amplifier", NULL}, .quoted = true};

/* ---- one input, one mix ---- */

const struct field show_input_fields[] = {
    {"source", FIELD_WORD, "what plays into the input", FIELD_AT(struct show_input, source),
     .turn = 1, .words = &source_words},
    {"player", FIELD_NAME, "who plays or sings into it", FIELD_AT(struct show_input, player)},
    {"preamp_owner", FIELD_CHOICE, "which desk's preamp it is that feeds the input",
     FIELD_AT(struct show_input, house_preamp), .turn = 1, .words = &owner_words,
     .preset = FIELD_PRESET(1)},
    {"also_feeds", FIELD_WORD, "what hears the preamp besides the mixes",
     FIELD_AT(struct show_input, also_feeds), .turn = 1, .words = &also_words},
    {"lowest_hz", FIELD_NUMBER, "this player's lowest note", FIELD_AT(struct show_input, lowest_hz),
     .turn = 2, .least = 10, .most = 5000, .what = "a frequency", .unit = "Hz"},
    {"microphone", FIELD_WORD, "what is plugged in, as far as 48 V is concerned",
     FIELD_AT(struct show_input, microphone), .turn = 1, .words = &microphone_words},
    {.help = "one input"},
};

const struct field show_mix_fields[] = {
    {"feeds", FIELD_WORD, "what the mix ends in", FIELD_AT(struct show_mix, feeds), .turn = 1,
     .words = &feeds_words},
    {"player", FIELD_NAME, "who listens to it", FIELD_AT(struct show_mix, player)},
    {"limiter", FIELD_CHOICE, "where the limiter of an in-ear mix is",
     FIELD_AT(struct show_mix, limited_elsewhere), .turn = 1, .words = &limiter_words,
     .preset = FIELD_PRESET(1)},
    {"tuned_in", FIELD_CHOICE,
     "where the loudspeaker is tuned; desk: the mix's parametric equaliser is no ring-out",
     FIELD_AT(struct show_mix, tuned_here), .turn = 1, .words = &tuned_words,
     .preset = FIELD_PRESET(1)},
    {.help = "one mix"},
};

/* ---- all of them, under their numbers ---- */

/* The 0-based number that a key "7" stands for, or -1 with a problem. */
static int
number_of_key(const struct where *where, int count, const char *what)
{
    char *end;
    long number = isdigit((unsigned char)*where->key) ? strtol(where->key, &end, 10) : 0;

    if (number >= 1 && number <= count && !*end)
        return (int)number - 1;
    where_problem(where, "the desk has %s 1 to %d", what, count);
    return -1;
}

void
show_take_numbered(const struct field_given *given)
{
    const struct field *fields = given->field->object;
    struct show *show = given->into;
    bool mixes = fields == show_mix_fields;
    int count = mixes ? show->mix_count : show->input_count;

    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        int i = number_of_key(&one, count, given->field->key);

        if (i >= 0)
            fields_read(fields, &one, mixes ? (void *)&show->mixes[i] : &show->inputs[i], NULL);
    }
}
