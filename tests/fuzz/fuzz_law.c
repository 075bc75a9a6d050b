/* SPDX-License-Identifier: MIT */
/* Bytes as a law and what meets it:
 *     a parameter's name, or anything else for send.level
 *     a text from the wire
 *     the law, JSON of any number of lines, up to a NUL or the end
 *     behind the NUL: numbers from the wire, doubles of this machine
 */
#include <assert.h>
#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "fuzz.h"
#include "law_wire.h"
#include "profile/law.h"

enum { WIRES_MOST = 300 };

struct trial {
    enum param_id param;
    char *text; /* the whole input, with a NUL behind it */
    const char *wire_text;
    const char *json;
    double wires[WIRES_MOST]; /* in rising order, no NaN */
    size_t wire_count;
};

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    return 0;
}

/* ---- the input ---- */

static char *
cut_line(char *text)
{
    char *end = strchr(text, '\n');

    if (!end)
        return text + strlen(text);
    *end = '\0';
    return end + 1;
}

static void
add_wire(struct trial *trial, double wire)
{
    if (!isnan(wire) && trial->wire_count < WIRES_MOST)
        trial->wires[trial->wire_count++] = wire;
}

/* A number, its neighbours, and one a little further. */
static void
add_place(struct trial *trial, double wire)
{
    add_wire(trial, wire);
    add_wire(trial, nextafter(wire, -HUGE_VAL));
    add_wire(trial, nextafter(wire, HUGE_VAL));
    add_wire(trial, wire + 1e-4);
}

static void
read_trial(struct trial *trial, const uint8_t *bytes, size_t length)
{
    size_t text_length;
    char *at;

    *trial = (struct trial){.text = malloc(length + 1)};
    assert(trial->text);
    memcpy(trial->text, bytes, length);
    trial->text[length] = '\0';
    text_length = strlen(trial->text);
    for (size_t next = text_length + 1; next + 8 <= length; next += 8) {
        double wire;

        memcpy(&wire, bytes + next, 8);
        add_place(trial, wire);
    }
    trial->wire_text = at = cut_line(trial->text);
    trial->json = cut_line(at);
    trial->param = param_find(trial->text);
    if (trial->param == PARAMS)
        trial->param = PARAM_SEND_LEVEL;
}

static int
by_number(const void *one, const void *other)
{
    double a = *(const double *)one, b = *(const double *)other;

    return (a > b) - (a < b);
}

static void
add_wires_of(struct trial *trial, const struct law *law)
{
    static const double always[] = {0, -1, 1, 1e9, -1e9, DBL_MAX, -DBL_MAX, HUGE_VAL, -HUGE_VAL};

    for (size_t i = 0; i < sizeof always / sizeof *always; i++)
        add_place(trial, always[i]);
    for (size_t i = 0; law->points && i < law->count; i++) {
        add_place(trial, law->points[i].wire);
        if (i > 0)
            add_wire(trial, law->points[i - 1].wire / 2 + law->points[i].wire / 2);
    }
    for (size_t i = 0; i < law->word_count; i++)
        add_place(trial, law->words[i].wire);
    qsort(trial->wires, trial->wire_count, sizeof *trial->wires, by_number);
}

/* ---- what must hold ---- */

static void
check_number(const char *text)
{
    double number = 0;

    if (!law_parse_number(text, &number))
        return;
    assert(!isnan(number) && number != HUGE_VAL);
    if (number == -HUGE_VAL) /* only where the text says so */
        assert(strcasestr(text, "-inf") || strcasestr(text, "-oo"));
}

static bool
has_off(const struct law *law)
{
    for (size_t i = 0; i < law->count; i++)
        if (law->points[i].value == -HUGE_VAL)
            return true;
    for (size_t i = 0; i < law->word_count; i++)
        if (law->words[i].value == -HUGE_VAL)
            return true;
    return law->kind == LAW_AMPLITUDE || law->otherwise.value == -HUGE_VAL;
}

/* Some wire value says nothing. */
static bool
has_nothing(const struct law *law)
{
    for (size_t i = 0; i < law->word_count; i++)
        if (isnan(law->words[i].value))
            return true;
    return isnan(law->otherwise.value);
}

static void
check_value(const struct law *law, double wire, double value)
{
    struct travel travel = law_travel(law);

    assert(isfinite(wire));
    assert(isfinite(value) || (value == -HUGE_VAL && has_off(law)) ||
           (isnan(value) && has_nothing(law)));
    if (!isnan(travel.least) && value != -HUGE_VAL && !law->words)
        assert(value >= travel.least && value <= travel.most);
}

/* Laws of points rise or fall throughout, and only one end may be off. */
static void
check_points(const struct law *law)
{
    for (size_t i = 0; law->points && i < law->count; i++) {
        const struct law_point *point = &law->points[i];

        assert(isfinite(point->wire));
        assert(isfinite(point->value) || (point->value == -HUGE_VAL && law->kind == LAW_LINE &&
                                          (i == 0 || i == law->count - 1)));
        assert(law->kind != LAW_RATIO || point->value > 0);
        assert(i == 0 || point->wire > point[-1].wire);
        assert(i < 2 || (point->value > point[-1].value) == (point[-1].value > point[-2].value));
        assert(i == 0 || point->value != point[-1].value);
    }
}

