/* SPDX-License-Identifier: MIT */
#include "options.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct plain_row {
    const char *name;
    const char *unit; /* NULL: takes no value */
    const char *help;
};

enum plain {
    PLAIN_STATE,
    PLAIN_HOST,
    PLAIN_PORT,
    PLAIN_LOG,
    PLAIN_SPEAK,
    PLAIN_TCP,
    PLAIN_OTHER_PORT,
    PLAIN_TO_PORT,
    PLAIN_UNTAGGED,
    PLAIN_BARE,
    PLAIN_ARRAYS,
    PLAIN_STAGE,
    PLAIN_TRUTH_PORT,
    PLAIN_CLOCK,
    PLAIN_HEAR,
    PLAIN_EARS,
    PLAIN_HELP,
    PLAINS,
};

static const struct plain_row plain_rows[PLAINS] = {
    [PLAIN_STATE] = {"state", "FILE", "what the desk is set to (required)"},
    [PLAIN_HOST] = {"host", "ADDR", "address to listen on (127.0.0.1)"},
    [PLAIN_PORT] = {"port", "N", "port to listen on (0: one that is free)"},
    [PLAIN_LOG] = {"log", "FILE", "write down every packet received"},
    [PLAIN_SPEAK] = {"speak", "NAME", "how values travel, see below"},
    [PLAIN_TCP] = {"tcp", "size|slip", "TCP in place of UDP, and how packets are told apart"},
    [PLAIN_OTHER_PORT] = {"answer-from-other-port", NULL, "answer from a port of its own"},
    [PLAIN_TO_PORT] = {"answer-to-port", "N", "answer to this port, whichever asked"},
    [PLAIN_UNTAGGED] = {"no-type-tags", NULL, "send no type-tag strings"},
    [PLAIN_BARE] = {"bare-addresses", NULL, "addresses have no slash before them, both ways"},
    [PLAIN_ARRAYS] = {"arrays", NULL, "what stands behind the first argument travels in arrays"},
    [PLAIN_STAGE] = {"stage", "FILE", "what stands before it; or random:SEED:4x4"},
    [PLAIN_TRUTH_PORT] = {"truth-port", "N",
                          "where the stage tells its truth (0: one that is free)"},
    [PLAIN_CLOCK] = {"clock", "wall|asked", "the stage's: wall, or as /truth/run asks"},
    [PLAIN_HEAR] = {"hear", "FILE.wav", "write down what stands at somebody's ears"},
    [PLAIN_EARS] = {"ears", "N", "whose: a pair of the stage file (1)"},
    [PLAIN_HELP] = {"help", NULL, "show this and leave"},
};

/* getopt gives back these numbers; they start above any character and the '?' of an error. */
enum { FIRST_PLAIN = 256, FIRST_FAULT = FIRST_PLAIN + PLAINS };

static void
fill_switches(struct option switches[PLAINS + FAULTS + 1])
{
    for (int i = 0; i < PLAINS; i++) {
        int takes = plain_rows[i].unit ? required_argument : no_argument;

        switches[i] = (struct option){plain_rows[i].name, takes, NULL, FIRST_PLAIN + i};
    }
    for (int i = 0; i < FAULTS; i++)
        switches[PLAINS + i] =
            (struct option){fault_rows[i].name, required_argument, NULL, FIRST_FAULT + i};
    switches[PLAINS + FAULTS] = (struct option){NULL, 0, NULL, 0};
}

static void
print_row(const char *name, const char *unit, const char *help)
{
    char left[40];

    snprintf(left, sizeof left, "--%s %s", name, unit ? unit : "");
    printf("  %-26s %s\n", left, help);
}

static void
print_help(void)
{
    puts("Usage: mock-desk --state FILE [switches]\n"
         "A made-up mixing desk that speaks Open Sound Control, for tests.\n");
    for (int i = 0; i < PLAINS; i++)
        print_row(plain_rows[i].name, plain_rows[i].unit, plain_rows[i].help);
    puts("\nHow values travel:");
    for (int i = 0; i < DIALECTS; i++)
        print_row("speak", dialect_rows[i].name, dialect_rows[i].help);
    puts("\nWhat goes wrong; each can also be set at run time by a message to /rig/NAME:");
    for (int i = 0; i < FAULTS; i++)
        print_row(fault_rows[i].name, fault_rows[i].unit, fault_rows[i].help);
}

static bool
read_port(enum plain plain, const char *text, unsigned least)
{
    char *end;
    unsigned long port = strtoul(text, &end, 10);

    if (text[0] >= '0' && text[0] <= '9' && *end == '\0' && port >= least && port <= 65535)
        return true;
    fprintf(stderr, "mock-desk: --%s: \"%s\" is not a port from %u to 65535\n",
            plain_rows[plain].name, text, least);
    return false;
}

static bool
read_dialect(const char *text, struct options *options)
{
    options->dialect = dialect_find(text);
    if (!options->dialect)
        fprintf(stderr, "mock-desk: --speak: \"%s\" is no dialect; --help lists them\n", text);
    return options->dialect != NULL;
}

