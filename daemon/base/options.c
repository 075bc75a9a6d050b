#include "base/options.h"

#include <getopt.h>
#include <stdlib.h>
#include <string.h>

#include "base/output.h"
#include "base/problems.h"
#include "command/commands.h"

enum option_id {
    OPTION_PROFILE,
    OPTION_DESK,
    OPTION_FORMAT,
    OPTION_FORMAT_HTML,
    OPTION_FORMAT_CSV,
    OPTION_WITHIN,
    OPTION_STILL_EVERY,
    OPTION_ALL,
    OPTION_ASK,
    OPTION_FOR,
    OPTION_SCHEMA,
    OPTION_HELP,
    OPTION_KEEP,
    OPTION_PLAIN,
    OPTION_TRACE,
    OPTION_APPROVED,
    OPTION_INCOMPLETE,
    OPTION_BY,
    OPTION_NOTE,
    OPTION_WHY,
    OPTION_CHECK,
    OPTION_INPUT,
    OPTION_MIX,
    OPTION_PLAYER,
    OPTION_STOP_TOO,
    OPTION_NOW,
    OPTION_LIST,
    OPTION_END,
    OPTION_SAVED,
    OPTION_SAVE,
    OPTION_REFERENCE,
    OPTION_RECORD,
    OPTION_RECORD_LIMIT,
    OPTION_AT,
    OPTION_SCHEME,
    OPTION_SHOW,
    OPTION_TO,
    OPTION_ANONYMOUS,
    OPTION_YES,
    OPTIONS
};

#define BIT(name) (UINT64_C(1) << OPTION_##name)

static const struct {
    const char *name;
    const char *argument; /* NULL: takes none */
    const char *help;
    enum option_id id;
} rows[] = {
    {"profile", "FILE", "how the desk speaks OSC, in place of the show file's", OPTION_PROFILE},
    {"desk", "HOST[:PORT]", "where the desk is, in place of the show file's", OPTION_DESK},
    {"format", "text|json", "form of the report (default: text)", OPTION_FORMAT},
    {"format", "text|json|html", "form of the report (default: text)", OPTION_FORMAT_HTML},
    {"format", "text|json|html|csv", "form of the sheets or of the class (default: text)",
     OPTION_FORMAT_CSV},
    {"within", "SECONDS", "end the reading after this time, whatever came (default: 10)",
     OPTION_WITHIN},
    {"still-every", "SECONDS", "how often to say \"still watching\"; 0: never (default: 900)",
     OPTION_STILL_EVERY},
    {"schema", "profile|show", "print the JSON Schema of such a file, for editors, and end",
     OPTION_SCHEMA},
    {"all", NULL, "list every finding, not only the first nine", OPTION_ALL},
    {"ask", NULL, "put the profile's questions, not only its renewals", OPTION_ASK},
    {"for", "TIME", "how long: 90, 90s, 30m or 2h (without it: until it is ended)", OPTION_FOR},
    {"yes", NULL, "agree to what the profile sends; the list is printed", OPTION_YES},
    {"keep", "FOLDER", "where a watch keeps what outlasts a restart, and its socket", OPTION_KEEP},
    {"plain", NULL, "lines, also on a terminal, in place of the screen", OPTION_PLAIN},
    {"trace", NULL, "each step of each finding's life on standard error", OPTION_TRACE},
    {"saved", "FILE", "look at a saved desk in place of the real one", OPTION_SAVED},
    {"save", "FILE", "store the whole desk as it was read, in a new file", OPTION_SAVE},
    {"record", "FILE", "keep what the desk says, and all else that comes in, for `replay`",
     OPTION_RECORD},
    {"record-limit", "MB", "so large it becomes FILE.1 and a new one begins (default: 64)",
     OPTION_RECORD_LIMIT},
    {"at", "TIME", "end there: a time of day (21:37:05), or seconds from the beginning", OPTION_AT},
    {"approved", "FILE", "the approved desk, in place of the show file's", OPTION_APPROVED},
    {"reference", "FILE", "compare with this saved desk, in place of the approved one",
     OPTION_REFERENCE},
    {"scheme", "FILE", "the marking scheme, in place of the built-in one", OPTION_SCHEME},
    {"show", "FILE", "the show file that says who plays where", OPTION_SHOW},
    {"to", "FOLDER", "write a page for each setup, an overview and a table there", OPTION_TO},
    {"anonymous", "WORD", "ids made from file names and this word, which you keep",
     OPTION_ANONYMOUS},
    {"incomplete", NULL, "also when some values are not known", OPTION_INCOMPLETE},
    {"by", "NAME", "who does it", OPTION_BY},
    {"note", "TEXT", "what is worth remembering of it", OPTION_NOTE},
    {"why", "TEXT", "the reason", OPTION_WHY},
    {"check", "ID", "findings of this check", OPTION_CHECK},
    {"input", "NUMBER", "findings of this input", OPTION_INPUT},
    {"mix", "NUMBER", "findings of this mix, or that show in it", OPTION_MIX},
    {"player", "NAME", "findings for this player", OPTION_PLAYER},
    {"stop-too", NULL, "findings of weight stop as well", OPTION_STOP_TOO},
    {"now", NULL, "do it; without it only what it would match is listed", OPTION_NOW},
    {"list", NULL, "list what is quieted, and what was", OPTION_LIST},
    {"end", "NUMBER", "end this quieting before its time", OPTION_END},
    {"help", NULL, "this text", OPTION_HELP},
};