/* 1, -1, or 0 for a table, which has no direction, and for what stands behind one. */
static int
direction_of(const struct law *law)
{
    if (law->words)
        return 0;
    switch (law->kind) {
    case LAW_LINE:
    case LAW_RATIO:
        return law->points[0].value < law->points[law->count - 1].value ? 1 : -1;
    case LAW_TIMES:
        return law->factor > 0 ? 1 : -1;
    case LAW_WORDS:
    case LAW_ELSE:
        return 0;
    case LAW_NONE:
    case LAW_AMPLITUDE:
        break;
    }
    return 1;
}

/* The largest magnitude of a value and of a wire number of the law's points, or of this one. */
static void
reach_of(const struct law *law, double wire, double value, double *wires, double *values)
{
    *wires = fabs(wire);
    *values = isfinite(value) ? fabs(value) : 0;
    for (size_t i = 0; law->points && i < law->count; i++) {
        *wires = fmax(*wires, fabs(law->points[i].wire));
        if (isfinite(law->points[i].value))
            *values = fmax(*values, fabs(law->points[i].value));
    }
}

/* Both wire numbers that are a few roundings away, so far as the law has values there. */
static void
values_beside(const struct law *law, double wire, double reach, double *least, double *most)
{
    double beside[2];

    for (int i = 0; i < 2; i++)
        if (!law_value(law, wire + (i == 0 ? -8 : 8) * DBL_EPSILON * reach, &beside[i]))
            law_value(law, wire, &beside[i]);
    *least = fmin(beside[0], beside[1]);
    *most = fmax(beside[0], beside[1]);
}

/* The value leads to a wire number that means the value again: it lies between what the numbers a
 * few roundings to either side mean, give or take a few roundings of the values themselves. */
static void
check_inverse(const struct law *law, double wire, double value)
{
    double back, again, least, most, wires, values;

    /* where the wire number itself has no 15 digits, or rounding passes the largest double */
    if (isnan(value) || (law->words && law->kind != LAW_WORDS)) /* a table stands before it */
        return;
    if (fabs(wire) > 1e300 || (law->kind == LAW_AMPLITUDE && wire != 0 && wire < 1e-300))
        return;
    assert(law_wire(law, value, &back));
    assert(law_value(law, back, &again));
    reach_of(law, wire, value, &wires, &values);
    values_beside(law, back, wires, &least, &most);
    if (value == -HUGE_VAL || again == -HUGE_VAL || law->kind == LAW_WORDS) {
        assert(again == value || least == value || most == value);
        return;
    }
    values = 64 * DBL_EPSILON * values + 4 * DBL_TRUE_MIN;
    assert(value >= least - values && value <= most + values);
}

static void
check_law(const struct trial *trial, const struct law *law)
{
    int direction = direction_of(law);
    double before = NAN, value = NAN;

    check_points(law);
    assert(!law_value(law, NAN, &value));
    for (size_t i = 0; i < trial->wire_count; i++) {
        double wires, values;

        if (!law_value(law, trial->wires[i], &value))
            continue;
        check_value(law, trial->wires[i], value);
        check_inverse(law, trial->wires[i], value);
        reach_of(law, 0, value, &wires, &values);
        /* where two segments meet, rounding may turn back by a bit or two */
        if (!isnan(before) && isfinite(before) && isfinite(value))
            assert(direction * value >= direction * before - 4 * DBL_EPSILON * values ||
                   direction == 0);
        else if (!isnan(before) && before != value && direction != 0)
            assert((value == -HUGE_VAL) == (direction < 0));
        before = value;
    }
}

/* What a table gives its parameter, the parameter takes. */
static void
check_bound(const struct trial *trial, const struct law *law)
{
    double value;

    for (size_t i = 0; i < law->word_count; i++) {
        const struct law_word *word = &law->words[i];

        if (word->wire_text)
            assert(law_value_of_text(law, word->wire_text, &value));
        else
            assert(law_value(law, word->wire, &value));
        assert(isnan(value) || param_accepts(trial->param, value));
    }
    if (law->kind == LAW_ELSE)
        assert(isnan(law->otherwise.value) || param_accepts(trial->param, law->otherwise.value));
    if (law_value_of_text(law, trial->wire_text, &value))
        assert(!isnan(value) || has_nothing(law));
}

static void
try_law(struct trial *trial, const struct law *law, const struct where *where)
{
    static const struct law none; /* an entry without a law */
    size_t before = where->problems->count;
    struct law bound;
    bool good;

    add_wires_of(trial, law);
    check_law(trial, law);
    check_law(trial, &none);
    good = law_bind(&bound, law, trial->param, where);
    assert(good == (where->problems->count == before));
    if (good) {
        check_law(trial, &bound);
        check_bound(trial, &bound);
    }
    law_release(&bound);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct trial trial;
    struct problems problems = {0};
    struct json *json;

    read_trial(&trial, bytes, length);
    check_number(trial.wire_text);
    json = json_parse(trial.json, strlen(trial.json), "fuzz", &problems);
    if (json) {
        struct where where = where_file("fuzz", json, &problems);
        struct law law;

        law_read(&law, "law", &where);
        if (problems.count == 0)
            try_law(&trial, &law, &where);
        law_release(&law);
    }
    json_free(json);
    problems_release(&problems);
    free(trial.text);
    return 0;
}
