/* SPDX-License-Identifier: MIT */
/* `gainwarden retrim`: one reading, and the list of moves that it asks for. */
#include "command/retrim.h"

#include "command/read_once.h"
#include "report/retrim.h"

static int
write_sheet(struct retrim_sheet *sheet, enum format format)
{
    int status;

    retrim_sheet_gather(sheet);
    if (format == FORMAT_JSON)
        retrim_sheet_json(sheet);
    else
        retrim_sheet_text(sheet);
    status = retrim_sheet_status(sheet);
    retrim_sheet_release(sheet);
    return status;
}

int
command_retrim(const struct options *options)
{
    struct session session;
    struct link_figures figures;
    struct retrim_sheet sheet = {.session = &session, .figures = &figures};
    int status = EXIT_USAGE;

    if (session_load_afresh(&session, options, options->words[0], check_set_all) &&
        read_once(&session, options, &figures))
        status = write_sheet(&sheet, options->format);
    session_release(&session);
    return status;
}
