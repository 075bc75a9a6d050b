/* SPDX-License-Identifier: MIT */
#include "dialects.h"

#include <string.h>

/* clang-format off */
#define WHOLE(of, question, reply, how) \
    { .scope = of, .ask = question, .answer = reply, .whole = true, .style = how }
#define RUN(of, question, reply, along, key, how) \
    { .scope = of, .ask = question, .answer = reply, .run_scope = along, .run_key = key, \
      .style = how }
/* The run of the graphic of a mix, and both equalisers: they travel whole in every dialect. */
#define GRAPHIC(question, reply, how) \
    RUN(SCOPE_MIX, question, reply, SCOPE_GRAPHIC, "gain", how)
#define BANDS(how) \
    WHOLE(SCOPE_INPUT_BAND, "/get/eq", "/eq", how), \
    WHOLE(SCOPE_MIX_BAND, "/get/mix-eq", "/mix-eq", how)
#define BLOB(of, address, along, key, as, before) \
    { .scope = of, .ask = address, .answer = address, .run_scope = along, .run_key = key, \
      .style = STYLE_BLOB, .form = as, .skip = before }

static const struct phrase echo_phrases[] = {
    BANDS(STYLE_TYPED),
    GRAPHIC("/mix/#/graphic", "/mix/#/graphic", STYLE_TYPED),
};

static const struct phrase get_answer[] = {
    WHOLE(SCOPE_INPUT_BAND, "/ask/in/#/band/#", "/tell/in/#/band/#", STYLE_TYPED),
    WHOLE(SCOPE_MIX_BAND, "/ask/mix/#/band/#", "/tell/mix/#/band/#", STYLE_TYPED),
    GRAPHIC("/ask/mix/#/graphic", "/tell/mix/#/graphic", STYLE_TYPED),
};

static const struct phrase index_phrases[] = {
    BANDS(STYLE_TYPED),
    GRAPHIC("/get/mix/graphic", "/mix/graphic", STYLE_TYPED),
};

static const struct phrase row_phrases[] = {
    { .scope = SCOPE_INPUT, .ask = "/in/#", .answer = "/in/#", .whole = true,
      .run_scope = SCOPE_INPUT_GROUP, .run_key = "member" },
    RUN(SCOPE_INPUT, "/in/#/levels", "/in/#/levels", SCOPE_SEND, "level", STYLE_TYPED),
    RUN(SCOPE_INPUT, "/in/#/ons", "/in/#/ons", SCOPE_SEND, "on", STYLE_TYPED),
    RUN(SCOPE_INPUT, "/in/#/taps", "/in/#/taps", SCOPE_SEND, "tap", STYLE_TYPED),
    BANDS(STYLE_TYPED),
    WHOLE(SCOPE_MIX, "/mix/#", "/mix/#", STYLE_TYPED),
    GRAPHIC("/mix/#/graphic", "/mix/#/graphic", STYLE_TYPED),
    WHOLE(SCOPE_GROUP, "/group/#", "/group/#", STYLE_TYPED),
    WHOLE(SCOPE_DESK, "/desk", "/desk", STYLE_TYPED),
};

static const struct phrase unit_phrases[] = {
    BANDS(STYLE_UNITS),
    GRAPHIC("/mix/#/graphic", "/mix/#/graphic", STYLE_UNITS),
};

static const struct phrase line_phrases[] = {
    { .scope = SCOPE_INPUT, .ask = "/line/in/#", .answer = "/line/in", .whole = true,
      .run_scope = SCOPE_INPUT_GROUP, .run_key = "member", .style = STYLE_LINE },
    RUN(SCOPE_INPUT, "/line/in/#/levels", "/line/in/#/levels", SCOPE_SEND, "level", STYLE_LINE),
    RUN(SCOPE_INPUT, "/line/in/#/ons", "/line/in/#/ons", SCOPE_SEND, "on", STYLE_LINE),
    RUN(SCOPE_INPUT, "/line/in/#/taps", "/line/in/#/taps", SCOPE_SEND, "tap", STYLE_LINE),
    BANDS(STYLE_LINE),
    WHOLE(SCOPE_MIX, "/line/mix/#", "/line/mix/#", STYLE_LINE_UNITS),
    GRAPHIC("/line/mix/#/graphic", "/line/mix/#/graphic", STYLE_LINE_UNITS),
    WHOLE(SCOPE_GROUP, "/line/group/#", "/line/group/#", STYLE_LINE_UNITS),
    WHOLE(SCOPE_DESK, "/line/desk", "/line/desk", STYLE_LINE_UNITS),
};

