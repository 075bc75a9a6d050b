/* SPDX-License-Identifier: MIT */
/* `gainwarden stage`: one reading beside the plan of the stage. */
#include "command/table.h"

#include <stdio.h>

#include "command/read_once.h"
#include "report/stage.h"
#include "show/proved.h"

/* False where the show file names no plan, which was then told. */
static bool
has_plan(const struct session *session)
{
    if (engine_show(session->engine)->stage)
        return true;
    fputs("gainwarden: the show file names no stage plan: desk.stage is missing\n", stderr);
    return false;
}

static int
write_report(const struct session *session, const struct link_figures *figures, enum format format)
{
    struct stage_report report;
    int status;

    stage_report_make(&report, session, figures);
    status = stage_report_status(&report);
    if (format == FORMAT_JSON)
        stage_report_json(&report);
    else if (format == FORMAT_HTML)
        stage_report_html(&report, stdout);
    else
        stage_report_text(&report);
    stage_report_release(&report);
    return status;
}

int
command_stage(const struct options *options)
{
    struct session session;
    struct proved proved = {NULL, NULL};
    struct link_figures figures;
    int status = EXIT_USAGE;

    if (session_load_afresh(&session, options, options->words[0], check_set_all) &&
        has_plan(&session) && proved_attach(&proved, &session, options) &&
        read_once(&session, options, &figures))
        status = write_report(&session, &figures, options->format);
    session_release(&session);
    proved_release(&proved);
    return status;
}