static bool
read_framing(const char *text, struct options *options)
{
    if (strcmp(text, "size") == 0)
        options->link.framing = FRAMING_SIZE;
    else if (strcmp(text, "slip") == 0)
        options->link.framing = FRAMING_SLIP;
    else
        fprintf(stderr, "mock-desk: --tcp: \"%s\" is neither size nor slip\n", text);
    return options->link.framing != FRAMING_NONE;
}

static bool
read_clock(const char *text, struct options *options)
{
    options->clock_asked = strcmp(text, "asked") == 0;
    if (!options->clock_asked && strcmp(text, "wall") != 0) {
        fprintf(stderr, "mock-desk: --clock: \"%s\" is neither wall nor asked\n", text);
        return false;
    }
    return true;
}

static bool
read_ears(const char *text, struct options *options)
{
    char *end;
    long number = strtol(text, &end, 10);

    options->ears = (int)number;
    if (end != text && *end == '\0' && number >= 1 && number <= 99)
        return true;
    fprintf(stderr, "mock-desk: --ears: \"%s\" is not a number from 1 to 99\n", text);
    return false;
}

static bool
read_fault(const char *text, enum fault fault, struct faults *faults)
{
    const struct fault_row *row = &fault_rows[fault];
    char *end;
    double value = strtod(text, &end);

    if (end != text && *end == '\0' && faults_set(faults, fault, value))
        return true;
    fprintf(stderr, "mock-desk: --%s: \"%s\" is not a %s from %g to %g\n", row->name, text,
            row->whole ? "whole number" : "number", row->low, row->high);
    return false;
}

/* False after printing what is wrong. */
static bool
read_plain(struct options *options, enum plain plain, const char *text)
{
    switch (plain) {
    case PLAIN_STATE:
        options->state_file = text;
        return true;
    case PLAIN_HOST:
        options->link.host = text;
        return true;
    case PLAIN_PORT:
        options->link.port = text;
        return read_port(plain, text, 0);
    case PLAIN_LOG:
        options->log_file = text;
        return true;
    case PLAIN_SPEAK:
        return read_dialect(text, options);
    case PLAIN_TCP:
        return read_framing(text, options);
    case PLAIN_OTHER_PORT:
        options->link.answer_from_other = true;
        return true;
    case PLAIN_TO_PORT:
        options->link.answer_to_port = (unsigned)strtoul(text, NULL, 10);
        return read_port(plain, text, 1);
    case PLAIN_UNTAGGED:
        options->untagged = true;
        return true;
    case PLAIN_BARE:
        options->bare = true;
        return true;
    case PLAIN_ARRAYS:
        options->arrays = true;
        return true;
    case PLAIN_STAGE:
        options->stage = text;
        return true;
    case PLAIN_TRUTH_PORT:
        options->truth_port = text;
        return read_port(plain, text, 0);
    case PLAIN_CLOCK:
        return read_clock(text, options);
    case PLAIN_HEAR:
        options->hear_file = text;
        return true;
    case PLAIN_EARS:
        return read_ears(text, options);
    case PLAIN_HELP:
    case PLAINS:
        break;
    }
    return false;
}

static enum options_result
read_one(struct options *options, int found, const char *name, const char *text)
{
    bool good = false;

    if (found == FIRST_PLAIN + PLAIN_HELP) {
        print_help();
        return OPTIONS_HELPED;
    }
    if (found >= FIRST_FAULT)
        good = read_fault(text, (enum fault)(found - FIRST_FAULT), &options->faults);
    else if (found >= FIRST_PLAIN)
        good = read_plain(options, (enum plain)(found - FIRST_PLAIN), text);
    else
        fprintf(stderr, "mock-desk: %s: %s\n", name,
                found == ':' ? "needs a value" : "not a switch");
    return good ? OPTIONS_RUN : OPTIONS_BAD;
}

static enum options_result
check(const struct options *options, int argc, char **argv)
{
    const struct link_options *link = &options->link;

    if (optind < argc)
        fprintf(stderr, "mock-desk: %s: not a switch\n", argv[optind]);
    else if (!options->state_file)
        fputs("mock-desk: --state: a state file is required\n", stderr);
    else if (link->framing != FRAMING_NONE && (link->answer_from_other || link->answer_to_port))
        fputs("mock-desk: --tcp: answers come by the connection they were asked by\n", stderr);
    else if (!options->stage && (options->hear_file || options->clock_asked))
        fputs("mock-desk: --hear and --clock asked need a --stage\n", stderr);
    else
        return OPTIONS_RUN;
    return OPTIONS_BAD;
}

enum options_result
options_read(struct options *options, int argc, char **argv)
{
    struct option switches[PLAINS + FAULTS + 1];
    enum options_result result;
    int found;

    *options = (struct options){.dialect = &dialect_rows[0],
                                .link = {.host = "127.0.0.1", .port = "0"},
                                .truth_port = "0",
                                .ears = 1};
    faults_init(&options->faults);
    fill_switches(switches);
    while ((found = getopt_long(argc, argv, ":", switches, NULL)) != -1) {
        result = read_one(options, found, argv[optind - 1], optarg);
        if (result != OPTIONS_RUN)
            return result;
    }
    return check(options, argc, argv);
}