static const struct phrase blob_phrases[] = {
    BLOB(SCOPE_DESK, "/in/levels", SCOPE_INPUT, "level", BLOB_INT16_BE, 4),
    BLOB(SCOPE_MIX, "/mix/#/graphic", SCOPE_GRAPHIC, "gain", BLOB_INT16_LE, 0),
    BLOB(SCOPE_DESK, "/in/faders", SCOPE_INPUT, "fader", BLOB_INT32_BE, 0),
    BLOB(SCOPE_DESK, "/in/trims", SCOPE_INPUT, "trim", BLOB_INT32_LE, 0),
    BLOB(SCOPE_INPUT, "/in/#/levels", SCOPE_SEND, "level", BLOB_FLOAT32_BE, 0),
    BLOB(SCOPE_DESK, "/in/gains", SCOPE_INPUT, "gain", BLOB_FLOAT32_LE, 0),
    BLOB(SCOPE_DESK, "/mix/levels", SCOPE_MIX, "level", BLOB_FLOAT32_LE, 8),
    BANDS(STYLE_TYPED),
};

static const struct phrase push_phrases[] = {
    WHOLE(SCOPE_INPUT_BAND, NULL, "/eq", STYLE_TYPED),
    WHOLE(SCOPE_MIX_BAND, NULL, "/mix-eq", STYLE_TYPED),
    GRAPHIC(NULL, "/mix/#/graphic", STYLE_TYPED),
};

/* "band" and not "eq", or one pattern would ask for the equaliser's switch as well. */
static const struct phrase pattern_phrases[] = {
    WHOLE(SCOPE_INPUT_BAND, "/in/#/band/#", "/in/#/band/#", STYLE_TYPED),
    WHOLE(SCOPE_MIX_BAND, "/mix/#/band/#", "/mix/#/band/#", STYLE_TYPED),
    GRAPHIC("/mix/#/graphic", "/mix/#/graphic", STYLE_TYPED),
};

static const struct phrase letter_phrases[] = {
    WHOLE(SCOPE_INPUT_BAND, "/in/#/band/#", "/in/#/band/#", STYLE_TYPED),
    WHOLE(SCOPE_MIX_BAND, "/mix/#/band/#", "/mix/#/band/#", STYLE_TYPED),
    GRAPHIC("/mix/#/graphic", "/mix/#/graphic", STYLE_TYPED),
};

/* The names of a band travel as arguments behind the path. */
static const struct phrase path_phrases[] = {
    WHOLE(SCOPE_INPUT_BAND, "/in/band", "/in/band", STYLE_TYPED),
    WHOLE(SCOPE_MIX_BAND, "/mix/band", "/mix/band", STYLE_TYPED),
    GRAPHIC("/mix/#/graphic", "/mix/#/graphic", STYLE_TYPED),
};

static const struct phrase mixed_phrases[] = {
    WHOLE(SCOPE_INPUT_BAND, "/in/#/band/#", "/in/#/band/#", STYLE_MIXED),
    WHOLE(SCOPE_MIX_BAND, "/mix/#/band/#", "/mix/#/band/#", STYLE_MIXED),
    GRAPHIC("/mix/#/graphic", "/mix/#/graphic", STYLE_MIXED),
    { .scope = SCOPE_INPUT, .ask = "/in/#/hp", .answer = "/in/#/hp", .pair_key = "high_pass" },
    { .scope = SCOPE_MIX, .ask = "/mix/#/hp", .answer = "/mix/#/hp", .pair_key = "high_pass" },
};