enum { ROWS = (int)(sizeof rows / sizeof *rows) };

const struct command commands[] = {
    {"audit", "[SHOW]", "read the desk once and report what to change",
     "Reads every value the profile names, runs every check, prints one page and ends. "
     "SHOW is a show file. Without one, --profile and --desk say what to read; kinds of "
     "sources and mixes are then taken from the labels on the desk.",
     BIT(PROFILE) | BIT(DESK) | BIT(FORMAT_HTML) | BIT(WITHIN) | BIT(ALL) | BIT(APPROVED) |
         BIT(SAVED) | BIT(SAVE) | BIT(YES) | BIT(KEEP),
     1, command_audit},
    {"watch", "[SHOW...]", "stay with the desk and tell what changes",
     "Reads the desk, prints the audit page, then stays: tells each finding when it is "
     "raised, gets worse or is cleared, on the terminal and to the chat hook of the show "
     "file. Ends on Ctrl-C; SIGHUP reads the files anew. With several show files it watches "
     "all their desks at once, each on its own; lines then begin with the name of the show. "
     "On a terminal it is one screen, ? shows its keys; --plain prints lines there too.",
     BIT(PROFILE) | BIT(DESK) | BIT(STILL_EVERY) | BIT(ALL) | BIT(KEEP) | BIT(PLAIN) | BIT(TRACE) |
         BIT(APPROVED) | BIT(RECORD) | BIT(RECORD_LIMIT) | BIT(YES),
     64, command_watch},
    {"replay", "FILE", "run a recorded watch once more, and print what it told",
     "Runs the watch over a recording that `watch --record` made, much faster than it was, and "
     "prints the lines with the recording's own times. It needs no other file, speaks to no "
     "desk and tells nobody else. With --save, the desk as it stood at the end, or at --at, is "
     "stored as a saved desk that audit, retrim and compare take with --saved.",
     BIT(ALL) | BIT(TRACE) | BIT(SAVE) | BIT(AT), 1, command_replay},
    {"retrim", "[SHOW]", "list the moves that give unused preamp gain back",
     "Reads the desk once and works out new preamps, sends and masters that leave every path "
     "gain as it is, with the masters at 0 dB and the loudest send of each preamp at 0 dB. "
     "The list is for a person to follow; nothing is sent to the desk.",
     BIT(PROFILE) | BIT(DESK) | BIT(FORMAT) | BIT(WITHIN) | BIT(SAVED) | BIT(YES) | BIT(KEEP), 1,
     command_retrim},
    {"listen", "[SHOW]", "show what the desk says and what the profile makes of it",
     "For writing a profile: prints each address the desk speaks from, with its types, last "
     "value and rate, and the value it became or why it became none. Ends on Ctrl-C with the "
     "entries that never got an answer, and a suggested entry for each address that has none.",
     BIT(PROFILE) | BIT(DESK) | BIT(ASK) | BIT(FOR) | BIT(YES) | BIT(KEEP), 1, command_listen},
    {"approve", "SHOW", "store the desk as it is, as it should stay",
     "Reads the desk once and writes every value to a file: SHOW without .json, and with "
     ".approved.json behind it, or as the show file says. `compare` and the watch look at it.",
     BIT(PROFILE) | BIT(DESK) | BIT(WITHIN) | BIT(APPROVED) | BIT(INCOMPLETE) | BIT(BY) |
         BIT(NOTE) | BIT(KEEP) | BIT(YES),
     1, command_approve},
    {"compare", "SHOW", "say what differs from the approved desk",
     "Reads the desk once and lists findings that are new, worse or fixed since the desk was "
     "approved, by player, and then what moved: protection, gains and taps first. "
     "With --reference it compares with any saved desk, a trainer's or a tour's: path gains "
     "that differ, then values by kind. A preamp that differs while every path gain agrees "
     "is another offset and no difference.",
     BIT(PROFILE) | BIT(DESK) | BIT(FORMAT) | BIT(WITHIN) | BIT(ALL) | BIT(APPROVED) | BIT(SAVED) |
         BIT(REFERENCE) | BIT(YES) | BIT(KEEP),
     1, command_compare},
    {"review", "FILE...", "mark one or many setups by a scheme",
     "For trainers: each FILE is a saved desk (`audit --save`), the file's name the student's "
     "id. "
     "Prints a sheet with every mark explained, what was right, and what settings cannot show; "
     "--to FOLDER writes a page for each setup, overview.html and marks.csv. The same files, "
     "scheme and show file give the same marks; `explain scheme` prints the built-in one.",
     BIT(FORMAT_CSV) | BIT(SCHEME) | BIT(SHOW) | BIT(TO) | BIT(ANONYMOUS), 10000, command_review},
    {"tell-test", "SHOW", "send one marked test message to the show's chat hook",
     "Sends it the way the watch does, waits for the answer and says what it was. Where it "
     "arrived, a running watch whose hook had stopped delivery begins again.",
     BIT(KEEP), 1, command_tell_test},
    {"room", "SHOW [ROOM]", "tell or change what the room is doing, for a running watch",
     "ROOM is line-check, doors, show or changeover; the last ends by itself, after --for or "
     "as the show file says.",
     BIT(PROFILE) | BIT(DESK) | BIT(FORMAT) | BIT(KEEP) | BIT(FOR), 2, command_room},
    {"quiet", "SHOW", "hold findings back for a stated time, for a stated reason",
     "All that is named must match. Lists what it matches; with --now it does it. Findings of "
     "weight stop are spared unless --stop-too says otherwise. They are judged all the while, "
     "and told when the time is over and they still stand.",
     BIT(PROFILE) | BIT(DESK) | BIT(FORMAT) | BIT(KEEP) | BIT(FOR) | BIT(WHY) | BIT(BY) |
         BIT(CHECK) | BIT(INPUT) | BIT(MIX) | BIT(PLAYER) | BIT(STOP_TOO) | BIT(NOW) | BIT(LIST) |
         BIT(END),
     1, command_quiet},
    {"status", "SHOW", "say what a running watch knows",
     "Link, what the room is doing, open findings, what is held back and by what.",
     BIT(PROFILE) | BIT(DESK) | BIT(FORMAT) | BIT(KEEP), 1, command_status},
    {"reload", "SHOW", "let a running watch read profile and show file anew",
     "All or nothing: with a mistake in a file the watch goes on with what it has.",
     BIT(PROFILE) | BIT(DESK) | BIT(FORMAT) | BIT(KEEP), 1, command_reload},
    {"check", "FILE...", "look for mistakes in profiles and show files",
     "Reads each file as the other commands would and lists every mistake with its place. "
     "For a profile it also prints what is sent beyond questions without arguments at the "
     "address of their own answer. "
     "With --schema it reads no file.",
     BIT(SCHEMA), 100, command_check},
    {"explain", "[CHECK|TOPIC]", "say what a check looks for, and why",
     "Without a word: lists the checks. With a check's id: what it looks for, why, how to "
     "mend it, its settings, formula and source. \"parameters\" lists what a profile may "
     "name, \"sources\" the kinds of sources a show file may name; "
     "\"scheme\" prints the built-in marking scheme of `review`, \"sending\" what may be sent to "
     "a "
     "desk, \"completion\" what bash needs to complete commands, options and words of this "
     "program.",
     0, 1, command_explain},
};

