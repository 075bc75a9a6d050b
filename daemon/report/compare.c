/* SPDX-License-Identifier: MIT */
#include "report/compare.h"

#include <stdio.h>
#include <stdlib.h>

#include "advice/scale.h"
#include "core/need.h"

static bool
shows_then(const struct compare_finding *row)
{
    return row->change == FINDING_FIXED || row->change == FINDING_NOT_JUDGED;
}

const struct finding *
compare_shown(const struct compare_finding *row)
{
    return shows_then(row) ? row->then : row->now;
}

const struct engine *
compare_engine(const struct compare *compare, const struct compare_finding *row)
{
    return shows_then(row) ? compare->then : compare->now;
}

/* ---- gathering ---- */

/* The list with room for one more. */
static void *
grown(void *list, size_t count, size_t size)
{
    /* powers of two: a list grows when it is full */
    if (count != 0 && (count & (count - 1)) != 0)
        return list;
    list = need_more(list, (count == 0 ? 1 : count * 2), size);
    return list;
}

static void
keep_finding(void *context, enum finding_change change, const struct finding *then,
             const struct finding *now)
{
    struct compare *compare = context;
    struct compare_finding *row;

    if ((now ? now : then)->check->number == CHECK_MOVED_FROM_APPROVED)
        return; /* the list of what moved says it */
    compare->findings = grown(compare->findings, compare->finding_count, sizeof *compare->findings);
    row = &compare->findings[compare->finding_count++];
    *row = (struct compare_finding){change, then, now};
    compare->of[change]++;
}

/* The card that moves the control; a preamp is one for all inputs that it feeds. */
static size_t
card_of(const struct compare *compare, const struct compare_value *value)
{
    const int *preamp_of = compare->offsets->preamp_of;
    size_t card = plan_card_moving(compare->plan, value->id, value->row, value->column);

    if (value->id != PARAM_INPUT_PREAMP_GAIN)
        return card;
    for (int input = 0; input < compare->offsets->inputs && card == PLAN_NO_CARD; input++)
        if (preamp_of[input] == preamp_of[value->row])
            card = plan_card_moving(compare->plan, value->id, input, 0);
    return card;
}

/* What balanced an offset may go back: then the offset does, too. */
static enum compare_stands
stands_of(const struct compare *compare, const struct compare_value *value)
{
    if (value->card == PLAN_NO_CARD &&
        offsets_fold(compare->offsets, value->id, value->row, value->column))
        return COMPARE_FOLDED;
    if (sure_and(
            difference_dormant(engine_desk(compare->then), value->id, value->row, value->column),
            difference_dormant(engine_desk(compare->now), value->id, value->row, value->column)) ==
        SURE_YES)
        return COMPARE_ASLEEP;
    return COMPARE_DIFFERS;
}

static void
keep_moved(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct compare *compare = context;
    struct compare_value *value;

    compare->moved = grown(compare->moved, compare->moved_count, sizeof *compare->moved);
    value = &compare->moved[compare->moved_count++];
    *value = (struct compare_value){.kind = kind, .id = id, .row = row, .column = column};
    value->card = card_of(compare, value);
    value->stands = stands_of(compare, value);
    compare->stands[value->stands]++;
    if (value->stands != COMPARE_DIFFERS)
        return;
    compare->kinds[params[id].kind]++;
    compare->classes[kind]++;
}

static void
keep_unknown(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct compare *compare = context;

    compare->unknown = grown(compare->unknown, compare->unknown_count, sizeof *compare->unknown);
    compare->unknown[compare->unknown_count++] =
        (struct compare_value){.kind = kind, .id = id, .row = row, .column = column};
}

/* An engine for the desk as it was approved, with tonight's show; it takes the desk over. */
static struct engine *
engine_of_then(const struct session *session, struct desk *desk)
{
    struct problems problems = {0};
    struct show *show = session_show(session, &problems);
    struct engine *engine;

    if (!show)
        abort(); /* the file was good a moment ago */
    engine = engine_new(desk, show, *engine_checks(session->engine));
    engine_set_proofs(engine, engine_proofs(session->engine));
    engine_set_day(engine, clock_day());
    engine_run(engine, 0, NULL, NULL);
    return engine;
}

/* ---- what it weighs ---- */

static int
by_number(double one, double other)
{
    return one > other ? -1 : one < other;
}

/* In the order of the walk: by class, parameter and place. */
static int
by_place(const struct compare_value *a, const struct compare_value *b)
{
    if (a->kind != b->kind)
        return (int)a->kind - (int)b->kind;
    if (a->id != b->id)
        return (int)a->id - (int)b->id;
    return a->row != b->row ? a->row - b->row : a->column - b->column;
}

