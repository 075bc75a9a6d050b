/* SPDX-License-Identifier: MIT */
/* What tonight is: who plays into which input, which mix feeds whom, how strict each check is, and
 * what was accepted. Filled by daemon/ from the show file; the rules only read it.
 */
#ifndef GAINWARDEN_RULES_SHOW_H
#define GAINWARDEN_RULES_SHOW_H

#include <stdbool.h>
#include <stddef.h>

struct stage;

enum role { ROLE_UNKNOWN, ROLE_MONITOR, ROLE_HOUSE };

enum feeds {
    FEEDS_UNKNOWN,
    FEEDS_WEDGE,
    FEEDS_SIDE_FILL,
    FEEDS_DRUM_FILL,
    FEEDS_IN_EAR,
    FEEDS_UNUSED,
    FEEDS_COUNT
};

enum { SHOW_NAME_SIZE = 64, SHOW_WHY_SIZE = 200, CHECK_SETTINGS = 6 };

/* What is plugged into an input, as far as 48 V is concerned. */
enum microphone {
    MICROPHONE_UNKNOWN,
    MICROPHONE_DYNAMIC,
    MICROPHONE_RIBBON,
    MICROPHONE_CONDENSER,
    MICROPHONE_ACTIVE_DI,
    MICROPHONE_LINE,
    MICROPHONES
};

/* What else an input is recorded or sent out by, whose level a preamp move would change. */
enum also_feeds { ALSO_FEEDS_NOTHING, ALSO_FEEDS_RECORDING, ALSO_FEEDS_STREAM };

struct show_input {
    int source;       /* position in sources[], or SOURCE_UNKNOWN when the show file does not say */
    double lowest_hz; /* this player's lowest note, as a voice has its own; 0: not told */
    char player[SHOW_NAME_SIZE]; /* "" when not said */
    bool house_preamp;           /* the house desk owns the preamp */
    enum also_feeds also_feeds;  /* what hears the preamp besides the mixes */
    enum microphone microphone;  /* MICROPHONE_UNKNOWN when not said */
};

struct show_mix {
    enum feeds feeds; /* FEEDS_UNKNOWN when the show file does not say */
    char player[SHOW_NAME_SIZE];
    bool limited_elsewhere; /* an in-ear mix whose limiter is in the transmitter */
    bool tuned_here; /* the parametric equaliser holds the loudspeaker's tuning, not ring cuts */
};

struct show_check {
    bool off;
    double settings[CHECK_SETTINGS];     /* in the order of the check's own table */
    double raise_after_s, clear_after_s; /* holds of a watch */
};

/* One finding the engineer lives with. */
struct accept {
    int check;      /* its number */
    int input, mix; /* 0-based, -1 when not named */
    double up_to;   /* the finding comes back when its leading figure is above; HUGE_VAL: never.
                     * Today's figure, in the file where people see it */
    int until;      /* last day, year * 10000 + month * 100 + day; 0: no end */
    char why[SHOW_WHY_SIZE];
    char by[SHOW_NAME_SIZE];
};

struct show {
    char name[SHOW_NAME_SIZE];
    enum role role;
    int input_count, mix_count;
    struct show_input *inputs;
    struct show_mix *mixes;
    struct show_check *checks; /* by number */
    struct accept *accepts;
    int accept_count;
    struct stage *stage; /* the stage plan (stage/stage.h), owned; NULL: there is none */
};

/* A show that says nothing, whose settings of each check are the presets. */
struct show *show_new(int inputs, int mixes, const struct show_check *presets, int checks);
void show_free(struct show *show);

/* "dynamic", "condenser", ...: as a show file spells it. */
const char *microphone_name(enum microphone microphone);

/* "wedge", "in-ear", ...: as a show file spells it. */
const char *feeds_name(enum feeds feeds);

/* The kind of mix that a label suggests, or FEEDS_UNKNOWN; rest gets the label without the words
 * that told the kind, which is usually the player. */
enum feeds feeds_from_label(const char *label, char rest[SHOW_NAME_SIZE]);

/* True for mixes that end in a loudspeaker, where feedback is possible. */
bool feeds_loudspeaker(enum feeds feeds);

#endif