const int command_count = (int)(sizeof commands / sizeof *commands);

const struct program_option program_options[] = {
    {"--help", "this text; after a command: that command's"},
    {"--version", "the version"},
    {NULL, NULL},
};

/* Columns at which the texts beside commands and options begin. */
enum { COMMAND_COLUMN = 26, OPTION_COLUMN = 29, PROGRAM_COLUMN = 14 };

void
options_print_help(FILE *to)
{
    fputs("usage: gainwarden COMMAND [options]\n\n", to);
    output_paragraph(to, 0, 0,
                     "Reads a mixing desk over OSC and tells a stage-monitor engineer what its "
                     "settings do to level and feedback margin. It only reads the desk: "
                     "`gainwarden explain sending`.");
    fputs("\ncommands:\n", to);
    for (int i = 0; i < command_count; i++) {
        char left[60];

        snprintf(left, sizeof left, "%-9s %s", commands[i].name, commands[i].words);
        output_row(to, 2, COMMAND_COLUMN, left, commands[i].summary);
    }
    fputs("\noptions:\n", to);
    for (const struct program_option *option = program_options; option->name; option++)
        output_row(to, 2, PROGRAM_COLUMN, option->name, option->help);
    fputc('\n', to);
    output_paragraph(to, 0, 0,
                     "Exit status: 0 nothing to fix, 1 at least one finding of weight fix or stop, "
                     "2 wrong usage or file, 3 nothing to fix found but something could not be "
                     "known.");
}

