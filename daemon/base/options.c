/* SPDX-License-Identifier: MIT */
#include "base/options.h"

#include <getopt.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/output.h"
#include "base/where.h"

struct row {
    const char *name;     /* with its dashes */
    const char *argument; /* NULL: takes none; "[WORD]": may be left out */
    const char *help;
    enum option_id id;
    bool (*take)(const struct row *row, const char *argument, void *to); /* false: told why not */
    size_t at;                                                           /* in struct options */
};

/* ---- taking an argument ---- */

static bool
take_flag(const struct row *row, const char *argument, void *to)
{
    (void)row;
    (void)argument;
    *(bool *)to = true;
    return true;
}

/* Alone it is a flag; each message is one more. */
static bool
take_ask(const struct row *row, const char *argument, void *to)
{
    struct options *options = (struct options *)(void *)((char *)to - row->at);

    if (!argument)
        options->ask = true;
    else if (options->message_count < OPTIONS_MESSAGES)
        options->messages[options->message_count++] = argument;
    else
        fprintf(stderr, "gainwarden: %s: at most %d messages\n", row->name, OPTIONS_MESSAGES);
    return !argument || options->messages[options->message_count - 1] == argument;
}

/* Where it is left out there is an answer to it, an empty one. */
static bool
take_address(const struct row *row, const char *argument, void *to)
{
    (void)row;
    *(const char **)to = argument ? argument : "";
    return true;
}

static bool
take_text(const struct row *row, const char *argument, void *to)
{
    (void)row;
    *(const char **)to = argument;
    return true;
}

static bool
take_format(const struct row *row, const char *argument, void *to)
{
    static const char *const names[] = {"text", "json", "html", "csv"};
    static const char *const allowed[] = {"text and json", "text, json and html",
                                          "text, json, html and csv"};
    int more = (int)row->id - OPTION_FORMAT; /* the three stand in a row */

    for (int format = FORMAT_TEXT; format <= FORMAT_JSON + more; format++)
        if (strcmp(argument, names[format]) == 0) {
            *(enum format *)to = (enum format)format;
            return true;
        }
    fprintf(stderr, "gainwarden: --format=%s: allowed are %s\n", argument, allowed[more]);
    return false;
}

static bool
take_role(const struct row *row, const char *argument, void *to)
{
    *(const char **)to = argument;
    if (strcmp(argument, "monitor") == 0 || strcmp(argument, "house") == 0)
        return true;
    fprintf(stderr, "gainwarden: %s=%s: allowed are monitor and house\n", row->name, argument);
    return false;
}

/* "90", "90s", "30m", "2h" */
static bool
take_time(const struct row *row, const char *argument, void *to)
{
    char *end;
    double number = strtod(argument, &end);
    double unit = *end == 'm' ? 60 : *end == 'h' ? 3600 : 1;

    if (end != argument && strchr("smh", *end) && (!*end || !end[1]) && number * unit >= 0.1 &&
        number * unit <= 7 * 86400) {
        *(double *)to = number * unit;
        return true;
    }
    fprintf(stderr, "gainwarden: %s=%s: must be a time of at most a week, such as 90s, 30m or 2h\n",
            row->name, argument);
    return false;
}

static bool
take_whole(const struct row *row, const char *argument, void *to)
{
    char *end;
    long number = strtol(argument, &end, 10);

    if (end == argument || *end || number < 1 || number > 1000000) {
        fprintf(stderr, "gainwarden: %s=%s: must be a whole number from 1\n", row->name, argument);
        return false;
    }
    *(int *)to = (int)number;
    return true;
}

static bool
take_port(const struct row *row, const char *argument, void *to)
{
    char *end;
    long number = strtol(argument, &end, 10);

    if (end == argument || *end || number < 1 || number > 65535) {
        fprintf(stderr, "gainwarden: %s=%s: must be a whole number from 1 to 65535\n", row->name,
                argument);
        return false;
    }
    *(int *)to = (int)number;
    return true;
}

struct limits {
    const char *of;
    double least, most;
};

