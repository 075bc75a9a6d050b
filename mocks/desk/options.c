#include "options.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct PlainRow {
    const char *name;
    const char *unit; /* NULL: takes no value */
    const char *help;
};

enum Plain { PLAIN_STATE, PLAIN_HOST, PLAIN_PORT, PLAIN_LOG, PLAIN_HELP, PLAINS };

static const struct PlainRow PLAIN_ROWS[PLAINS] = {
    [PLAIN_STATE] = {"state", "FILE", "what the desk is set to (required)"},
    [PLAIN_HOST] = {"host", "ADDR", "address to listen on (127.0.0.1)"},
    [PLAIN_PORT] = {"port", "N", "UDP port (0: one that is free)"},
    [PLAIN_LOG] = {"log", "FILE", "write down every datagram received"},
    [PLAIN_HELP] = {"help", NULL, "show this and leave"},
};

/* getopt gives back these numbers; they start above any character and the '?' of an error. */
enum { FIRST_PLAIN = 256, FIRST_FAULT = FIRST_PLAIN + PLAINS };

static void
fill_switches(struct option switches[PLAINS + FAULTS + 1])
{
    for (int i = 0; i < PLAINS; i++) {
        int takes = PLAIN_ROWS[i].unit != NULL ? required_argument : no_argument;

        switches[i] = (struct option){PLAIN_ROWS[i].name, takes, NULL, FIRST_PLAIN + i};
    }
    for (int i = 0; i < FAULTS; i++)
        switches[PLAINS + i] =
            (struct option){FAULT_ROWS[i].name, required_argument, NULL, FIRST_FAULT + i};
    switches[PLAINS + FAULTS] = (struct option){NULL, 0, NULL, 0};
}

static void
print_row(const char *name, const char *unit, const char *help)
{
    char left[40];

    snprintf(left, sizeof left, "--%s %s", name, unit != NULL ? unit : "");
    printf("  %-26s %s\n", left, help);
}

static void
print_help(void)
{
    puts("Usage: mock-desk --state FILE [switches]\n"
         "A made-up mixing desk that speaks Open Sound Control over UDP, for tests.\n");
    for (int i = 0; i < PLAINS; i++)
        print_row(PLAIN_ROWS[i].name, PLAIN_ROWS[i].unit, PLAIN_ROWS[i].help);
    puts("\nWhat goes wrong; each can also be set at run time by a message to /rig/NAME:");
    for (int i = 0; i < FAULTS; i++)
        print_row(FAULT_ROWS[i].name, FAULT_ROWS[i].unit, FAULT_ROWS[i].help);
}

static bool
read_port(const char *text, struct Options *options)
{
    char *end;
    unsigned long port = strtoul(text, &end, 10);

    if (text[0] < '0' || text[0] > '9' || *end != '\0' || port > 65535) {
        fprintf(stderr, "mock-desk: --port: \"%s\" is not a port from 0 to 65535\n", text);
        return false;
    }
    options->port = text;
    return true;
}

static bool
read_fault(const char *text, enum Fault fault, struct Faults *faults)
{
    const struct FaultRow *row = &FAULT_ROWS[fault];
    char *end;
    double value = strtod(text, &end);

    if (end != text && *end == '\0' && Faults_set(faults, fault, value))
        return true;
    fprintf(stderr, "mock-desk: --%s: \"%s\" is not a %s from %g to %g\n", row->name, text,
            row->whole ? "whole number" : "number", row->low, row->high);
    return false;
}

static enum OptionsResult
read_plain(struct Options *options, enum Plain plain, const char *text)
{
    switch (plain) {
    case PLAIN_STATE:
        options->state_file = text;
        return OPTIONS_RUN;
    case PLAIN_HOST:
        options->host = text;
        return OPTIONS_RUN;
    case PLAIN_PORT:
        return read_port(text, options) ? OPTIONS_RUN : OPTIONS_BAD;
    case PLAIN_LOG:
        options->log_file = text;
        return OPTIONS_RUN;
    case PLAIN_HELP:
    case PLAINS:
        break;
    }
    print_help();
    return OPTIONS_HELPED;
}

static enum OptionsResult
read_one(struct Options *options, int found, const char *name, const char *text)
{
    if (found >= FIRST_FAULT)
        return read_fault(text, (enum Fault)(found - FIRST_FAULT), &options->faults) ? OPTIONS_RUN
                                                                                     : OPTIONS_BAD;
    if (found >= FIRST_PLAIN)
        return read_plain(options, (enum Plain)(found - FIRST_PLAIN), text);
    fprintf(stderr, "mock-desk: %s: %s\n", name, found == ':' ? "needs a value" : "not a switch");
    return OPTIONS_BAD;
}

static enum OptionsResult
check(const struct Options *options, int argc, char **argv)
{
    if (optind < argc)
        fprintf(stderr, "mock-desk: %s: not a switch\n", argv[optind]);
    else if (options->state_file == NULL)
        fputs("mock-desk: --state: a state file is required\n", stderr);
    else
        return OPTIONS_RUN;
    return OPTIONS_BAD;
}

enum OptionsResult
Options_read(struct Options *options, int argc, char **argv)
{
    struct option switches[PLAINS + FAULTS + 1];
    enum OptionsResult result;
    int found;

    *options = (struct Options){.host = "127.0.0.1", .port = "0"};
    Faults_init(&options->faults);
    fill_switches(switches);
    while ((found = getopt_long(argc, argv, ":", switches, NULL)) != -1) {
        result = read_one(options, found, argv[optind - 1], optarg);
        if (result != OPTIONS_RUN)
            return result;
    }
    return check(options, argc, argv);
}
