/* SPDX-License-Identifier: MIT */
/* `gainwarden approve`: one reading, kept as the desk should be. What it replaces is looked at, told
 * and kept first: an approval by habit must not turn a desk without protection into the one that
 * should stay. One object alone can be approved: the rest stays as it was.
 */
#include "command/table.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/escape.h"
#include "base/output.h"
#include "base/whole_file.h"
#include "change/difference.h"
#include "command/approve_since.h"
#include "command/control_ask.h"
#include "command/read_once.h"
#include "core/text.h"
#include "report/findings.h"
#include "report/report.h"
#include "show/approved.h"
#include "show/saved_of.h"

enum { LINES_SHOWN = 9, NAMED = 3 };

struct approval {
    struct session session;
    const struct options *options;
    char *path;           /* of the file */
    struct object object; /* what is approved; neither input nor mix: all */
    bool again;           /* there is a file already, */
    struct saved *old;    /* and this is in it; NULL: it cannot be read */
    int64_t now_ms;
};

static bool
is_one(const struct approval *approval)
{
    return approval->object.input >= 0 || approval->object.mix >= 0;
}

/* ---- what is missing ---- */

/* Settings alone: a meter is none, and has nothing to say tomorrow. */
static bool
is_missing(const struct desk *desk, enum param_id id, int row, int column)
{
    return desk_supplied(desk, id) == SUPPLY_HEARD && difference_is_setting(id) &&
           desk_value(desk, id, row, column)->state != VALUE_KNOWN;
}

/* How many values of the parameter are missing; `line` gets the first few. */
static size_t
count_missing(const struct approval *approval, enum param_id id, char line[400])
{
    const struct engine *engine = approval->session.engine;
    const struct desk *desk = engine_desk(engine);
    size_t count = 0;
    struct text text;

    text_init(&text, line, 400);
    for (int row = 0; row < desk_rows(desk, id); row++)
        for (int column = 0; column < desk_columns(desk, id); column++) {
            struct object owner = approve_since_owner(id, row);
            char name[REPORT_OBJECT_SIZE];

            if (!is_missing(desk, id, row, column) ||
                !approve_since_covers(approval->object, owner.input, owner.mix) || count++ >= NAMED)
                continue;
            report_object(engine, owner, name);
            text_add(&text, "%s%s", text.used > 0 ? ", " : "", name);
            if (params[id].column != INDEX_NONE)
                text_add(&text, " %s %d", index_placeholder(params[id].column), column + 1);
        }
    if (count > NAMED)
        text_add(&text, " and %zu more", count - NAMED);
    return count;
}

/* Tells what is missing on standard error, or counts it alone. */
static size_t
tell_missing(const struct approval *approval, bool aloud)
{
    size_t total = 0;
    char line[400];

    for (int id = 0; id < PARAMS; id++) {
        size_t count = count_missing(approval, (enum param_id)id, line);

        total += count;
        if (count == 0 || !aloud)
            continue;
        fprintf(stderr, "  %s (%zu): ", params[id].name, count);
        escape_print(stderr, line);
        fputc('\n', stderr);
    }
    return total;
}

static bool
is_complete(const struct approval *approval)
{
    bool incomplete = approval->options->incomplete;
    size_t missing = tell_missing(approval, false);

    if (missing == 0)
        return true;
    fprintf(stderr, "gainwarden: %zu value%s not known%s:\n", missing,
            missing == 1 ? " is" : "s are",
            incomplete ? "" : "; nothing was stored (--incomplete stores what is known)");
    tell_missing(approval, true);
    return incomplete;
}

/* ---- what is there already ---- */

/* A broken one may be replaced: that is the cure. It is kept all the same. */
static void
read_old(struct approval *approval)
{
    struct problems problems = {0};
    struct stat is;

    approval->again = lstat(approval->path, &is) == 0;
    if (!approval->again)
        return;
    approval->old = approved_read(&approval->session, approval->path, &problems);
    problems_tell(&problems);
}

/* The object that --input or --mix name; false, told, where there is no such. */
static bool
take_object(struct approval *approval)
{
    const struct options *options = approval->options;
    const struct desk *desk = engine_desk(approval->session.engine);
    const char *kind = options->input ? "input" : "mix";
    int number = options->input ? options->input : options->mix;
    int count = desk_count(desk, options->input ? INDEX_INPUT : INDEX_MIX);

    approval->object = (struct object){options->input - 1, options->mix - 1};
    if (options->input && options->mix)
        fputs("gainwarden: --input and --mix exclude each other: one object at a time\n", stderr);
    else if (number > count)
        fprintf(stderr, "gainwarden: --%s=%d: the desk has %d\n", kind, number, count);
    else if (number > 0 && !approval->old)
        fprintf(stderr,
                "gainwarden: --%s: there is no approved desk yet; approve the whole desk first\n",
                kind);
    else
        return true;
    return false;
}

/* What protects was there once, perhaps: it is not replaced by habit. */
static bool
may_replace(struct approval *approval)
{
    if (!approval->again || approval->options->stop_too ||
        approve_since_stops(approval->session.engine, approval->object) == 0)
        return true;
    fputs("gainwarden: nothing was stored (--stop-too stores it all the same)\n", stderr);
    return false;
}

static bool
keep_old(const struct approval *approval)
{
    if (approved_keep_old(approval->path))
        return true;
    fprintf(stderr, "gainwarden: %s: cannot keep what is there: %s; nothing was stored\n",
            approval->path, whole_file_why(errno));
    return false;
}

/* ---- what was stored ---- */

