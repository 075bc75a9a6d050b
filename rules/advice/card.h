/* SPDX-License-Identifier: MIT */
/* Advice: cards. A card is a short list of moves that is whole in itself, in the order to do them.
 *
 * Softer first: the moves that take level away stand before those that give it, so wherever the
 * person stops, no path is louder than before the card or than after it. Only what puts a slip back
 * may end louder, and says by how much.
 */
#ifndef GAINWARDEN_RULES_CARD_H
#define GAINWARDEN_RULES_CARD_H

#include <stdbool.h>
#include <stddef.h>

#include "core/verdict.h"
#include "desk/param.h"

enum card_kind {
    CARD_PUT_BACK,  /* what moved goes to where it stood */
    CARD_MASTER,    /* the master to 0 dB, the sends into its mix the other way */
    CARD_TRIM,      /* the preamp down (or up), thresholds with it, the sends the other way */
    CARD_TAP,       /* sends from before the fader, as loud as they are */
    CARD_MAKE_UP,   /* make-up gain out of a loudspeaker path */
    CARD_BOOST,     /* boosts of an equaliser out */
    CARD_HIGH_PASS, /* a high-pass on, or its corner up */
    CARD_CLOSE,     /* sends of an unused input off */
    CARD_KINDS
};

/* One control, of what it reads before the move to what it is set to; its unit is the parameter's.
 * The same number twice: it stays, but an earlier card moved it, and this one rests on that. */
struct card_move {
    enum param_id id;
    int row, column;
    double now, to;
};

struct card {
    enum card_kind kind;
    struct object object; /* the input or the mix it is about; the first input of a preamp */
    struct card_move *moves;
    size_t count;
    double gives_db;  /* what comes back: headroom, margin; NAN: not in dB; HUGE_VAL: one closes */
    double louder_db; /* by how much the path that it raises most ends louder; 0: none does */
    size_t *rests_on; /* earlier cards that move a control of this one, by their place, rising */
    size_t rest_count;
    bool watch_meter; /* it raises a preamp, and the desk publishes no level of the input */
};

/* What keeps a card from being made. */
enum stop_reason {
    STOP_END,        /* the control would leave its travel */
    STOP_NO_END,     /* the profile does not tell where its travel ends, and the card needs that */
    STOP_ACCEPTED,   /* the show file accepts the control as it stands */
    STOP_APPROVED,   /* the desk was approved with the control as it stands */
    STOP_NOT_KNOWN,  /* a value of a path is not known */
    STOP_OWNED,      /* the house desk owns the preamp */
    STOP_ALSO_FEEDS, /* the preamp also feeds a recording or stream */
    STOP_METER,      /* the input would come within 6 dB of full scale */
    STOP_SIDEWAYS,   /* half-way a frequency would be louder than before and behind */
    STOP_CONSTANT,   /* the profile holds it as a constant, so nobody sees it move */
    STOP_BRINGS      /* it would bring a finding that is not there */
};

struct card_stop {
    enum card_kind kind;
    struct object object;
    enum stop_reason reason;
    enum param_id id; /* the control; PARAMS: none, it brings a finding */
    int row, column;
    int brings; /* the finding: its check, */
    struct object on;
};

/* "put it back", "master to 0 dB", ... */
const char *card_name(enum card_kind kind);

/* Its word in a JSON report: "put-back", "master", ... */
const char *card_word(enum card_kind kind);

#endif
