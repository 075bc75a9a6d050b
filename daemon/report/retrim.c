/* SPDX-License-Identifier: MIT */
#include "report/retrim.h"

#include <stdio.h>

#include "base/clock.h"
#include "base/output.h"
#include "report/cards.h"
#include "report/report.h"

enum { RETRIM_FORMAT = 2 };

int
retrim_status(const struct retrim *retrim)
{
    if (retrim->plan->count > 0)
        return EXIT_FINDINGS;
    return desk_count_state(engine_desk(retrim->session->engine), VALUE_UNKNOWN) > 0
               ? EXIT_NOT_KNOWN
               : EXIT_CLEAN;
}

void
retrim_text(const struct retrim *retrim)
{
    char when[CLOCK_SIZE];

    output_format(0, 4, "%s: re-trim of %s, %s", session_name(retrim->session),
                  retrim->session->profile->desk, session_at(retrim->session, when));
    if (retrim->plan->count == 0)
        puts("\nNothing to move.");
    cards_text(retrim->session->engine, retrim->plan);
    putchar('\n');
    report_care();
}

void
retrim_json(const struct retrim *retrim)
{
    struct json *root = json_new_object();
    char when[CLOCK_SIZE];

    json_add_number(root, "retrim_format", RETRIM_FORMAT);
    json_add_string(root, "desk", retrim->session->profile->desk);
    json_add_string(root, "show", engine_show(retrim->session->engine)->name);
    json_add_string(root, "at", session_at(retrim->session, when));
    cards_json(retrim->session->engine, retrim->plan, root);
    json_add(root, "link", report_link_json(retrim->figures));
    json_put(root);
    json_free(root);
}