static void
print_findings(struct engine *engine)
{
    struct report_findings findings = report_findings_of(engine, 0);
    size_t open = findings.open_count;
    char object[REPORT_OBJECT_SIZE], counts[WEIGHT_COUNTS_SIZE];

    if (open == 0)
        puts("No findings.");
    else
        output_format(0, 2, "Approved with %zu finding%s: %s", open, open == 1 ? "" : "s",
                      weight_counts(findings.of, counts));
    for (size_t i = 0; i < open && i < LINES_SHOWN; i++) {
        const struct finding *finding = findings.list[i];
        struct words words;

        engine_words(engine, finding, &words);
        output_led(2, 4, "%s: %s: %s [%s]", weight_name(finding->verdict.weight),
                   report_object(engine, finding->object, object), words.says, finding->check->id);
    }
    if (open > LINES_SHOWN)
        output_format(2, 4, "and %zu more: `gainwarden audit` lists them", open - LINES_SHOWN);
    report_findings_release(&findings);
}

static void
print_stored(const struct approval *approval, const struct saved *saved)
{
    const struct session *session = &approval->session;
    const struct desk *desk = saved->desk;
    size_t known = desk_count_state(desk, VALUE_KNOWN);
    size_t unknown = desk_count_state(desk, VALUE_UNKNOWN) + desk_count_state(desk, VALUE_STALE);
    bool one = is_one(approval);
    char object[REPORT_OBJECT_SIZE];

    output_format(0, 4, "%s: %s%sapproved as it is, %s%s%s%s%s", session_name(session),
                  one ? report_object(session->engine, approval->object, object) : "",
                  one ? " " : "", saved->approved_at, *saved->by ? ", by " : "", saved->by,
                  *saved->note ? ": " : "", saved->note);
    output_format(0, 4, "stored in %s: %d inputs, %d mixes, %zu values, %zu not known",
                  approval->path, desk_count(desk, INDEX_INPUT), desk_count(desk, INDEX_MIX), known,
                  unknown);
    if (approval->again)
        output_format(0, 4, "what was approved before is kept in %s.1", approval->path);
    if (!one)
        print_findings(session->engine);
}

/* ---- storing ---- */

/* By whom, when and why. An object that is approved alone says so, unless the note does. */
static void
sign(const struct approval *approval, struct saved *saved)
{
    const struct options *options = approval->options;
    char before[CLOCK_SIZE], object[REPORT_OBJECT_SIZE], note[SHOW_WHY_SIZE] = "";

    memcpy(before, saved->approved_at, sizeof before);
    if (is_one(approval))
        snprintf(note, sizeof note, "%.100s alone, the rest as of %s",
                 report_object(approval->session.engine, approval->object, object), before);
    saved->approved = true;
    escape_clean(saved->by, sizeof saved->by, options->by ? options->by : "");
    escape_clean(saved->note, sizeof saved->note, options->note ? options->note : note);
    clock_rfc3339(saved->approved_at);
}

static int
store(struct approval *approval, struct saved *saved)
{
    sign(approval, saved);
    if (!keep_old(approval))
        return EXIT_USAGE;
    if (!saved_file_write(saved, approval->path)) {
        fprintf(stderr, "gainwarden: %s: cannot write: %s; nothing was stored\n", approval->path,
                strerror(errno));
        return EXIT_USAGE;
    }
    print_stored(approval, saved);
    control_take_over(approval->options, stdout);
    return EXIT_CLEAN;
}

static int
store_all(struct approval *approval)
{
    const struct session *session = &approval->session;
    struct saved saved = saved_of(session, engine_desk(session->engine), approval->now_ms);
    int status = store(approval, &saved);

    desk_free(saved.desk);
    return status;
}

static int
store_object(struct approval *approval)
{
    char at[CLOCK_SIZE];

    if (approved_take(approval->old, engine_desk(approval->session.engine), approval->object,
                      clock_rfc3339(at), approval->now_ms))
        return store(approval, approval->old);
    fputs("gainwarden: the profile reads more of it now than when the desk was approved; nothing "
          "was stored: approve the whole desk\n",
          stderr);
    return EXIT_USAGE;
}

static int
approve(struct approval *approval)
{
    if (!is_complete(approval))
        return EXIT_USAGE;
    if (approval->old)
        approve_since_print(approval->session.engine, approval->old, approval->object);
    if (!may_replace(approval))
        return EXIT_FINDINGS;
    return is_one(approval) ? store_object(approval) : store_all(approval);
}

static int
approve_session(struct approval *approval)
{
    struct session *session = &approval->session;
    struct link_figures figures;

    approval->path = approved_path(session, approval->options);
    if (!approval->path) {
        fputs("gainwarden: nowhere to store it: give a show file, or a file with --approved\n",
              stderr);
        return EXIT_USAGE;
    }
    read_old(approval);
    if (!take_object(approval) || !read_once(session, approval->options, &figures))
        return EXIT_USAGE;
    approval->now_ms = figures.now_ms;
    return approve(approval);
}

int
command_approve(const struct options *options)
{
    struct approval approval = {.options = options};
    int status = EXIT_USAGE;

    if (!options_fit("by", options->by, SHOW_NAME_SIZE) ||
        !options_fit("note", options->note, SHOW_WHY_SIZE))
        return EXIT_USAGE;
    if (session_load_afresh(&approval.session, options, options->words[0], check_set_all))
        status = approve_session(&approval);
    saved_free(approval.old);
    free(approval.path);
    session_release(&approval.session);
    return status;
}
