/* SPDX-License-Identifier: MIT */
/* `gainwarden audit`: one reading, one report. */
#include "command/table.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "command/read_once.h"
#include "report/report.h"
#include "show/proved.h"
#include "show/saved_of.h"

static int
write_report(const struct report *report, enum format format)
{
    if (format == FORMAT_JSON)
        report_json(report);
    else if (format == FORMAT_HTML)
        report_html(report, stdout);
    else
        report_text(report);
    return report_status(report);
}

/* False when it cannot be written, which was then told. */
static bool
save(const struct options *options, const struct session *session, int64_t now_ms)
{
    if (!options->save || saved_of_write(session, now_ms, options->save))
        return true;
    fprintf(stderr, "gainwarden: %s: cannot write: %s\n", options->save, strerror(errno));
    return false;
}

int
command_audit(const struct options *options)
{
    struct session session;
    struct proved proved = {NULL, NULL};
    struct report report = {.session = &session, .all = options->all};
    int status = EXIT_USAGE;

    if (!saved_of_may_make(options->save))
        return EXIT_USAGE;
    if (session_load(&session, options, options->words[0], check_set_all) &&
        proved_attach(&proved, &session, options) &&
        read_once(&session, options, &report.figures) &&
        save(options, &session, report.figures.now_ms))
        status = write_report(&report, options->format);
    session_release(&session);
    proved_release(&proved);
    return status;
}
