/*
 * What the desk does with a message:
 *
 *   a question of the dialect   the answer goes back to who asked
 *   a move                      set, clamped, told in the dialect to all who stay
 *   /stay                       tells moves for a while
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

struct Desk {
    bool bare;     /* its addresses, in questions and answers, have no slash before them */
    bool untagged; /* it sends no type tags */
    struct State state;
    struct Book book;
    struct Addresses moves;
    struct Subscribers subscribers;
    struct Pace pace;
    struct Faults *faults; /* the caller's */
    struct Outbox *outbox; /* the caller's */
};

/* Learns a dialect; the state is filled before. False when memory is out. */
bool Desk_init(struct Desk *desk, const struct Dialect *dialect);
void Desk_release(struct Desk *desk);

/* Takes one packet. Malformed ones are ignored from the first bad byte on. */
void Desk_hear(struct Desk *desk, const struct Received *received, int64_t now_us);

/* Goes on with telling everything to those who stay, where the dialect does so. */
void Desk_sweep(struct Desk *desk, int64_t now_us);

/* When the next such message is due; INT64_MAX for none. */
int64_t Desk_next_us(const struct Desk *desk);

#endif
