/* SPDX-License-Identifier: MIT */
/* A ring-out in words: all of them are in say.c. */
#ifndef GAINWARDEN_RULES_RING_SAY_H
#define GAINWARDEN_RULES_RING_SAY_H

#include "core/text.h"
#include "ring/ringing.h"

/* Before anything else, a sentence or two each. */
extern const char *const ring_cautions[];
extern const int ring_caution_count;

/* Why all together comes after the mixes one by one. */
extern const char ring_why_together[];

/* "rang at 2.5 kHz: -3 dB there"; a remark says what to do, softer first. */
void ring_event_says(struct text *text, const struct desk *desk, const struct ring_event *event);

/* "step back 6 dB", short enough for large letters. */
void ring_next_says(struct text *text, const struct desk *desk, const struct ring_state *state);

/* One thing that is not ready: "the preamp is 12 dB above its lowest"; nothing where it is. */
void ring_ready_says(struct text *text, const struct desk *desk, const struct ring_ready *ready,
                     enum ring_item item);

#endif
