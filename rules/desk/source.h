/* SPDX-License-Identifier: MIT */
/* The kinds of source a stage meets: what each needs from its high-pass filter and phantom power,
 * and the words on a channel label that suggest it.
 */
#ifndef GAINWARDEN_RULES_SOURCE_H
#define GAINWARDEN_RULES_SOURCE_H

#include <stdbool.h>

enum source_phantom { PHANTOM_EITHER, PHANTOM_NEEDED, PHANTOM_NOT_NEEDED };

struct source {
    const char *id;    /* as a show file spells it */
    const char *words; /* label words, "|" between alternatives; all words of one must appear */
    double lowest_hz;  /* lowest note, of a drum where its body begins; 0: none is known */
    double corner_low_hz, corner_high_hz; /* usual high-pass corners */
    bool wants_high_pass;                 /* it has no use for what lies below corner_low_hz */
    enum source_phantom phantom;          /* common practice, no source */
    bool line;               /* a DI, a keyboard, playback: no microphone that could howl */
    const char *lowest_from; /* where the lowest note comes from */
    const char *corner_from; /* where the corners come from */
};

/* All kinds; number 0 is SOURCE_UNUSED, an input nothing is plugged into. */
extern const struct source sources[];
extern const int source_count;

enum { SOURCE_UNKNOWN = -1, SOURCE_UNUSED = 0 };

/* "a" or "an", for the id. */
const char *source_article(const struct source *source);

/* True where lowest_hz is no note, but where the body of the drum begins. */
bool source_is_drum(const struct source *source);

/* What stands at lowest_hz: "lowest note", of a drum "body". */
const char *source_lowest(const struct source *source);

/* The kind that a label suggests, or SOURCE_UNKNOWN. The alternative with the most words wins, then
 * the one with the most letters, then the earlier row. */
int source_from_label(const char *label);

#endif
