/* SPDX-License-Identifier: MIT */
/* `gainwarden ring-out`: follows somebody who rings out. */
#include "command/table.h"

#include <stdio.h>

#include "along/along.h"
#include "command/control_ask.h"

static int
follow(struct session *session, const struct options *options)
{
    struct along *along = along_open(session, options);
    int status;

    if (!along)
        return EXIT_USAGE;
    status = along_run(along);
    /* before it lets go of the watch, which would judge by what was proved before */
    if (along_has_kept(along))
        control_take_over(options, options->format == FORMAT_JSON ? stderr : stdout);
    along_close(along);
    return status;
}

int
command_ring_out(const struct options *options)
{
    struct session session;
    int status = EXIT_USAGE;

    if (!options->words[0]) {
        fputs("gainwarden: which show: name its show file\n", stderr);
        return EXIT_USAGE;
    }
    if (!options_fit("by", options->by, SHOW_NAME_SIZE) ||
        !options_fit("note", options->note, SHOW_WHY_SIZE))
        return EXIT_USAGE;
    if (session_load_afresh(&session, options, options->words[0], check_set_lasting()))
        status = follow(&session, options);
    session_release(&session);
    return status;
}