/* All of a desk in texts with labels. */
#define LABELLED(how) \
    WHOLE(SCOPE_INPUT, "/in/#", "/in/#", how), \
    RUN(SCOPE_INPUT, "/in/#/groups", "/in/#/groups", SCOPE_INPUT_GROUP, "member", how), \
    RUN(SCOPE_INPUT, "/in/#/levels", "/in/#/levels", SCOPE_SEND, "level", how), \
    RUN(SCOPE_INPUT, "/in/#/ons", "/in/#/ons", SCOPE_SEND, "on", how), \
    RUN(SCOPE_INPUT, "/in/#/taps", "/in/#/taps", SCOPE_SEND, "tap", how), \
    BANDS(how), \
    WHOLE(SCOPE_MIX, "/mix/#", "/mix/#", how), \
    GRAPHIC("/mix/#/graphic", "/mix/#/graphic", how), \
    WHOLE(SCOPE_GROUP, "/group/#", "/group/#", how), \
    WHOLE(SCOPE_DESK, "/desk", "/desk", how)

static const struct phrase label_phrases[] = { LABELLED(STYLE_LABELS) };
static const struct phrase json_phrases[] = { LABELLED(STYLE_JSON) };

#define ALL_OF(list) .phrases = list, .count = sizeof list / sizeof list[0]

const struct dialect dialect_rows[DIALECTS] = {
    { .name = "echo", .help = "values answer at their own address (the default)",
      ALL_OF(echo_phrases), .ask = "", .answer = "", .manner = {.first = 1} },
    { .name = "get-answer", .help = "questions go to /ask/..., answers come from /tell/...",
      ALL_OF(get_answer), .ask = "/ask", .answer = "/tell", .manner = {.first = 1} },
    { .name = "indexes", .help = "numbers of inputs, mixes, ... are arguments, from 0",
      ALL_OF(index_phrases), .ask = "/get", .answer = "", .indices_apart = true },
    { .name = "rows", .help = "one message for a whole input, mix or row of sends",
      ALL_OF(row_phrases), .ask = "", .answer = "", .manner = {.first = 1} },
    { .name = "units", .help = "every value is a text with its unit",
      ALL_OF(unit_phrases), .ask = "", .answer = "", .manner = {.first = 1}, .style = STYLE_UNITS },
    { .name = "lines", .help = "many values in one text line",
      ALL_OF(line_phrases), .ask = "", .answer = "", .manner = {.first = 1} },
    { .name = "blobs", .help = "levels, gains and graphics are numbers in blobs",
      ALL_OF(blob_phrases), .ask = "", .answer = "", .manner = {.first = 1} },
    { .name = "pushes", .help = "answers nothing; everything is pushed after each /stay",
      ALL_OF(push_phrases), .ask = NULL, .answer = "", .manner = {.first = 1}, .sweeps = true },
    { .name = "patterns", .help = "one question with a pattern, an answer from each address",
      ALL_OF(pattern_phrases), .ask = "", .answer = "", .manner = {.first = 1}, .patterns = true },
    { .name = "letters", .help = "names in place of numbers: inputs are A1, A2, ...",
      ALL_OF(letter_phrases), .ask = "", .answer = "", .manner = {.naming = NAMING_LETTERS} },
    { .name = "paths", .help = "what is asked, and told of, stands in a text: /ask /in/A1/trim",
      ALL_OF(path_phrases), .ask = "", .answer = "",
      .manner = {.naming = NAMING_LETTERS, .ask_at = "/ask", .tell_at = "/tell"} },
    { .name = "mixed", .help = "one number for a high-pass and its switch; \"off\" among numbers",
      ALL_OF(mixed_phrases), .ask = "", .answer = "", .manner = {.first = 1}, .style = STYLE_MIXED },
    { .name = "numbered", .help = "a question ends in a number, and only that comes back with values",
      ALL_OF(index_phrases), .ask = "/get", .answer = "", .indices_apart = true,
      .manner = {.first = 1, .reply_at = "/reply"} },
    { .name = "labels", .help = "many values in one text, each behind its name",
      ALL_OF(label_phrases), .ask = "", .answer = "", .manner = {.first = 1} },
    { .name = "json", .help = "many values in one text of JSON",
      ALL_OF(json_phrases), .ask = "", .answer = "", .manner = {.first = 1} },
};
/* clang-format on */

const struct dialect *
dialect_find(const char *name)
{
    for (size_t i = 0; i < DIALECTS; i++)
        if (strcmp(dialect_rows[i].name, name) == 0)
            return &dialect_rows[i];
    return NULL;
}