static bool
take_number(const struct row *row, const char *argument, struct limits limits, double *to)
{
    char *end;
    double number = strtod(argument, &end);

    if (end != argument && !*end && number >= limits.least && number <= limits.most) {
        *to = number;
        return true;
    }
    fprintf(stderr, "gainwarden: %s=%s: must be %s from %g to %g\n", row->name, argument, limits.of,
            limits.least, limits.most);
    return false;
}

static bool
take_seconds(const struct row *row, const char *argument, void *to)
{
    double least = row->id == OPTION_WITHIN ? 0.1 : 0; /* a reading of no time reads nothing */

    return take_number(row, argument, (struct limits){"seconds", least, 86400}, to);
}

static bool
take_megabytes(const struct row *row, const char *argument, void *to)
{
    return take_number(row, argument, (struct limits){"megabytes", 0.01, 1000}, to);
}

/* ---- the table ---- */

#define AT(field) offsetof(struct options, field)

static const struct row rows[] = {
    {"--profile", "FILE", "how the desk speaks OSC, in place of the show file's", OPTION_PROFILE,
     take_text, AT(profile)},
    {"--desk", "HOST[:PORT]", "where the desk is, in place of the show file's", OPTION_DESK,
     take_text, AT(desk)},
    {"--format", "text|json", "form of the report (default: text)", OPTION_FORMAT, take_format,
     AT(format)},
    {"--format", "text|json|html", "form of the report (default: text)", OPTION_FORMAT_HTML,
     take_format, AT(format)},
    {"--format", "text|json|html|csv", "form of the sheets or of the class (default: text)",
     OPTION_FORMAT_CSV, take_format, AT(format)},
    {"--within", "SECONDS", "end the reading after this time, whatever came (default: 10)",
     OPTION_WITHIN, take_seconds, AT(within_s)},
    {"--still-every", "SECONDS", "how often to say \"still watching\"; 0: never (default: 900)",
     OPTION_STILL_EVERY, take_seconds, AT(still_every_s)},
    {"--schema", "profile|show|stage", "print the JSON Schema of such a file, for editors, and end",
     OPTION_SCHEMA, take_text, AT(schema)},
    {"--all", NULL, "list every finding and every card, not only the first or largest", OPTION_ALL,
     take_flag, AT(all)},
    {"--ask", "[MESSAGE]",
     "put the profile's questions, not only its renewals; with MESSAGE: send that, every 5 s",
     OPTION_ASK, take_ask, AT(ask)},
    {"--port", "NUMBER", "the port of this computer to which the desk was told to send",
     OPTION_PORT, take_port, AT(port)},
    {"--for", "TIME", "how long: 90, 90s, 30m or 2h (without it: until it is ended)", OPTION_FOR,
     take_time, AT(for_s)},
    {"--turn", "FILE", "make a profile of what you turn at the desk, and keep it there",
     OPTION_TURN, take_text, AT(turn)},
    {"--yes", NULL, "agree to what the profile sends; the list is printed", OPTION_YES, take_flag,
     AT(yes)},
    {"--keep", "FOLDER", "where a watch keeps what outlasts a restart, and its socket", OPTION_KEEP,
     take_text, AT(keep)},
    {"--plain", NULL, "lines, also on a terminal, in place of the screen", OPTION_PLAIN, take_flag,
     AT(plain)},
    {"--board", "[ADDRESS]",
     "also a page for a tablet: at this HOST[:PORT], or for this computer alone", OPTION_BOARD,
     take_address, AT(board)},
    {"--join", NULL, "show the screen of the watch that runs, from here", OPTION_JOIN, take_flag,
     AT(join)},
    {"--trace", NULL, "each step of each finding's life on standard error", OPTION_TRACE, take_flag,
     AT(trace)},
    {"--saved", "FILE", "look at a saved desk in place of the real one", OPTION_SAVED, take_text,
     AT(saved)},
    {"--save", "FILE", "store the whole desk as it was read, in a new file", OPTION_SAVE, take_text,
     AT(save)},
    {"--save", "FILE", "store the profile to start from, in a new file", OPTION_SAVE_PROFILE,
     take_text, AT(save)},
    {"--record", "FILE", "keep what the desk says, and all else that comes in, for `replay`",
     OPTION_RECORD, take_text, AT(record)},
    {"--record-limit", "MB", "so large it becomes FILE.1 and a new one begins (default: 64)",
     OPTION_RECORD_LIMIT, take_megabytes, AT(record_mb)},
    {"--at", "TIME", "end there: a time of day (21:37:05), or seconds from the beginning",
     OPTION_AT, take_text, AT(at)},
    {"--approved", "FILE", "the approved desk, in place of the show file's", OPTION_APPROVED,
     take_text, AT(approved)},
    {"--reference", "FILE", "compare with this saved desk, in place of the approved one",
     OPTION_REFERENCE, take_text, AT(reference)},
    {"--role", "monitor|house", "whether the desk feeds the house too, in place of the show file's",
     OPTION_ROLE, take_role, AT(role)},
    {"--scheme", "FILE", "the marking scheme, in place of the built-in one", OPTION_SCHEME,
     take_text, AT(scheme)},
    {"--show", "FILE", "the show file that says who plays where", OPTION_SHOW, take_text, AT(show)},
    {"--to", "FOLDER", "write a page for each setup, an overview and a table there", OPTION_TO,
     take_text, AT(to)},
    {"--anonymous", "WORD", "ids made from file names and this word, which you keep",
     OPTION_ANONYMOUS, take_text, AT(anonymous)},
    {"--incomplete", NULL, "also when some values are not known", OPTION_INCOMPLETE, take_flag,
     AT(incomplete)},
    {"--by", "NAME", "who does it", OPTION_BY, take_text, AT(by)},
    {"--note", "TEXT", "what is worth remembering of it", OPTION_NOTE, take_text, AT(note)},
    {"--why", "TEXT", "the reason", OPTION_WHY, take_text, AT(why)},
    {"--check", "ID", "findings of this check", OPTION_CHECK, take_text, AT(check)},
    {"--input", "NUMBER", "this input alone", OPTION_INPUT, take_whole, AT(input)},
    {"--mix", "NUMBER", "this mix alone", OPTION_MIX, take_whole, AT(mix)},
    {"--player", "NAME", "findings for this player", OPTION_PLAYER, take_text, AT(player)},
    {"--stop-too", NULL, "also where a finding of weight stop stands", OPTION_STOP_TOO, take_flag,
     AT(stop_too)},
    {"--now", NULL, "do it; without it only what it would match is listed", OPTION_NOW, take_flag,
     AT(now)},
    {"--list", NULL, "list what is quieted, and what was", OPTION_LIST, take_flag, AT(list)},
    {"--end", "NUMBER", "end this quieting before its time", OPTION_END, take_whole, AT(end)},
    {"--forget", "NUMBER", "take this one out of what is kept", OPTION_FORGET, take_whole,
     AT(forget)},
    {"--help", NULL, "this text", OPTION_HELP, NULL, 0},
};

