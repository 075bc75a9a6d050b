/*
 * What the desk does with a message:
 *
 *   an address without arguments      a question: the value goes back to who asked
 *   the same address with arguments   a move: set, clamped, pushed to all who stay
 *   /stay                             pushes for a while
 *   /rig/FAULT value                  the test's own lever, no part of the desk
 *   anything else                     silence
 */
#ifndef MOCK_DESK_H
#define MOCK_DESK_H

#include "addresses.h"
#include "faults.h"
#include "outbox.h"
#include "pace.h"
#include "state.h"
#include "subscribers.h"

struct Desk {
    struct State state;
    struct Addresses addresses;
    struct Subscribers subscribers;
    struct Pace pace;
    struct Faults *faults; /* the caller's */
    struct Outbox *outbox; /* the caller's */
};

/* Takes one datagram. Malformed ones are ignored from the first bad byte on. */
void Desk_hear(struct Desk *desk, const struct Received *received, int64_t now_us);

#endif
