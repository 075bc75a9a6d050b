/* SPDX-License-Identifier: MIT */
/* A check: one rule about one kind of object. Each stands in a file of its own, rules/check/: what
 * it reads, how it judges, the words of a finding, the worked example, and a table row with its
 * explanation. check/list.h names them all once.
 */
#ifndef GAINWARDEN_RULES_CHECK_H
#define GAINWARDEN_RULES_CHECK_H

#include <stdbool.h>

#include "check/list.h"
#include "core/credit.h"
#include "desk/param.h"
#include "desk/show.h"
#include "look/look.h"

/* Besides its own object, which objects a changed value touches. */
enum spread {
    SPREAD_OWN,
    SPREAD_PREAMP, /* every input fed by the same preamp */
    SPREAD_MIXES,  /* every mix */
    SPREAD_PAIR    /* a mix touches its neighbours: one of them may be the other ear */
};

/* What a check is about, in the order in which things are put right. */
enum subject {
    SUBJECT_PROTECTION,
    SUBJECT_STRUCTURE,
    SUBJECT_FILTERS,
    SUBJECT_EQUALISERS,
    SUBJECT_ROUTING,
    SUBJECTS
};

struct setting {
    const char *name; /* with its unit; NULL ends the list */
    double preset, least, most;
    const char *help;
    double eases;         /* dead band: added to the setting while the finding stands, */
    enum weight eases_at; /* with at least this weight */
    const char *from;     /* where the preset comes from: a title of credit.h, or practice */
};

/* From which weight on a finding is told as soon as it holds: it waits for no company. */
enum urgency { URGENT_STOP, URGENT_FIX, URGENT_NOTE };

/* Holds of a check that names none, s; and what each hold is. */
#define CHECK_RAISE_AFTER_S 3.0
#define CHECK_CLEAR_AFTER_S 10.0
#define CHECK_RAISE_AFTER_HELP "how long it must hold in a watch before it is told"
#define CHECK_CLEAR_AFTER_HELP "how long it must be gone before that is told"

/* A finding in words. */
struct words {
    char says[400]; /* what is wrong, with the figures */
    char cure[600]; /* what to do, in order */
};

/* A finding on its way to words. */
struct wording {
    struct look *look; /* of what the judging saw; what it misses reaches no verdict any more */
    struct object object;
    const struct verdict *verdict;
    struct text says; /* what is wrong, with the figures */
    struct text cure; /* what to do, in order */
};

struct check {
    const char *id; /* never reused, never reworded */
    int number;     /* of enum check_number */
    enum subject subject;
    unsigned objects; /* OBJECT_... */
    enum spread spread;
    bool momentary;  /* rests on a meter, which is another one in a second: audits only */
    bool protects;   /* finds lost protection: judged and told in the middle of a recall, too */
    bool watch_only; /* rests on what a watch remembers, an approved desk or a proof */
    bool of_proofs;  /* rests on what ring-outs proved: nothing marks it where none is kept */
    bool of_plan;    /* rests on a stage plan: not looked for without one, and never in a watch */
    bool of_spectra; /* rests on what the desk's spectra show: the same where none are heard */
    bool suspects;   /* a note of it is a suspicion, which no chat gets */
    enum urgency urgency;
    const enum param_id *reads;     /* ended by PARAMS; run and say may look at nothing else */
    const enum param_id *mix_reads; /* what it reads for a mix, where that is less; NULL: `reads` */
    struct setting settings[CHECK_SETTINGS];
    const char *severity; /* the figure that leads: accepted up to it, worse when it grows */
    double worse_step;    /* by how much it must grow to be told again */
    double raise_after_s; /* how long it must hold in a watch; 0: CHECK_RAISE_AFTER_S */
    double clear_after_s; /* how long it must stay away; 0: CHECK_CLEAR_AFTER_S */
    const char *fails_when;
    const char *why;
    const char *cure;
    const char *formula;
    const char *source;       /* published source, or "common practice, no source" */
    const char *disagreement; /* where the trade disagrees, with whoever says so; else what it
                                 agrees on and what is not settled */
    /* Judges: outcome, weight, severity and figures, with mix, band, what was inferred and what is
     * missing. No words. */
    void (*run)(struct look *look, struct object object);
    /* Says a finding, from its figures and another look at the desk. It stands below the judging in
     * the same file, and shares nothing with it but pure helpers. */
    void (*say)(struct wording *wording);
    /* The worked example: the formula step by step, from the figures of a finding of this check
     * alone. Called through teach_work(). */
    void (*work)(struct text *text, const struct verdict *verdict);
};

/* The checks that look at one desk, by number; NULL: that one does not, and counts as switched off.
 * A value: each engine has its own, from its caller. */
struct check_set {
    const struct check *of[CHECKS];
};

/* Every check there is. */
extern const struct check_set check_set_all;

/* The same without those that rest on a meter, for whoever compares two moments. */
struct check_set check_set_compared(void);

/* The same without those that estimate, too, for whoever looks for longer than a moment. */
struct check_set check_set_lasting(void);

/* Takes out those that rest on a stage plan. */
void check_set_drop_estimates(struct check_set *set);

/* What the check reads for an input or the desk, or for a mix. */
const enum param_id *check_reads(const struct check *check, bool mix);

enum { CHECK_AFRESH = -1 };

/* Readies `verdict` and runs the check on the object. `standing`: the weight of the finding that
 * stands there, whose dead band then counts; CHECK_AFRESH: none does. `misses` (may be NULL) gets
 * what was missing where that is why it is not known. Makes no words. */
void check_run(const struct check *check, const struct ground *ground, int standing,
               struct object object, struct verdict *verdict, struct misses *misses);

/* The words of a finding that the check made of the object so, on the ground as it was then. */
void check_say(const struct check *check, const struct ground *ground, int standing,
               struct object object, const struct verdict *verdict, struct words *words);

/* A show that says nothing, with every setting of the checks at its default. */
struct show *check_set_show(struct check_set set, int inputs, int mixes);

/* The check's id, by its number. */
const char *check_name(int number);

/* Number of the check that a user's file calls `id`, or -1. */
int check_find(const char *id);

#endif
