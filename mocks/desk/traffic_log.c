/* SPDX-License-Identifier: MIT */
#include "traffic_log.h"

#include <errno.h>
#include <string.h>

FILE *
traffic_log_open(const char *file)
{
    FILE *log = fopen(file, "w");

    if (!log)
        fprintf(stderr, "mock-desk: %s: log: %s\n", file, strerror(errno));
    else
        setvbuf(log, NULL, _IOLBF, BUFSIZ); /* a test reads along while the desk runs */
    return log;
}

void
traffic_log_add(FILE *log, const struct received *received)
{
    static const char DIGITS[] = "0123456789abcdef";
    char source[PEER_TEXT_SIZE];

    fprintf(log, "%lld %s ", (long long)(received->came_us / 1000),
            peer_text(&received->peer, source));
    for (size_t i = 0; i < received->size; i++) {
        putc(DIGITS[received->data[i] >> 4], log);
        putc(DIGITS[received->data[i] & 15], log);
    }
    putc('\n', log);
}
