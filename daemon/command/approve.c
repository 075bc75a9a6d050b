/* SPDX-License-Identifier: MIT */
/* `gainwarden approve`: one reading, kept as the desk should be. */
#include "command/approve.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "base/output.h"
#include "change/difference.h"
#include "command/control_commands.h"
#include "command/read_once.h"
#include "core/text.h"
#include "report/findings.h"
#include "report/report.h"
#include "show/approved.h"
#include "show/saved_of.h"

enum { LINES_SHOWN = 9, NAMED = 3 };

static bool
fits(const char *option, const char *text, size_t size)
{
    if (!text || strlen(text) < size)
        return true;
    fprintf(stderr, "gainwarden: --%s: is longer than %zu bytes\n", option, size - 1);
    return false;
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
count_missing(const struct engine *engine, enum param_id id, char line[400])
{
    const struct desk *desk = engine_desk(engine);
    size_t count = 0;
    struct text text;

    text_init(&text, line, 400);
    for (int row = 0; row < desk_rows(desk, id); row++)
        for (int column = 0; column < desk_columns(desk, id); column++) {
            struct object object = {params[id].row == INDEX_INPUT ? row : -1,
                                    params[id].row == INDEX_MIX ? row : -1};
            char name[REPORT_OBJECT_SIZE];

            if (!is_missing(desk, id, row, column) || count++ >= NAMED)
                continue;
            report_object(engine, object, name);
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
tell_missing(const struct engine *engine, bool aloud)
{
    size_t total = 0;
    char line[400];

    for (int id = 0; id < PARAMS; id++) {
        size_t count = count_missing(engine, (enum param_id)id, line);

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
may_store(const struct engine *engine, bool incomplete)
{
    size_t missing = tell_missing(engine, false);

    if (missing == 0)
        return true;
    fprintf(stderr, "gainwarden: %zu value%s not known%s:\n", missing,
            missing == 1 ? " is" : "s are",
            incomplete ? "" : "; nothing was stored (--incomplete stores what is known)");
    tell_missing(engine, true);
    return incomplete;
}

/* ---- what was stored ---- */

static void
print_findings(struct engine *engine)
{
    struct report_findings findings = report_findings_of(engine);
    size_t open = findings.open_count;
    char object[REPORT_OBJECT_SIZE], line[700];

    if (open == 0)
        puts("No findings.");
    else
        output_format(0, 2, "Approved with %zu finding%s: %zu stop, %zu fix, %zu note", open,
                      open == 1 ? "" : "s", findings.of[WEIGHT_STOP], findings.of[WEIGHT_FIX],
                      findings.of[WEIGHT_NOTE]);
    for (size_t i = 0; i < open && i < LINES_SHOWN; i++) {
        const struct finding *finding = findings.list[i];
        struct words words;

        engine_words(engine, finding, &words);
        snprintf(line, sizeof line, "%s: %s: %s [%s]", weight_name(finding->verdict.weight),
                 report_object(engine, finding->object, object), words.says, finding->check->id);
        output_led(2, 4, line);
    }
    if (open > LINES_SHOWN)
        output_format(2, 4, "and %zu more: `gainwarden audit` lists them", open - LINES_SHOWN);
    report_findings_release(&findings);
}

static void
print_stored(const struct session *session, const struct saved *saved, const char *path)
{
    const struct desk *desk = saved->desk;
    size_t known = desk_count_state(desk, VALUE_KNOWN);
    size_t unknown = desk_count_state(desk, VALUE_UNKNOWN) + desk_count_state(desk, VALUE_STALE);
    char line[1200];

    snprintf(line, sizeof line, "%s: approved as it is, %s%s%s%s%s", session_name(session),
             saved->approved_at, *saved->by ? ", by " : "", saved->by, *saved->note ? ": " : "",
             saved->note);
    output_wrapped(0, 4, line);
    snprintf(line, sizeof line, "stored in %s: %d inputs, %d mixes, %zu values, %zu not known",
             path, desk_count(desk, INDEX_INPUT), desk_count(desk, INDEX_MIX), known, unknown);
    output_wrapped(0, 4, line);
    print_findings(session->engine);
}

static int
store(struct session *session, const struct options *options, const char *path, int64_t now_ms)
{
    struct saved saved = saved_of(session, engine_desk(session->engine), now_ms);
    int status = EXIT_USAGE;

    saved.approved = true;
    escape_clean(saved.by, sizeof saved.by, options->by ? options->by : "");
    escape_clean(saved.note, sizeof saved.note, options->note ? options->note : "");
    clock_rfc3339(saved.approved_at);
    if (saved_file_write(&saved, path)) {
        print_stored(session, &saved, path);
        control_take_over(options);
        status = EXIT_CLEAN;
    } else {
        fprintf(stderr, "gainwarden: %s: cannot write: %s; nothing was stored\n", path,
                strerror(errno));
    }
    desk_free(saved.desk);
    return status;
}

int
command_approve(const struct options *options)
{
    struct session session;
    struct link_figures figures;
    char *path = NULL;
    int status = EXIT_USAGE;

    if (!fits("by", options->by, SHOW_NAME_SIZE) || !fits("note", options->note, SHOW_WHY_SIZE))
        return EXIT_USAGE;
    if (session_load_afresh(&session, options, options->words[0], check_set_all)) {
        path = approved_path(&session, options);
        if (!path)
            fputs("gainwarden: nowhere to store it: give a show file, or a file with --approved\n",
                  stderr);
        else if (read_once(&session, options, &figures) &&
                 may_store(session.engine, options->incomplete))
            status = store(&session, options, path, figures.now_ms);
    }
    free(path);
    session_release(&session);
    return status;
}
