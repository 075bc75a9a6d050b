/* SPDX-License-Identifier: MIT */
/* What is seen of a ring-out while it is followed: plain facts, with their figures. Their words
 * stand in say.c alone.
 */
#ifndef GAINWARDEN_RULES_RING_EVENT_H
#define GAINWARDEN_RULES_RING_EVENT_H

#include <stdbool.h>
#include <stdint.h>

enum ring_weight {
    RING_SEEN,    /* what happened */
    RING_ADVICE,  /* by the book, and worth a word; each once an evening */
    RING_MISTAKE, /* off the book; each once an evening */
    RING_WARNING  /* somebody can be hurt: shown before all else */
};

/* X(enumerator, name, weight): `name` as JSON has it. The comment says which figures are set. */
#define RING_EVENTS(X)                                                                             \
    /* mix: this one is being rung out from now on */                                              \
    X(RING_MIX, "mix", RING_SEEN)                                                                  \
    /* all of them from now on */                                                                  \
    X(RING_TOGETHER, "together", RING_SEEN)                                                        \
    /* mix, input: it is being raised; db: from where its path stood */                            \
    X(RING_RISE, "rise", RING_SEEN)                                                                \
    /* mix, input, hz, db: something rang; this band came down by so much, or by that more */      \
    /* other_hz: where in it, by the desk's spectrum */                                            \
    X(RING_CUT, "ring", RING_SEEN)                                                                 \
    /* mix: its last ring was left uncut, and the gain goes back; won_db since the first ring */   \
    X(RING_LAST_PUSH, "last-push", RING_SEEN)                                                      \
    /* mix: db back from where it stood highest */                                                 \
    X(RING_STEP_BACK, "step-back", RING_SEEN)                                                      \
    /* mix, input: something is heard by its microphone after the step back */                     \
    X(RING_VOICE, "voice", RING_SEEN)                                                              \
    /* mix: what was pushed alone, with all open, was put back */                                  \
    X(RING_PUT_BACK, "put-back", RING_SEEN)                                                        \
    /* mix (-1: all together): a ceiling more, or a better one; db: its resolution */              \
    X(RING_PROVED, "proved", RING_SEEN)                                                            \
    /* mix, input: another hand moved this; what was between is dropped */                         \
    X(RING_HAND, "another-hand", RING_SEEN)                                                        \
    X(RING_LOST, "link-lost", RING_WARNING)                                                        \
    X(RING_BACK, "link-back", RING_SEEN)                                                           \
    X(RING_RECALL, "recall", RING_WARNING)                                                         \
    /* mix, input: its gate is on, or not known: nothing is proved so */                           \
    X(RING_GATE, "gate", RING_SEEN)                                                                \
    /* mix, input (-1: the mix itself): something on its paths is not known: nothing is proved */  \
    X(RING_NOT_KNOWN, "not-known", RING_SEEN)                                                      \
                                                                                                   \
    /* mix: four bands are 6 dB down */                                                            \
    X(RING_FOUR_DEEP, "four-deep", RING_ADVICE)                                                    \
    /* mix, db: seven rings are cut, and speech lost so much; won_db */                            \
    X(RING_QUIETER, "quieter", RING_ADVICE)                                                        \
    /* mix: its equaliser was not flat when it began; db: the deepest band or highest */           \
    X(RING_NOT_FLAT, "not-flat", RING_ADVICE)                                                      \
    /* mix, db: its master stood there when it began */                                            \
    X(RING_MASTER_OFF_UNITY, "master-off-unity", RING_ADVICE)                                      \
                                                                                                   \
    /* mix, input, db: the preamp begins so far above its lowest */                                \
    X(RING_STARTS_HIGH, "starts-high", RING_MISTAKE)                                               \
    /* mix, input, db: its own send stands there */                                                \
    X(RING_OWN_SEND, "own-send", RING_MISTAKE)                                                     \
    /* mix, input: another microphone is open into it */                                           \
    X(RING_OTHER_OPEN, "other-open", RING_MISTAKE)                                                 \
    /* mix, input */                                                                               \
    X(RING_HIGH_PASS_OFF, "high-pass-off", RING_MISTAKE)                                           \
    /* mix, db: so much within a second */                                                         \
    X(RING_FAST, "fast", RING_WARNING)                                                             \
    /* mix, hz, db: a cut of more than 6 dB at once */                                             \
    X(RING_DEEP, "deep", RING_MISTAKE)                                                             \
    /* mix, hz, other_hz: neighbours cut for one ring */                                           \
    X(RING_TWO_FOR_ONE, "two-for-one", RING_MISTAKE)                                               \
    /* mix, hz, other_hz: bands cut at once that one ring cannot have needed both */               \
    X(RING_NOT_RUNG, "not-rung", RING_MISTAKE)                                                     \
    /* mix: the eighth */                                                                          \
    X(RING_MANY, "many", RING_MISTAKE)                                                             \
    /* mix, db back: less than 3 dB, and the next one begins, or it ends */                        \
    X(RING_NO_STEP_BACK, "no-step-back", RING_WARNING)                                             \
    /* mix, db: all open together, this master so far above 12 dB down */                          \
    X(RING_TOGETHER_HIGH, "together-high", RING_WARNING)                                           \
    /* mix, db: pushed more than 10 dB with all open, or together 6 dB above where they stood */   \
    X(RING_PUSHED_FAR, "pushed-far", RING_WARNING)                                                 \
    /* mix: it was not put back, and another is pushed */                                          \
    X(RING_NOT_PUT_BACK, "not-put-back", RING_WARNING)

#define RING_ENUMERATOR(id, name, weight) id,
enum ring_kind { RING_EVENTS(RING_ENUMERATOR) RING_KINDS };
#undef RING_ENUMERATOR

struct ring_event {
    enum ring_kind kind;
    int64_t at_ms;
    int mix, input;      /* -1: none, or not known */
    double hz, other_hz; /* NAN likewise; hz: somewhere in that band */
    double db, won_db;
};

/* "ring", "step-back", ... */
const char *ring_kind_name(enum ring_kind kind);
enum ring_weight ring_kind_weight(enum ring_kind kind);

/* "seen", "advice", "mistake", "warning". */
const char *ring_weight_name(enum ring_weight weight);

#endif
