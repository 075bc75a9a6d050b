/* SPDX-License-Identifier: MIT */
/* Reads a desk once, as an audit does, and prints what it then knows, one value a line:
 *
 *   desk_probe PROFILE HOST:PORT
 *   PARAMETER ROW COLUMN VALUE
 *
 * Row and column count from 1. Values the profile does not ask for are left out; one that was asked
 * for and never heard is printed as "unknown", so that a test sees it.
 */
#include <stdio.h>

#include "command/read_once.h"

enum { WITHIN_S = 15 };

static void
print_value(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(desk, id, row, column);

    printf("%s %d %d ", params[id].name, row + 1, column + 1);
    if (value->state != VALUE_KNOWN)
        puts("unknown");
    else if (params[id].unit == UNIT_TEXT)
        puts(desk_text(desk, id, row, column));
    else
        printf("%.17g\n", value_last_heard(value));
}

static void
print_desk(const struct desk *desk)
{
    for (int id = 0; id < PARAMS; id++) {
        if (desk_supplied(desk, (enum param_id)id) != SUPPLY_HEARD)
            continue;
        for (int row = 0; row < desk_rows(desk, (enum param_id)id); row++)
            for (int column = 0; column < desk_columns(desk, (enum param_id)id); column++)
                print_value(desk, (enum param_id)id, row, column);
    }
}

int
main(int argc, char **argv)
{
    struct options options = {.within_s = WITHIN_S, .yes = true}; /* our own desk */
    struct link_figures figures;
    struct session session;
    bool read;

    if (argc != 3) {
        fputs("usage: desk_probe PROFILE HOST:PORT\n", stderr);
        return 2;
    }
    options.profile = argv[1];
    options.desk = argv[2];
    read = session_load(&session, &options, NULL, check_set_all) &&
           read_once(&session, &options, &figures);
    if (read)
        print_desk(engine_desk(session.engine));
    session_release(&session);
    return read ? 0 : 2;
}
