/* SPDX-License-Identifier: MIT */
/*
 * What only the simulation knows, told on a port of its own to whoever asks: the test's ear, never the
 * product's. README.md in the folder above lists its messages.
 */
#ifndef MOCK_TRUTH_H
#define MOCK_TRUTH_H

#include <sys/types.h>

#include "acoustics.h"
#include "link.h"
#include "subscribers.h"

enum { TRUTH_WAITING = 8 };

/* The search for the onset takes seconds, so a child does it, with the stage as it was when it was forked. */
struct search {
    pid_t child; /* 0: none */
    int fd;      /* readable once it is done; -1 */
    double time; /* of the stage */
    size_t count, later;
    struct peer askers[TRUTH_WAITING];
    struct peer next_askers[TRUTH_WAITING]; /* who asked while it ran: about a later stage */
};

struct truth {
    struct acoustics *acoustics; /* the caller's */
    struct link *link;           /* NULL: no stage */
    struct search search;
    struct subscribers subscribers;
    unsigned long rings_told;
    int64_t now_us;
    struct received received[LINK_SLOTS];
};

/* False after printing why; close it all the same. */
bool truth_open(struct truth *truth, const struct options *options, struct acoustics *acoustics);
void truth_close(struct truth *truth);

/* Answers what has come in, and tells new rings. */
void truth_work(struct truth *truth, int64_t now_us);

/* Sends that: after what the desk had to tell meanwhile. */
void truth_flush(struct truth *truth);

#endif
