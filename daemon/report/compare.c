/* SPDX-License-Identifier: MIT */
#include "report/compare.h"

#include <stdio.h>
#include <stdlib.h>

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

    compare->findings = grown(compare->findings, compare->finding_count, sizeof *compare->findings);
    row = &compare->findings[compare->finding_count++];
    *row = (struct compare_finding){change, then, now};
    compare->of[change]++;
}

static enum compare_stands
stands_of(const struct compare *compare, enum param_id id, int row, int column)
{
    if (!compare->offsets)
        return COMPARE_DIFFERS;
    if (offsets_fold(compare->offsets, id, row, column))
        return COMPARE_FOLDED;
    if (difference_dormant(engine_desk(compare->then), id, row, column) &&
        difference_dormant(engine_desk(compare->now), id, row, column))
        return COMPARE_ASLEEP;
    return COMPARE_DIFFERS;
}

static void
keep_moved(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct compare *compare = context;
    enum compare_stands stands = stands_of(compare, id, row, column);

    compare->moved = grown(compare->moved, compare->moved_count, sizeof *compare->moved);
    compare->moved[compare->moved_count++] = (struct compare_value){kind, id, row, column, stands};
    compare->stands[stands]++;
    if (stands == COMPARE_DIFFERS)
        compare->kinds[params[id].kind]++;
}

static void
keep_unknown(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct compare *compare = context;

    compare->unknown = grown(compare->unknown, compare->unknown_count, sizeof *compare->unknown);
    compare->unknown[compare->unknown_count++] =
        (struct compare_value){kind, id, row, column, COMPARE_DIFFERS};
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
    engine_set_day(engine, clock_day());
    engine_run(engine, 0, NULL, NULL);
    return engine;
}

void
compare_gather(struct compare *compare, bool reference)
{
    const struct session *session = compare->session;
    const struct desk *then, *now = engine_desk(session->engine);

    compare->now = session->engine;
    compare->then = engine_of_then(session, compare->saved->desk);
    compare->saved->desk = NULL; /* the engine's now */
    then = engine_desk(compare->then);
    if (reference)
        compare->offsets = offsets_new(then, now);
    difference_findings(compare->then, compare->now, keep_finding, compare);
    compare->counts = difference_all(then, now, keep_moved, compare);
    difference_not_known(then, now, keep_unknown, compare);
}

void
compare_release(struct compare *compare)
{
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
compare_line(const struct compare *compare, const struct compare_value *value,
             char line[COMPARE_LINE_SIZE])
{
    char object[REPORT_OBJECT_SIZE], says[COMPARE_SAYS_SIZE];

    snprintf(line, COMPARE_LINE_SIZE, "%s: %s", compare_owner(compare, value, object),
             compare_says(compare, value, says));
    return line;
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

/* What drifted from the approved desk. */
static size_t
drift_of(const struct compare *compare)
{
    size_t drift = 0;

    for (int kind = 0; kind < DIFFERENCE_CLASSES; kind++)
        if (difference_is_drift((enum difference_class)kind))
            drift += compare->counts.of[kind];
    return drift;
}

int
compare_status(const struct compare *compare)
{
    const struct offsets *offsets = compare->offsets;
    size_t other = offsets ? compare_kinds(compare) + offsets->of[PATH_DIFFERS] : drift_of(compare);
    size_t unknown = compare->unknown_count + (offsets ? offsets->of[PATH_NOT_KNOWN] : 0);

    if (compare->of[FINDING_NEW] + compare->of[FINDING_WORSE] + other > 0)
        return EXIT_FINDINGS;
    return unknown + compare->of[FINDING_NOT_JUDGED] > 0 ? EXIT_NOT_KNOWN : EXIT_CLEAN;
}
