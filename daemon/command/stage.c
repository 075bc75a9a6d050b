/* SPDX-License-Identifier: MIT */
/* `gainwarden stage`: one reading beside the plan of the stage. */
#include "command/table.h"

#include <stdio.h>
#include <stdlib.h>

#include "command/read_once.h"
#include "report/stage.h"
#include "show/plan_file.h"

/* The plan of the show file, whose desk is the session's; NULL, and what is wrong is told. */
static struct stage *
read_plan(const struct session *session)
{
    const char *path = session->file ? session->file->stage : NULL;
    struct problems problems = {0};
    struct stage *stage = NULL;

    if (!path)
        problems_add(&problems, "the show file names no stage plan: desk.stage is missing");
    else
        stage = plan_file_read(path, &problems);
    if (stage && !plan_file_fits(stage, &session->profile->counts, path, &problems)) {
        free(stage);
        stage = NULL;
    }
    problems_tell(&problems);
    return stage;
}

static int
write_report(const struct session *session, const struct link_figures *figures,
             const struct stage *stage, const struct options *options)
{
    struct stage_report report;
    int status;

    stage_report_make(&report, session, figures, stage);
    status = stage_report_status(&report);
    if (options->format == FORMAT_JSON)
        stage_report_json(&report);
    else
        stage_report_text(&report);
    stage_report_release(&report);
    return status;
}

int
command_stage(const struct options *options)
{
    struct session session;
    struct link_figures figures;
    struct stage *stage = NULL;
    int status = EXIT_USAGE;

    if (session_load_afresh(&session, options, options->words[0], check_set_all) &&
        (stage = read_plan(&session)) && read_once(&session, options, &figures))
        status = write_report(&session, &figures, stage, options);
    free(stage);
    session_release(&session);
    return status;
}
