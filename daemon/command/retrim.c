/* SPDX-License-Identifier: MIT */
/* `gainwarden retrim`: one reading, and the cards that it asks for. */
#include "command/table.h"

#include <stdio.h>

#include "command/read_once.h"
#include "report/retrim.h"
#include "show/proved.h"

static int
write_cards(const struct session *session, const struct link_figures *figures,
            const struct options *options)
{
    struct plan *plan = engine_advise(session->engine, options->all ? PLAN_SMALL_TOO : 0);
    struct retrim retrim = {session, figures, plan};
    int status = retrim_status(&retrim);

    if (options->format == FORMAT_JSON)
        retrim_json(&retrim);
    else if (options->format == FORMAT_HTML)
        retrim_html(&retrim, stdout);
    else
        retrim_text(&retrim);
    plan_free(plan);
    return status;
}

int
command_retrim(const struct options *options)
{
    struct session session;
    struct proved proved = {NULL, NULL};
    struct link_figures figures;
    int status = EXIT_USAGE;

    if (session_load(&session, options, options->words[0], check_set_all) &&
        proved_attach(&proved, &session, options) && read_once(&session, options, &figures))
        status = write_cards(&session, &figures, options);
    session_release(&session);
    proved_release(&proved);
    return status;
}
