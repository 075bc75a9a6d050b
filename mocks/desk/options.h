/* The command line of mock-desk. The faults' switches come from the table of faults. */
#ifndef MOCK_OPTIONS_H
#define MOCK_OPTIONS_H

#include "dialects.h"
#include "faults.h"
#include "link.h"

struct Options {
    const char *state_file;
    const char *log_file; /* NULL: none */
    const struct Dialect *dialect;
    bool bare;
    bool untagged;
    struct LinkOptions link;
    struct Faults faults;
};

enum OptionsResult {
    OPTIONS_RUN,
    OPTIONS_HELPED, /* --help was printed: leave with 0 */
    OPTIONS_BAD,    /* an error was printed: leave with 2 */
};

enum OptionsResult Options_read(struct Options *options, int argc, char **argv);

#endif
