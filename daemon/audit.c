/* `gainwarden audit`: one reading, one report. */
#include "commands.h"
#include "read_once.h"
#include "report.h"

static int
write_report(const struct report *report, enum format format)
{
    if (format == FORMAT_JSON)
        report_json(report);
    else
        report_text(report);
    return report_status(report);
}

int
command_audit(const struct options *options)
{
    struct session session;
    struct report report = {.session = &session, .all = options->all};
    int status = EXIT_USAGE;

    if (session_load(&session, options, options->words[0], false) &&
        read_once(&session, options->within_s, &report.figures))
        status = write_report(&report, options->format);
    session_release(&session);
    return status;
}