static bool
takes(const struct command *command, enum option_id id)
{
    return id == OPTION_HELP || (command->options >> id & 1) != 0;
}

bool
options_next(const struct command *command, int *row, const char **name, const char **argument)
{
    while (*row < ROWS && !takes(command, rows[*row].id))
        ++*row;
    if (*row == ROWS)
        return false;
    *name = rows[*row].name;
    *argument = rows[*row].argument;
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
        snprintf(left, sizeof left, "--%s%s%s", rows[i].name, rows[i].argument ? "=" : "",
                 rows[i].argument ? rows[i].argument : "");
        output_row(stdout, 2, OPTION_COLUMN, left, rows[i].help);
    }
}

/* "90", "90s", "30m", "2h" */
static bool
take_time(const char *name, const char *text, double *seconds)
{
    char *end;
    double number = strtod(text, &end);
    double unit = *end == 'm' ? 60 : *end == 'h' ? 3600 : 1;

    if (end != text && strchr("smh", *end) && (!*end || !end[1]) && number * unit >= 0.1 &&
        number * unit <= 7 * 86400) {
        *seconds = number * unit;
        return true;
    }
    fprintf(stderr,
            "gainwarden: --%s=%s: must be a time of at most a week, such as 90s, 30m or 2h\n", name,
            text);
    return false;
}

static bool
take_whole(const char *name, const char *text, int *to)
{
    char *end;
    long number = strtol(text, &end, 10);

    if (end == text || *end || number < 1 || number > 1000000) {
        fprintf(stderr, "gainwarden: --%s=%s: must be a whole number from 1\n", name, text);
        return false;
    }
    *to = (int)number;
    return true;
}

static bool
take_seconds(const char *name, const char *text, double least, double *seconds)
{
    char *end;
    double number = strtod(text, &end);

    if (end == text || *end || !(number >= least && number <= 86400)) {
        fprintf(stderr, "gainwarden: --%s=%s: must be seconds from %g to 86400\n", name, text,
                least);
        return false;
    }
    *seconds = number;
    return true;
}

static bool
take_megabytes(const char *name, const char *text, double *mb)
{
    char *end;
    double number = strtod(text, &end);

    if (end == text || *end || !(number >= 0.01 && number <= 1000)) {
        fprintf(stderr, "gainwarden: --%s=%s: must be megabytes from 0.01 to 1000\n", name, text);
        return false;
    }
    *mb = number;
    return true;
}

/* What needs no look at its argument. */
static void
take_plain(struct options *options, enum option_id id, const char *argument)
{
    const struct {
        enum option_id id;
        const char **text; /* one of the two */
        bool *flag;
    } places[] = {{OPTION_ASK, NULL, &options->ask},
                  {OPTION_ALL, NULL, &options->all},
                  {OPTION_PLAIN, NULL, &options->plain},
                  {OPTION_TRACE, NULL, &options->trace},
                  {OPTION_INCOMPLETE, NULL, &options->incomplete},
                  {OPTION_STOP_TOO, NULL, &options->stop_too},
                  {OPTION_NOW, NULL, &options->now},
                  {OPTION_LIST, NULL, &options->list},
                  {OPTION_YES, NULL, &options->yes},
                  {OPTION_KEEP, &options->keep, NULL},
                  {OPTION_APPROVED, &options->approved, NULL},
                  {OPTION_SAVED, &options->saved, NULL},
                  {OPTION_SAVE, &options->save, NULL},
                  {OPTION_RECORD, &options->record, NULL},
                  {OPTION_AT, &options->at, NULL},
                  {OPTION_SCHEME, &options->scheme, NULL},
                  {OPTION_SHOW, &options->show, NULL},
                  {OPTION_TO, &options->to, NULL},
                  {OPTION_ANONYMOUS, &options->anonymous, NULL},
                  {OPTION_REFERENCE, &options->reference, NULL},
                  {OPTION_BY, &options->by, NULL},
                  {OPTION_NOTE, &options->note, NULL},
                  {OPTION_WHY, &options->why, NULL},
                  {OPTION_CHECK, &options->check, NULL},
                  {OPTION_PLAYER, &options->player, NULL}};

    for (size_t i = 0; i < sizeof places / sizeof *places; i++)
        if (places[i].id == id && places[i].flag)
            *places[i].flag = true;
        else if (places[i].id == id)
            *places[i].text = argument;
}

