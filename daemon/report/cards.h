/* SPDX-License-Identifier: MIT */
/* What to do, as cards: the same on every page. */
#ifndef GAINWARDEN_CARDS_H
#define GAINWARDEN_CARDS_H

#include "advice/plan.h"
#include "base/json.h"
#include "engine/engine.h"

/* How to follow cards, and the question for the role. */
extern const char cards_how_words[], cards_role_words[];

/* Prints the cards, what stops others, how many are too small to list and, where it is needed, the
 * question for the role. Nothing where there is none of it. */
void cards_text(const struct engine *engine, const struct plan *plan);

/* Adds "cards", "stopped", "small_cards" and "asks_role". */
void cards_json(const struct engine *engine, const struct plan *plan, struct json *root);

/* Where a card is for the finding, its words say "card 2" in place of what to do. */
void cards_cure(const struct plan *plan, const struct finding *finding, struct words *words);

/* Adds "card": its number, or null. */
void cards_finding_json(const struct plan *plan, const struct finding *finding, struct json *json);

#endif
