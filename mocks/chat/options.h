/* SPDX-License-Identifier: MIT */
/* The command line of mock-chat. */
#ifndef MOCK_CHAT_OPTIONS_H
#define MOCK_CHAT_OPTIONS_H

#include <stdbool.h>
#include <stdint.h>

struct options {
    uint16_t port;           /* 0: one that is free */
    const char *record_file; /* NULL: none */
    unsigned answer;         /* HTTP status */
    unsigned times;          /* how many requests the trouble lasts */
    const char *retry_after; /* sent as it stands; NULL: none */
    double hang_s;
    bool close;
    const char *cert_file; /* both or neither */
    const char *key_file;
};

enum options_result {
    OPTIONS_RUN,
    OPTIONS_HELPED, /* --help was printed: leave with 0 */
    OPTIONS_BAD,    /* an error was printed: leave with 2 */
};

enum options_result options_read(struct options *options, int argc, char **argv);

#endif
