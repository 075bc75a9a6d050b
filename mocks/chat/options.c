/* SPDX-License-Identifier: MIT */
#include "options.h"

#include <getopt.h>
#include <limits.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>

enum kind { KIND_HELP, KIND_TEXT, KIND_NUMBER };

/* Texts go straight to their place in struct options, numbers by way of store_number(). */
struct row {
    const char *name;
    enum kind kind;
    const char *unit;
    double low;
    double high;
    size_t place;
    const char *help;
};

static const struct row rows[] = {
    {"port", KIND_NUMBER, "N", 0, 65535, offsetof(struct options, port),
     "TCP port on 127.0.0.1 (0: one that is free)"},
    {"record", KIND_TEXT, "FILE", 0, 0, offsetof(struct options, record_file),
     "write one JSON object per request"},
    {"answer", KIND_NUMBER, "STATUS", 200, 599, offsetof(struct options, answer),
     "HTTP status to answer with (200)"},
    {"times", KIND_NUMBER, "N", 0, 1e9, offsetof(struct options, times),
     "trouble for the first N requests only, then 200 at once"},
    {"retry-after", KIND_TEXT, "VALUE", 0, 0, offsetof(struct options, retry_after),
     "header sent with a 429 or 503, as it stands"},
    {"hang", KIND_NUMBER, "SECONDS", 0, 86400, offsetof(struct options, hang_s),
     "take the request, answer so much later"},
    {"close", KIND_NUMBER, "0|1", 0, 1, offsetof(struct options, close),
     "drop the connection instead of answering"},
    {"cert", KIND_TEXT, "FILE", 0, 0, offsetof(struct options, cert_file),
     "serve TLS with this certificate (PEM)"},
    {"key", KIND_TEXT, "FILE", 0, 0, offsetof(struct options, key_file), "and this key (PEM)"},
    {"help", KIND_HELP, NULL, 0, 0, 0, "show this and leave"},
};
enum { ROW_COUNT = sizeof rows / sizeof rows[0], FIRST_ROW = 256 };

static void
print_help(void)
{
    char left[40];

    puts("Usage: mock-chat [switches]\n"
         "A webhook receiver on the loopback interface, for tests.\n");
    for (size_t i = 0; i < ROW_COUNT; i++) {
        snprintf(left, sizeof left, "--%s %s", rows[i].name, rows[i].unit ? rows[i].unit : "");
        printf("  %-22s %s\n", left, rows[i].help);
    }
}

static void
store_number(struct options *options, size_t place, double value)
{
    if (place == offsetof(struct options, hang_s))
        options->hang_s = value;
    else if (place == offsetof(struct options, port))
        options->port = (uint16_t)value;
    else if (place == offsetof(struct options, answer))
        options->answer = (unsigned)value;
    else if (place == offsetof(struct options, times))
        options->times = (unsigned)value;
    else
        options->close = value > 0;
}

static enum options_result
read_number(struct options *options, const struct row *row, const char *text)
{
    char *end;
    double value = strtod(text, &end);

    if (end != text && *end == '\0' && value >= row->low && value <= row->high) {
        store_number(options, row->place, value);
        return OPTIONS_RUN;
    }
    fprintf(stderr, "mock-chat: --%s: \"%s\" is not a number from %g to %g\n", row->name, text,
            row->low, row->high);
    return OPTIONS_BAD;
}

static enum options_result
read_one(struct options *options, const struct row *row, const char *text)
{
    switch (row->kind) {
    case KIND_TEXT:
        *(const char **)((char *)options + row->place) = text;
        return OPTIONS_RUN;
    case KIND_NUMBER:
        return read_number(options, row, text);
    case KIND_HELP:
        break;
    }
    print_help();
    return OPTIONS_HELPED;
}

static enum options_result
refuse(int found, const char *name)
{
    fprintf(stderr, "mock-chat: %s: %s\n", name, found == ':' ? "needs a value" : "not a switch");
    return OPTIONS_BAD;
}

static enum options_result
check(const struct options *options, int argc, char **argv)
{
    if (optind < argc)
        fprintf(stderr, "mock-chat: %s: not a switch\n", argv[optind]);
    else if (!options->cert_file != !options->key_file)
        fputs("mock-chat: --cert: needs --key beside it, and the other way round\n", stderr);
    else
        return OPTIONS_RUN;
    return OPTIONS_BAD;
}

enum options_result
options_read(struct options *options, int argc, char **argv)
{
    struct option switches[ROW_COUNT + 1] = {{NULL, 0, NULL, 0}};
    enum options_result result = OPTIONS_RUN;
    int found;

    *options = (struct options){.answer = 200, .times = UINT_MAX};
    for (int i = 0; i < ROW_COUNT; i++)
        switches[i] = (struct option){rows[i].name, rows[i].unit != NULL, NULL, FIRST_ROW + i};
    while (result == OPTIONS_RUN && (found = getopt_long(argc, argv, ":", switches, NULL)) != -1)
        result = found >= FIRST_ROW ? read_one(options, &rows[found - FIRST_ROW], optarg)
                                    : refuse(found, argv[optind - 1]);
    return result == OPTIONS_RUN ? check(options, argc, argv) : result;
}
