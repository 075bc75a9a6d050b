/* SPDX-License-Identifier: MIT */
/* What stands behind a command's name: one table of options, and what they say. */
#ifndef GAINWARDEN_OPTIONS_H
#define GAINWARDEN_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Exit statuses. */
enum { EXIT_CLEAN = 0, EXIT_FINDINGS = 1, EXIT_USAGE = 2, EXIT_NOT_KNOWN = 3, EXIT_NO_MEMORY = 4 };

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
    OPTION_BOARD,
    OPTION_JOIN,
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
    OPTION_ROLE,
    OPTION_PORT,
    OPTION_SAVE_PROFILE,
    OPTION_TURN,
    OPTION_FORGET,
    OPTIONS
};

enum { OPTIONS_MESSAGES = 8 };

enum format { FORMAT_TEXT, FORMAT_JSON, FORMAT_HTML, FORMAT_CSV };

struct options {
    const char *profile;                    /* --profile */
    const char *desk;                       /* --desk HOST[:PORT] */
    enum format format;                     /* --format */
    const char *schema;                     /* --schema */
    double within_s;                        /* --within */
    double still_every_s;                   /* --still-every */
    bool all;                               /* --all */
    bool ask;                               /* --ask */
    const char *messages[OPTIONS_MESSAGES]; /* --ask=MESSAGE, message_count of them */
    int message_count;
    const char *turn;      /* --turn */
    int port;              /* --port; 0: not given */
    double for_s;          /* --for; 0: not given */
    const char *keep;      /* --keep */
    bool plain;            /* --plain */
    const char *board;     /* --board; "": without an address */
    bool join;             /* --join */
    bool trace;            /* --trace */
    const char *approved;  /* --approved */
    const char *saved;     /* --saved */
    const char *save;      /* --save */
    const char *record;    /* --record */
    double record_mb;      /* --record-limit */
    const char *at;        /* --at */
    const char *reference; /* --reference */
    const char *role;      /* --role */
    const char *scheme;    /* --scheme */
    const char *show;      /* --show */
    const char *to;        /* --to */
    const char *anonymous; /* --anonymous */
    bool incomplete;       /* --incomplete */
    const char *by;        /* --by */
    const char *note;      /* --note */
    const char *why;       /* --why */
    const char *check;     /* --check */
    int input, mix;        /* --input, --mix, from 1; 0: not given */
    const char *player;    /* --player */
    bool stop_too;         /* --stop-too */
    bool now;              /* --now */
    bool list;             /* --list */
    bool yes;              /* --yes */
    int end;               /* --end; 0: not given */
    int forget;            /* --forget; 0: not given */
    char **words;          /* what is not an option, word_count of them */
    int word_count;
    const struct command *commands; /* all there are; the last has no name */
};

/* Does what a command is for; the exit status. */
typedef int command_fn(const struct options *options);

struct command {
    const char *name;
    const char *words; /* what it takes besides options, for the help */
    const char *summary;
    const char *help;
    uint64_t options; /* which it takes besides --help: a bit for each enum option_id */
    int most_words;
    command_fn *run;
};

/* What stands in a command's place; the last has no name. */
struct program_option {
    const char *name, *help;
};

extern const struct program_option program_options[];

/* One after another the options of a command, from *row 0 on, in the order of its help: the name
 * without dashes, and what it takes, NULL when that is nothing or may be. False behind the last. */
bool options_next(const struct command *command, int *row, const char **name,
                  const char **argument);

/* Reads the words after the command's name. False when they were wrong or help was asked for, with
 * the exit status to end with. */
bool options_read(const struct command *command, int argc, char **argv, struct options *options,
                  int *status);

/* Whether what an option says has room where it is kept: `size` bytes with its end. False, told on
 * standard error. */
bool options_fit(const char *option, const char *text, size_t size);

#endif
