/* SPDX-License-Identifier: MIT */
/* The command line of mock-desk. The faults' switches come from the table of faults. */
#ifndef MOCK_OPTIONS_H
#define MOCK_OPTIONS_H

#include "dialects.h"
#include "faults.h"
#include "link.h"

struct options {
    const char *state_file;
    const char *log_file; /* NULL: none */
    const char *stage;    /* NULL: none */
    const char *truth_port;
    const char *hear_file; /* NULL: none */
    int ears;              /* whose, from 1 */
    bool clock_asked;
    const struct dialect *dialect;
    bool bare;
    bool untagged;
    bool arrays;
    struct link_options link;
    struct faults faults;
};

enum options_result {
    OPTIONS_RUN,
    OPTIONS_HELPED, /* --help was printed: leave with 0 */
    OPTIONS_BAD,    /* an error was printed: leave with 2 */
};

enum options_result options_read(struct options *options, int argc, char **argv);

#endif
