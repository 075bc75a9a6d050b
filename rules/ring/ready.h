/* SPDX-License-Identifier: MIT */
/* What is not ready when a mix is rung out. All of it is allowed, and said. */
#ifndef GAINWARDEN_RULES_RING_READY_H
#define GAINWARDEN_RULES_RING_READY_H

#include "core/sure.h"
#include "desk/desk.h"
#include "desk/show.h"

enum ring_item {
    RING_READY_PREAMP,    /* at its lowest; db: so far above it */
    RING_READY_OWN_SEND,  /* at 0; db: where it is */
    RING_READY_MASTER,    /* at 0; db: where it is */
    RING_READY_OTHERS,    /* no other microphone is open; input: the first that is */
    RING_READY_HIGH_PASS, /* on, where the source has no use for what lies below it */
    RING_READY_FLAT,      /* the mix's equaliser; db: what is farthest from it */
    RING_READY_ITEMS
};

struct ring_ready {
    struct {
        enum sure ready; /* UNSURE: nobody knows, or it is not known whose microphone it is */
        double db;       /* NAN: not known */
        int input;       /* -1 likewise */
    } of[RING_READY_ITEMS];
};

/* `own`: the input of the mix's player, -1: not known. */
struct ring_ready ring_ready_of(const struct desk *desk, const struct show *show, int mix, int own);

/* "preamp-high", ...: as JSON has them. */
const char *ring_item_name(enum ring_item item);

#endif