enum { ROWS = (int)(sizeof rows / sizeof *rows), DASHES = 2 };

const struct program_option program_options[] = {
    {"--help", "this text; after a command: that command's"},
    {"--version", "the version"},
    {NULL, NULL},
};

/* ---- help ---- */

/* Column at which the texts beside options begin. */
enum { OPTION_COLUMN = 29 };

static bool
takes(const struct command *command, enum option_id id)
{
    return id == OPTION_HELP || (command->options >> id & 1) != 0;
}

static bool
is_optional(const struct row *row)
{
    return row->argument && row->argument[0] == '[';
}

bool
options_next(const struct command *command, int *row, const char **name, const char **argument)
{
    while (*row < ROWS && !takes(command, rows[*row].id))
        ++*row;
    if (*row == ROWS)
        return false;
    *name = rows[*row].name + DASHES;
    *argument = is_optional(&rows[*row]) ? NULL : rows[*row].argument;
    ++*row;
    return true;
}

static void
print_command_help(const struct command *command)
{
    output_format(0, 4, "usage: gainwarden %s [options] %s", command->name, command->words);
    putchar('\n');
    output_wrapped(0, 0, command->help);
    puts("\noptions:");
    for (int i = 0; i < ROWS; i++) {
        char left[40];

        if (!takes(command, rows[i].id))
            continue;
        if (is_optional(&rows[i]))
            snprintf(left, sizeof left, "%s[=%s", rows[i].name, rows[i].argument + 1);
        else
            snprintf(left, sizeof left, "%s%s%s", rows[i].name, rows[i].argument ? "=" : "",
                     rows[i].argument ? rows[i].argument : "");
        output_row(stdout, 2, OPTION_COLUMN, left, rows[i].help);
    }
}

