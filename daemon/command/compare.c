/* `gainwarden compare`: one reading beside the approved desk or a reference. */
#include "command/compare.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/read_once.h"
#include "report/compare.h"
#include "show/approved.h"

const struct finding *
compare_shown(const struct compare_finding *row)
{
    return row->change == FINDING_FIXED || row->change == FINDING_NOT_JUDGED ? row->then : row->now;
}

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

size_t
compare_kinds(const struct compare *compare)
{
    size_t count = 0;

    for (int kind = 0; kind < DIFFERENCE_KINDS; kind++)
        if (kind != DIFFERENCE_OF_LABELS)
            count += compare->kinds[kind];
    return count;
}

/* ---- gathering ---- */

/* The list with room for one more. */
static void *
grown(void *list, size_t count, size_t size)
{
    /* powers of two: a list grows when it is full */
    if (count != 0 && (count & (count - 1)) != 0)
        return list;
    list = realloc(list, (count == 0 ? 1 : count * 2) * size);
    if (!list)
        abort();
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
    *row = (struct compare_finding){.change = change, .then = then, .now = now};
    engine_player(compare->now, compare_shown(row), row->player);
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
        compare->kinds[difference_kind(id)]++;
}

static void
keep_unknown(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct compare *compare = context;

    compare->unknown = grown(compare->unknown, compare->unknown_count, sizeof *compare->unknown);
    compare->unknown[compare->unknown_count++] =
        (struct compare_value){kind, id, row, column, COMPARE_DIFFERS};
}

static void
gather(struct compare *compare, bool reference)
{
    const struct desk *then = engine_desk(compare->then), *now = engine_desk(compare->now);

    if (reference) {
        compare->offsets = offsets_new(then, now);
        if (!compare->offsets)
            abort();
    }
    difference_findings(compare->then, compare->now, keep_finding, compare);
    compare->counts = difference_all(then, now, keep_moved, compare);
    difference_not_known(then, now, keep_unknown, compare);
}

/* ---- the two engines ---- */

/* An engine for the desk as it was approved, with tonight's show; it takes the desk over. */
static struct engine *
engine_of_then(const struct session *session, struct desk *desk)
{
    const struct profile *profile = session->profile;
    struct problems problems;
    struct show *show;
    struct engine *engine;

    problems_init(&problems); /* the file was good a moment ago */
    show = session->file
               ? show_file_show(session->file, &profile->counts, &problems)
               : check_show_new(profile->counts.of[INDEX_INPUT], profile->counts.of[INDEX_MIX]);
    problems_release(&problems);
    if (!show)
        abort();
    for (int check = 0; check < CHECKS; check++)
        show->checks[check].off |= checks[check]->momentary;
    engine = engine_new(desk, show);
    if (!engine)
        abort();
    engine_set_day(engine, clock_day());
    engine_run(engine, 0, NULL, NULL);
    return engine;
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

static int
status_of(const struct compare *compare)
{
    const struct offsets *offsets = compare->offsets;
    size_t other = offsets ? compare_kinds(compare) + offsets->of[PATH_DIFFERS] : drift_of(compare);
    size_t unknown = compare->unknown_count + (offsets ? offsets->of[PATH_NOT_KNOWN] : 0);

    if (compare->of[FINDING_NEW] + compare->of[FINDING_WORSE] + other > 0)
        return EXIT_FINDINGS;
    return unknown + compare->of[FINDING_NOT_JUDGED] > 0 ? EXIT_NOT_KNOWN : EXIT_CLEAN;
}

/* Reads the desk and writes the page. */
static int
compare_with(struct session *session, const struct options *options, struct saved *saved,
             const char *path)
{
    struct compare compare = {.session = session,
                              .saved = saved,
                              .path = path,
                              .now = session->engine,
                              .all = options->all};
    int status;

    if (!read_once(session, options, &compare.figures))
        return EXIT_USAGE;
    compare.then = engine_of_then(session, saved->desk);
    saved->desk = NULL; /* the engine's now */
    gather(&compare, options->reference != NULL);
    if (options->format == FORMAT_JSON)
        compare_json(&compare);
    else
        compare_text(&compare);
    status = status_of(&compare);
    offsets_free(compare.offsets);
    engine_free(compare.then);
    free(compare.findings);
    free(compare.moved);
    free(compare.unknown);
    return status;
}

/* Any saved desk will do, so long as its counts are the desk's. */
static struct saved *
read_reference(const struct session *session, const char *path, struct problems *problems)
{
    struct saved *saved = saved_file_read(path, problems);

    if (saved && saved_file_fits(saved, engine_desk(session->engine), path, problems))
        return saved;
    saved_free(saved);
    return NULL;
}

/* The saved desk, with everything wrong told; NULL then. */
static struct saved *
read_saved(const struct session *session, const char *path, bool reference)
{
    struct problems problems;
    struct saved *saved = NULL;

    problems_init(&problems);
    if (path)
        saved = (reference ? read_reference : approved_read)(session, path, &problems);
    else
        problems_add(&problems, "no approved desk: give a show file, or a file with --approved");
    problems_print(&problems, stderr);
    if (!saved)
        fprintf(stderr, "gainwarden: nothing to compare with; `gainwarden %s` stores it\n",
                reference ? "audit --save=FILE" : "approve");
    problems_release(&problems);
    return saved;
}

/* Where the saved desk stands, to free(); NULL when nothing tells. */
static char *
path_of(const struct session *session, const struct options *options)
{
    char *path;

    if (!options->reference)
        return approved_path(session, options);
    path = strdup(options->reference);
    if (!path)
        abort();
    return path;
}

/* A look at a meter is another one in a second, so checks of meters are left out, as in a watch. */
int
command_compare(const struct options *options)
{
    struct session session;
    struct saved *saved = NULL;
    char *path = NULL;
    int status = EXIT_USAGE;

    if (options->reference && options->approved) {
        fputs("gainwarden: --reference and --approved exclude each other: one page compares with "
              "one file\n",
              stderr);
        return EXIT_USAGE;
    }
    if (session_load_afresh(&session, options, options->words[0], true)) {
        path = path_of(&session, options);
        saved = read_saved(&session, path, options->reference != NULL);
        if (saved)
            status = compare_with(&session, options, saved, path);
    }
    saved_free(saved);
    free(path);
    session_release(&session);
    return status;
}
