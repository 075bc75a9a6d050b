/* SPDX-License-Identifier: MIT */
/*
 * What the desk does with a message:
 *
 *   a question of the dialect   the answer goes back to who asked
 *   a move                      set, clamped, told in the dialect to all who stay
 *   /stay                       tells moves for a while
 *   /stay/spectra               with a stage: tells spectra for a while
 *   /rig/FAULT value            the test's own lever, no part of the desk
 *   anything else               silence
 */
#ifndef MOCK_DESK_H
#define MOCK_DESK_H

#include "addresses.h"
#include "book.h"
#include "faults.h"
#include "outbox.h"
#include "pace.h"
#include "state.h"
#include "subscribers.h"

struct desk {
    bool bare;     /* its addresses, in questions and answers, have no slash before them */
    bool untagged; /* it sends no type tags */
    bool arrays;   /* what stands behind a first argument travels in arrays */
    struct state state;
    struct book book;
    struct addresses moves;
    struct subscribers subscribers;
    struct subscribers spectra_subscribers;
    const struct stage *stage; /* the caller's; NULL: none */
    bool moved;                /* something was set since the caller cleared this */
    struct pace pace;
    struct faults *faults; /* the caller's */
    struct outbox *outbox; /* the caller's */
};

/* Learns a dialect; the state is filled before. False when memory is out. */
bool desk_init(struct desk *desk, const struct dialect *dialect);
void desk_release(struct desk *desk);

/* Takes one packet. Malformed ones are ignored from the first bad byte on. */
void desk_hear(struct desk *desk, const struct received *received, int64_t now_us);

/* Tells all who stay what a field of an object is now. */
void desk_push(struct desk *desk, const struct field *field, size_t object, int64_t now_us);

/* Tells the stage's spectra to all who stay for them. */
void desk_push_spectra(struct desk *desk, int64_t now_us);

/* Goes on with telling everything to those who stay, where the dialect does so. */
void desk_sweep(struct desk *desk, int64_t now_us);

/* When the next such message is due; INT64_MAX for none. */
int64_t desk_next_us(const struct desk *desk);

#endif