/* The loudest upwards first, then downwards, then what moves no path gain, heavy before light. */
static int
by_loudness(const void *one, const void *other)
{
    const struct compare_value *a = one, *b = other;
    int order = (int)a->stands - (int)b->stands;

    if (order == 0)
        order = by_number(a->effect.louder_db, b->effect.louder_db);
    if (order == 0)
        order = by_number(a->effect.softer_db, b->effect.softer_db);
    if (order == 0)
        order = (int)b->weight - (int)a->weight;
    return order != 0 ? order : by_place(a, b);
}

static void
weigh(struct compare *compare, const struct ground *ground)
{
    struct scale *scale = scale_new(ground, engine_checks(compare->now), compare->offsets);

    for (size_t i = 0; i < compare->moved_count; i++) {
        struct compare_value *value = &compare->moved[i];

        if (value->stands != COMPARE_DIFFERS)
            continue;
        value->effect = effect_of(compare->offsets, value->id, value->row, value->column);
        value->weight = scale_weigh(scale, value->id, value->row, value->column);
    }
    scale_free(scale);
    if (compare->moved_count > 0)
        qsort(compare->moved, compare->moved_count, sizeof *compare->moved, by_loudness);
}

void
compare_gather(struct compare *compare)
{
    const struct session *session = compare->session;
    const struct desk *then, *now = engine_desk(session->engine);
    struct ground ground = {.desk = now, .show = engine_show(session->engine)};
    struct plan_wish wish = {.ground = &ground,
                             .set = engine_checks(session->engine),
                             .day = clock_day(),
                             .ways = PLAN_ALL_BACK};

    compare->now = session->engine;
    compare->then = engine_of_then(session, compare->saved->desk);
    compare->saved->desk = NULL; /* the engine's now */
    then = ground.approved = engine_desk(compare->then);
    engine_set_approved(compare->now, desk_copy(then));
    engine_run(compare->now, 0, NULL, NULL);
    compare->offsets = offsets_new(then, now);
    compare->plan = plan_new(&wish);
    difference_findings(compare->then, compare->now, keep_finding, compare);
    compare->counts = difference_all(then, now, keep_moved, compare);
    difference_not_known(then, now, keep_unknown, compare);
    weigh(compare, &ground);
}

void
compare_release(struct compare *compare)
{
    plan_free(compare->plan);
    offsets_free(compare->offsets);
    engine_free(compare->then);
    free(compare->findings);
    free(compare->moved);
    free(compare->unknown);
}

/* ---- words ---- */

const char *
compare_says(const struct compare *compare, const struct compare_value *value,
             char says[COMPARE_SAYS_SIZE])
{
    struct text text;

    text_init(&text, says, COMPARE_SAYS_SIZE);
    difference_says(&text, engine_desk(compare->then), engine_desk(compare->now), value->id,
                    value->row, value->column);
    return says;
}

const char *
compare_owner(const struct compare *compare, const struct compare_value *value,
              char object[REPORT_OBJECT_SIZE])
{
    bool input = params[value->id].row == INDEX_INPUT, mix = params[value->id].row == INDEX_MIX;

    if (params[value->id].row == INDEX_GROUP)
        snprintf(object, REPORT_OBJECT_SIZE, "group %d", value->row + 1);
    else
        report_object(compare->now, (struct object){input ? value->row : -1, mix ? value->row : -1},
                      object);
    return object;
}

const char *
compare_side(bool before)
{
    return before ? "in the reference" : "now";
}

/* ---- what it comes to ---- */

size_t
compare_kinds(const struct compare *compare)
{
    size_t count = 0;

    for (int kind = 0; kind < DIFFERENCE_KINDS; kind++)
        if (kind != DIFFERENCE_OF_LABELS)
            count += compare->kinds[kind];
    return count;
}

/* How many settings drifted from the approved desk. */
static size_t
drift_of(const struct compare *compare)
{
    size_t drift = 0;

    for (int kind = 0; kind < DIFFERENCE_CLASSES; kind++)
        if (difference_is_drift((enum difference_class)kind))
            drift += compare->classes[kind];
    return drift;
}

int
compare_status(const struct compare *compare)
{
    const size_t *paths = compare->offsets->of;
    size_t other =
        compare->reference ? compare_kinds(compare) + paths[PATH_DIFFERS] : drift_of(compare);
    size_t unknown = compare->unknown_count + (compare->reference ? paths[PATH_NOT_KNOWN] : 0);

    if (compare->of[FINDING_NEW] + compare->of[FINDING_WORSE] + other > 0)
        return EXIT_FINDINGS;
    return unknown + compare->of[FINDING_NOT_JUDGED] > 0 ? EXIT_NOT_KNOWN : EXIT_CLEAN;
}
