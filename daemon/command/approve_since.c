/* SPDX-License-Identifier: MIT */
#include "command/approve_since.h"

#include <stdio.h>

#include "base/output.h"
#include "change/difference.h"
#include "report/findings.h"
#include "report/report.h"

enum { LINES_SHOWN = 30 };

struct since {
    struct engine *engine;
    const struct desk *old;
    struct object object;
    size_t settings, ridden; /* how many changed: what hands leave alone, and what they ride */
};

bool
approve_since_covers(struct object object, int input, int mix)
{
    return (object.input < 0 || object.input == input) && (object.mix < 0 || object.mix == mix);
}

struct object
approve_since_owner(enum param_id id, int row)
{
    return (struct object){params[id].row == INDEX_INPUT ? row : -1,
                           params[id].row == INDEX_MIX ? row : -1};
}

static void
print_changed(const struct since *since, enum param_id id, int row, int column)
{
    char object[REPORT_OBJECT_SIZE], says[300], line[500];
    struct text text;

    text_init(&text, says, sizeof says);
    difference_says(&text, since->old, engine_desk(since->engine), id, row, column);
    if (params[id].row == INDEX_GROUP)
        snprintf(object, sizeof object, "group %d", row + 1);
    else
        report_object(since->engine, approve_since_owner(id, row), object);
    snprintf(line, sizeof line, "%s: %s", object, says);
    output_wrapped(2, 4, line);
}

static void
take_changed(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct since *since = context;
    struct object owner = approve_since_owner(id, row);

    if (!approve_since_covers(since->object, owner.input, owner.mix))
        return;
    if (kind == DIFFERENCE_LEVEL) {
        since->ridden++;
        return;
    }
    if (since->settings++ == 0)
        puts("  (before -> now)");
    if (since->settings <= LINES_SHOWN)
        print_changed(since, id, row, column);
}

void
approve_since_print(struct engine *engine, const struct saved *old, struct object object)
{
    struct since since = {.engine = engine, .old = old->desk, .object = object};

    output_format(0, 4, "Changed since it was approved %s%s%s%s%s:", old->approved_at,
                  *old->by ? " by " : "", old->by, *old->note ? ": " : "", old->note);
    difference_all(old->desk, engine_desk(engine), take_changed, &since);
    if (since.settings == 0)
        puts("  no gain, tap, filter, label or protection");
    if (since.settings > LINES_SHOWN)
        output_format(2, 4, "and %zu more", since.settings - LINES_SHOWN);
    if (since.ridden > 0)
        output_format(2, 4, "besides, %zu level%s or mute%s moved by hand", since.ridden,
                      since.ridden == 1 ? "" : "s", since.ridden == 1 ? " was" : "s were");
}

/* A finding of one ear of a pair is one of the other, too. */
static bool
concerns(const struct finding *finding, struct object object)
{
    return approve_since_covers(object, finding->object.input, finding->object.mix) ||
           approve_since_covers(object, -1, finding->verdict.mix);
}

size_t
approve_since_stops(struct engine *engine, struct object object)
{
    struct report_findings findings = report_findings_of(engine, 0);
    char name[REPORT_OBJECT_SIZE], line[700];
    size_t count = 0;

    for (size_t i = 0; i < findings.open_count; i++) {
        const struct finding *finding = findings.list[i];
        struct words words;

        if (finding->verdict.weight != WEIGHT_STOP || !concerns(finding, object))
            continue;
        if (count++ == 0)
            fputs("gainwarden: a finding of weight stop stands, and this would become the desk "
                  "that should stay:\n",
                  stderr);
        engine_words(engine, finding, &words);
        snprintf(line, sizeof line, "%s: %s [%s]", report_object(engine, finding->object, name),
                 words.says, finding->check->id);
        output_paragraph(stderr, 2, 4, line);
    }
    report_findings_release(&findings);
    return count;
}
