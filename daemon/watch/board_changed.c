/* SPDX-License-Identifier: MIT */
#include "watch/board_changed.h"

#include <math.h>

#include "change/difference.h"
#include "check/check.h"
#include "desk/words.h"
#include "report/report.h"
#include "watch/board_text.h"
#include "watch/changed.h"
#include "watch/handles.h"

struct taken {
    const struct watch_desk *desk;
    struct json *list;
    int mix;
    size_t count, most;
};

static bool
is_of_mix(const struct shift *change, int mix)
{
    return mix < 0 || (params[change->id].row == INDEX_MIX && change->row == mix) ||
           (params[change->id].column == INDEX_MIX && change->column == mix);
}

/* ---- what ---- */

static void
add_object(const struct watch_desk *desk, const struct shift *change, struct text *text)
{
    enum index_kind kind = params[change->id].row;
    struct object object = {kind == INDEX_INPUT ? change->row : -1,
                            kind == INDEX_MIX ? change->row : -1};
    char name[REPORT_OBJECT_SIZE];

    if (kind == INDEX_GROUP)
        text_add(text, "group %d: ", change->row + 1);
    else
        text_add(text, "%s: ", report_object(desk->session->engine, object, name));
}

static void
add_what(const struct watch_desk *desk, const struct shift *change, struct json *json)
{
    const struct desk *model = engine_desk(desk->session->engine);
    char what[400];
    struct text text;

    text_init(&text, what, sizeof what);
    add_object(desk, change, &text);
    difference_place(&text, model, change->id, change->row, change->column);
    text_add(&text, " ");
    words_number(&text, change->id, change->from);
    text_add(&text, " -> ");
    words_number(&text, change->id, change->to);
    board_add_text(json, "what", what);
}

static const char *
arrow_of(const struct shift *change)
{
    if (params[change->id].unit != UNIT_DB)
        return "";
    return change->to > change->from ? "up" : "down";
}

/* ---- how it stands ---- */

static bool
has_jumped(const struct watch_desk *desk, const struct shift *change)
{
    size_t count = 0, i = 0;
    const struct jump *jumps = moves_jumps(engine_moves(desk->session->engine), &count);

    while (i < count && (jumps[i].id != change->id || jumps[i].row != change->row ||
                         jumps[i].column != change->column))
        i++;
    return i < count;
}

/* Which check says it. */
static int
check_of(const struct watch_desk *desk, const struct shift *change)
{
    if (has_jumped(desk, change))
        return CHECK_VALUE_JUMPED;
    return params[change->id].class == DIFFERENCE_PROTECTION ? CHECK_PROTECTION_LOST
                                                             : CHECK_MOVED_FROM_APPROVED;
}

/* What stands because of it; NULL: nothing does, or nothing that is told. */
static const struct finding *
finding_of(const struct watch_desk *desk, const struct shift *change)
{
    const struct engine *engine = desk->session->engine;
    enum index_kind kind = params[change->id].row;
    struct object object = {kind == INDEX_INPUT ? change->row : -1,
                            kind == INDEX_MIX ? change->row : -1};
    int check = check_of(desk, change);
    size_t slot = engine_find(engine, check, object);
    const struct finding *finding = slot < engine_slots(engine) ? engine_slot(engine, slot) : NULL;

    if (!finding || !finding->told || finding->accept >= 0 ||
        (check == CHECK_MOVED_FROM_APPROVED && !difference_is_drift(params[change->id].class)))
        return NULL;
    return finding;
}

static void
add_now(const struct watch_desk *desk, const struct shift *change, struct json *json)
{
    const struct finding *finding = finding_of(desk, change);
    char now[300], span[CLOCK_SIZE];
    struct brief brief;
    struct text text;

    text_init(&text, now, sizeof now);
    if (change->back_ms != INT64_MAX && change->at_ms != INT64_MIN) {
        text_add(&text, "ended after %s", clock_span(change->back_ms - change->at_ms, span));
    } else if (change->back_ms != INT64_MAX) {
        text_add(&text, "ended");
    } else if (finding) {
        engine_brief(desk->session->engine, finding, false, &brief);
        text_add(&text, "open%s%s", *brief.cure ? ", " : "", brief.cure);
    }
    board_add_text(json, "now", now);
}

/* ---- the list ---- */

static bool
on_change(void *context, const struct shift *change)
{
    struct taken *taken = context;
    struct json *json;
    char at[CLOCK_SIZE] = "";

    if (!is_of_mix(change, taken->mix))
        return true;
    json = json_new_object();
    if (change->at_ms != INT64_MIN)
        board_time(taken->desk, change->at_ms, at);
    json_add_string(json, "at", at);
    json_add_string(json, "arrow", arrow_of(change));
    add_what(taken->desk, change, json);
    add_now(taken->desk, change, json);
    json_add(taken->list, NULL, json);
    return ++taken->count < taken->most;
}

struct json *
board_changed(const struct watch_desk *desk, int mix, size_t most)
{
    struct taken taken = {desk, json_new_array(), mix, 0, most};

    changed_each(desk->changed, on_change, &taken);
    return taken.list;
}