static bool
take_format(struct options *options, enum option_id id, const char *argument)
{
    static const char *const names[] = {"text", "json", "html", "csv"};
    static const char *const allowed[] = {"text and json", "text, json and html",
                                          "text, json, html and csv"};
    int more = (int)id - OPTION_FORMAT; /* the three stand in a row */

    for (int format = FORMAT_TEXT; format <= FORMAT_JSON + more; format++)
        if (strcmp(argument, names[format]) == 0) {
            options->format = (enum format)format;
            return true;
        }
    fprintf(stderr, "gainwarden: --format=%s: allowed are %s\n", argument, allowed[more]);
    return false;
}

/* Takes one option with its argument. */
static bool
take(struct options *options, enum option_id id, const char *argument)
{
    switch ((int)id) {
    case OPTION_PROFILE:
        options->profile = argument;
        return true;
    case OPTION_DESK:
        options->desk = argument;
        return true;
    case OPTION_FORMAT:
    case OPTION_FORMAT_HTML:
    case OPTION_FORMAT_CSV:
        return take_format(options, id, argument);
    case OPTION_SCHEMA:
        options->schema = argument;
        return true;
    case OPTION_WITHIN:
        return take_seconds("within", argument, 0.1, &options->within_s);
    case OPTION_STILL_EVERY:
        return take_seconds("still-every", argument, 0, &options->still_every_s);
    case OPTION_RECORD_LIMIT:
        return take_megabytes("record-limit", argument, &options->record_mb);
    case OPTION_FOR:
        return take_time("for", argument, &options->for_s);
    case OPTION_INPUT:
        return take_whole("input", argument, &options->input);
    case OPTION_MIX:
        return take_whole("mix", argument, &options->mix);
    case OPTION_END:
        return take_whole("end", argument, &options->end);
    default:
        take_plain(options, id, argument);
        return true;
    }
}

/* An option is this and its id to getopt_long(), which is no letter. Were they all the same, it
 * would take the first of several that a short form may stand for. */
enum { FIRST_NUMBER = 256 };

struct names {
    char names[ROWS][24]; /* with the dashes */
    size_t count;
};

static const char *
name_at(const void *context, size_t i)
{
    return ((const struct names *)context)->names[i];
}

/* Says what is wrong with the option that getopt_long() refused. */
static void
say_refused(const struct command *command, int result, const char *word)
{
    struct names names = {.count = 0};
    char nearest[100] = "";
    size_t length = strcspn(word, "=");
    bool has_argument = word[length] == '=';
    char name[64];

    for (int i = 0; i < ROWS; i++)
        if (takes(command, rows[i].id))
            snprintf(names.names[names.count++], sizeof names.names[0], "--%s", rows[i].name);
    if (optopt > 0 && optopt < FIRST_NUMBER) /* a letter, perhaps inside a word of several */
        snprintf(name, sizeof name, "-%c", optopt);
    else
        snprintf(name, sizeof name, "%.*s", (int)length, word);
    for (size_t i = 0; i < names.count && has_argument; i++)
        if (strcmp(names.names[i], name) == 0) {
            fprintf(stderr, "gainwarden: %s takes no argument\nTry `gainwarden %s --help`.\n", name,
                    command->name);
            return;
        }
    if (result == ':')
        fprintf(stderr, "gainwarden: %s needs an argument", name);
    else
        fprintf(stderr, "gainwarden: unknown option %s%s", name,
                where_nearest(name, name_at, &names, names.count, nearest));
    fprintf(stderr, "\nTry `gainwarden %s --help`.\n", command->name);
}

static void
list_options(const struct command *command, struct option list[ROWS + 1])
{
    int count = 0;

    for (int i = 0; i < ROWS; i++) {
        if (!takes(command, rows[i].id))
            continue;
        list[count++] =
            (struct option){rows[i].name, rows[i].argument ? required_argument : no_argument, NULL,
                            FIRST_NUMBER + (int)rows[i].id};
    }
    list[count] = (struct option){0};
}

bool
options_read(const struct command *command, int argc, char **argv, struct options *options,
             int *status)
{
    struct option list[ROWS + 1];
    enum option_id id;
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
        id = (enum option_id)(result - FIRST_NUMBER);
        if (id == OPTION_HELP) {
            print_command_help(command);
            *status = EXIT_CLEAN;
            return false;
        }
        if (!take(options, id, optarg))
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
