/* SPDX-License-Identifier: MIT */
/* Cards in words. */
#ifndef GAINWARDEN_RULES_SAY_H
#define GAINWARDEN_RULES_SAY_H

#include "advice/card.h"
#include "core/text.h"
#include "desk/desk.h"

/* "input 18 Ld Vox: re-trim" */
void say_card(struct text *text, const struct desk *desk, const struct card *card);

/* What it gives and what it costs: "gives 14 dB back; ends 6 dB louder". Nothing where it is in
 * neither. */
void say_worth(struct text *text, const struct card *card);

/* The control of a move as it stands on its card: "preamp", "send into mix 3 Keys wedge"; with its
 * input where that is not the card's own. */
void say_control(struct text *text, const struct desk *desk, const struct card *card,
                 const struct card_move *move);

/* A value on a card: "28", "off", "on", "100 Hz"; levels without their unit, with a true minus
 * sign. */
void say_value(struct text *text, const struct card_move *move, double number);

/* The whole card in one sentence: "preamp 38 -> 32 dB, send into mix 1 -3 -> 0 dB; gives 6 dB back".
 * One that is too long for a sentence says where it is listed. */
void say_card_in_short(struct text *text, const struct desk *desk, const struct card *card);

/* The same in a few words: "put it back to -13", "limiter back on", "make-up 6 -> 0 dB". False, with
 * nothing said, for a card of several moves that does not put back. `mix`: into which a send is
 * named without its name; -1: none. */
bool say_card_in_brief(struct text *text, const struct desk *desk, const struct card *card,
                       int mix);

/* "input 18 Ld Vox, re-trim: the preamp is at the end of its travel" */
void say_stop(struct text *text, const struct desk *desk, const struct card_stop *stop);

#endif