/* ---- reading ---- */

/* An option is this and its row to getopt_long(), which is no letter. Were they all the same, it
 * would take the first of several that a short form may stand for. */
enum { FIRST_NUMBER = 256 };

static const char *
name_at(const void *command, size_t i)
{
    return takes(command, rows[i].id) ? rows[i].name : NULL;
}

/* Says what is wrong with the option that getopt_long() refused. */
static void
say_refused(const struct command *command, int result, const char *word)
{
    char nearest[100] = "";
    size_t length = strcspn(word, "=");
    bool known = false;
    char name[64];

    if (optopt > 0 && optopt < FIRST_NUMBER) /* a letter, perhaps inside a word of several */
        snprintf(name, sizeof name, "-%c", optopt);
    else
        snprintf(name, sizeof name, "%.*s", (int)length, word);
    for (size_t i = 0; i < ROWS; i++)
        known = known || (name_at(command, i) && strcmp(name_at(command, i), name) == 0);
    if (known && word[length] == '=')
        fprintf(stderr, "gainwarden: %s takes no argument", name);
    else if (result == ':')
        fprintf(stderr, "gainwarden: %s needs an argument", name);
    else
        fprintf(stderr, "gainwarden: unknown option %s%s", name,
                where_nearest(name, name_at, command, ROWS, nearest));
    fprintf(stderr, "\nTry `gainwarden %s --help`.\n", command->name);
}

static void
list_options(const struct command *command, struct option list[ROWS + 1])
{
    int count = 0;

    for (int i = 0; i < ROWS; i++) {
        if (!takes(command, rows[i].id))
            continue;
        list[count++] = (struct option){rows[i].name + DASHES,
                                        !rows[i].argument       ? no_argument
                                        : is_optional(&rows[i]) ? optional_argument
                                                                : required_argument,
                                        NULL, FIRST_NUMBER + i};
    }
    list[count] = (struct option){0};
}

bool
options_read(const struct command *command, int argc, char **argv, struct options *options,
             int *status)
{
    struct option list[ROWS + 1];
    const struct row *row;
    int result;

    *options = (struct options){.within_s = 10, .still_every_s = 900, .record_mb = 64};
    *status = EXIT_USAGE;
    list_options(command, list);
    opterr = 0;
    while ((result = getopt_long(argc, argv, ":", list, NULL)) != -1) {
        if (result < FIRST_NUMBER) {
            say_refused(command, result, argv[optind - 1]);
            return false;
        }
        row = &rows[result - FIRST_NUMBER];
        if (row->id == OPTION_HELP) {
            print_command_help(command);
            *status = EXIT_CLEAN;
            return false;
        }
        if (!row->take(row, optarg, (char *)options + row->at))
            return false;
    }
    options->words = argv + optind;
    options->word_count = argc - optind;
    if (options->word_count > command->most_words) {
        fprintf(stderr, "gainwarden: \"%s\" is one word too many\nTry `gainwarden %s --help`.\n",
                options->words[command->most_words], command->name);
        return false;
    }
    return true;
}

bool
options_fit(const char *option, const char *text, size_t size)
{
    if (!text || strlen(text) < size)
        return true;
    fprintf(stderr, "gainwarden: --%s: is longer than %zu bytes\n", option, size - 1);
    return false;
}
