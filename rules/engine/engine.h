/* SPDX-License-Identifier: MIT */
/* The pipeline behind the wire: a heard value goes into the desk model; when it changed, the checks
 * that read it are marked; once per wake-up the marked checks run, each finding goes a step through
 * its life (life.h), and what opened, grew or closed comes out as events.
 *
 * A finding keeps its place while a value it rests on is stale, or while its input is muted:
 * unknown freezes, it neither raises nor clears, and a mute between two songs is no news.
 *
 * An audit looks once, so holds and dead bands begin with engine_hold().
 */
#ifndef GAINWARDEN_RULES_ENGINE_H
#define GAINWARDEN_RULES_ENGINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "change/moves.h"
#include "check/check.h"
#include "core/verdict.h"
#include "desk/desk.h"
#include "desk/show.h"
#include "engine/life.h"

enum event_kind { EVENT_RAISED, EVENT_WORSE, EVENT_CLEARED };

/* "raised", "worse", "cleared". */
const char *event_name(enum event_kind kind);

/* One check on one object, and how it stands there. Its identity is check and object, never its
 * figures. */
struct finding {
    const struct check *check; /* of the engine's set */
    struct object object;
    size_t slot;            /* its number, below engine_slots() */
    struct life life;       /* frozen: what it rests on is not known, or the input is closed */
    struct verdict verdict; /* as of the last time it failed */
    int64_t since_ms;       /* since when it is open */
    bool told;              /* an event said that it is open, */
    int64_t told_ms;        /* and last then */
    double told_severity;   /* that it is so bad */
    enum weight told_weight;
    int accept; /* position in the show's accepts, or -1 */
};

struct event {
    enum event_kind kind;
    const struct finding *finding; /* valid during the call only */
    int64_t lasted_ms;
};

typedef void engine_tell_fn(void *context, const struct event *event);

struct engine;

/* Takes over desk and show, which are freed with it, and a copy of the set; the show gets what the
 * set lacks switched off. Everything is marked. */
struct engine *engine_new(struct desk *desk, struct show *show, struct check_set set);
void engine_free(struct engine *engine);

/* From now on findings are held before they open and before they close, with dead bands; false: no
 * longer, but where an engine remembers, holds longer than ENGINE_SHORT_HOLD_S stay: they are what
 * their check is about. */
enum { ENGINE_SHORT_HOLD_S = 5 };
void engine_hold(struct engine *engine, bool hold);

/* From now on what moves is remembered, for the checks of a watch. */
void engine_remember(struct engine *engine);

/* From now on spectra of the mixes are watched, in an engine that remembers: so many frames a second
 * of such bands (spectrum/rise.h). */
struct spectrum_bands;
void engine_watch_spectra(struct engine *engine, const struct spectrum_bands *bands,
                          double per_second);

/* What may be ringing; NULL: spectra are not watched. */
struct suspects;
const struct suspects *engine_suspects(const struct engine *engine);

/* What rings in ring-outs is heard, too, from now on, where spectra are watched; false: no longer. */
void engine_hear_rings(struct engine *engine, bool hear);

/* A frame of the mix: as many levels as there are bands, dB full scale. Nothing of it is kept where
 * spectra are not watched. */
void engine_hear_spectrum(struct engine *engine, int mix, const double *levels, int64_t now_ms);

/* Lets go of rings that no frame tells of any more; engine_run() does. */
void engine_age_spectra(struct engine *engine, int64_t now_ms);

/* A recall: for a while nothing that rises says anything. */
void engine_hush_spectra(struct engine *engine, int64_t now_ms);

/* NULL unless it remembers. */
struct moves *engine_moves(struct engine *engine);

/* Takes the desk as it stands for set up: what protects must stay as it is now. */
void engine_anchor(struct engine *engine);

/* The same at a start, when what leapt before a restart, and stands, was set up where it came from. */
void engine_anchor_before_leaps(struct engine *engine);

/* The same with a desk from before a restart, which is taken over. */
void engine_set_anchor(struct engine *engine, struct desk *anchor);

/* What leapt up between another desk and this one, as value-jumped counts it with the settings of
 * the show; see check/value_jumped.h. */
struct leaps;
void engine_leaps(const struct engine *engine, const struct desk *before, struct leaps *leaps);

/* Whether a leap of the finding, one of value-jumped, ends above what was approved, or above 0 dB
 * where nothing was. */
bool engine_leaps_high(const struct engine *engine, const struct finding *finding);

/* Whether all that leapt of the finding, one of value-jumped, is open into none but these mixes, a
 * flag each, and each of them feeds a loudspeaker. What is not known may be open, and may be ears. */
bool engine_leaps_stay_in(const struct engine *engine, const struct finding *finding,
                          const bool *mixes);

/* Whether show file or label say so. */
bool engine_feeds_loudspeaker(const struct engine *engine, int mix);

/* A recall was meant: levels and routing as it left them take the place of those that were set up. */
void engine_anchor_levels(struct engine *engine);

/* Adds to it what protects now and did not then; whether there was any. */
bool engine_anchor_gained(struct engine *engine);
const struct desk *engine_anchored(const struct engine *engine); /* NULL: there is none */

/* Takes over what the mixes carried lately; both remember. */
void engine_carry_levels(struct engine *engine, const struct engine *from);

/* Takes over values, the anchor, and how each finding stands from an engine of other files, as far
 * as both have the place; nothing is told of it. */
void engine_carry(struct engine *engine, const struct engine *from);

/* Takes over the values of another desk of the same counts, as if they had been heard then. */
void engine_take_values(struct engine *engine, const struct desk *from);

/* What was told of an open finding before a restart: no figures, which are only known once it is
 * judged again. */
struct told {
    int check; /* its number */
    struct object object;
    enum weight weight;
    double severity;
    int64_t since_ms;
    const char *says, *cure;
};

/* A finding that was told as open before this engine was made; it is frozen until it is judged.
 * Returns its slot, engine_slots() when there is no such check and object. */
size_t engine_restore(struct engine *engine, const struct told *told);

/* Called for each step in the life of a finding. */
typedef void engine_trace_fn(void *context, const struct finding *finding, enum life_state from,
                             enum life_state to, const char *why);
void engine_trace(struct engine *engine, engine_trace_fn *trace, void *context);

/* The desk as it was approved, which is taken over and freed with it; NULL: none. */
void engine_set_approved(struct engine *engine, struct desk *approved);

/* What ring-outs proved, with at least one ceiling, whose desks have the counts of the engine's; it
 * outlives the engine. NULL: nothing is kept. */
struct proofs;
void engine_set_proofs(struct engine *engine, const struct proofs *proofs);
const struct proofs *engine_proofs(const struct engine *engine);

/* What is left of it on the engine's desk; NULL: nothing is kept. Valid until other proofs are set,
 * or other values taken over. */
struct proof;
struct proof *engine_proof(struct engine *engine);

/* NULL: none. */
const struct desk *engine_approved(const struct engine *engine);

const struct check_set *engine_checks(const struct engine *engine);
const struct desk *engine_desk(const struct engine *engine);
const struct show *engine_show(const struct engine *engine);

/* Whom the finding is for, as player_of(). */
bool engine_player(const struct engine *engine, const struct finding *finding,
                   char player[SHOW_NAME_SIZE]);

/* A value heard at now_ms. Marks what reads it unless it was the same. */
enum change engine_hear(struct engine *engine, enum param_id id, int row, int column, double number,
                        int64_t now_ms);
enum change engine_hear_text(struct engine *engine, enum param_id id, int row, int column,
                             const char *text, int64_t now_ms);

/* Marks stale each value last heard before before_ms, and the checks that read it; returns how many
 * values. */
size_t engine_expire(struct engine *engine, int64_t before_ms);

/* The same for one value. */
void engine_set_stale(struct engine *engine, enum param_id id, int row, int column);

/* The day on which accepted findings end, year * 10000 + month * 100 + day. Marks everything when
 * it changes. */
void engine_set_day(struct engine *engine, int day);

/* Runs the marked checks, each once, and ends the holds that are over. `tell` (may be NULL) gets an
 * event for each finding that opens, grows or closes and is not accepted. Returns how many checks
 * ran. */
size_t engine_run(struct engine *engine, int64_t now_ms, engine_tell_fn *tell, void *context);

/* The same with the checks alone that protect (check.h), in the middle of what is not judged yet:
 * the others stay marked. engine_next_ms() then is theirs. */
void engine_run_protection(struct engine *engine, int64_t now_ms, engine_tell_fn *tell,
                           void *context);

/* When it has to run again though nothing was heard; INT64_MAX: never. As of the last run. */
int64_t engine_next_ms(const struct engine *engine);

/* Every check on every object, open or not. */
size_t engine_slots(const struct engine *engine);
const struct finding *engine_slot(const struct engine *engine, size_t slot);

/* By the number of the check; engine_slots() when there is no such check and object. */
size_t engine_find(const struct engine *engine, int check, struct object object);

/* How the slot's check ended at its last run. */
enum outcome engine_outcome(const struct engine *engine, size_t slot);

/* How many checks are marked. */
size_t engine_marked(const struct engine *engine);

/* Open findings, accepted ones among them: worst first, then by check and object. The array is
 * valid until the next engine_run(). */
size_t engine_findings(struct engine *engine, const struct finding *const **findings);

/* The words of a finding of this engine, as it was last judged bad, also while it is frozen or eases;
 * empty for one that is clear and that nobody was told of. */
void engine_words(const struct engine *engine, const struct finding *finding, struct words *words);

/* The same, but with the card for it, in one sentence, in place of a cure of its own, where one is
 * planned for the desk as it stands that makes up for nothing and rests on no other. */
void engine_advice(const struct engine *engine, const struct finding *finding, struct words *words);

/* A finding for one row, which may be cut at its end. */
struct brief {
    char figure[40]; /* "+23 dB"; "" while its figures are not known */
    char place[200]; /* "Ld Vox -> 1 Ld Vox wedge", "mix 8 Drums IEM" */
    char cure[200];  /* "put it back to -13"; "" the same */
};

/* `advised`: the cure is the card's where there is one as above, for which the plan is made. */
void engine_brief(const struct engine *engine, const struct finding *finding, bool advised,
                  struct brief *brief);

struct plan;

/* What is advised for the desk as it stands; `ways` as in struct plan_wish. For plan_free(). */
struct plan *engine_advise(const struct engine *engine, unsigned ways);

/* What could not be known: calls `each` for every check and object that ended so at its last run,
 * with the reason. */
typedef void engine_unknown_fn(void *context, const struct check *check, struct object object,
                               const char *why);
void engine_unknown(const struct engine *engine, engine_unknown_fn *each, void *context);

/* How many objects of the check of this number ended in the outcome at their last run. */
size_t engine_count(const struct engine *engine, int check, enum outcome outcome);

/* True when no finding ever matched the accept while this engine ran, and all its check asks is
 * known. */
bool engine_accept_idle(const struct engine *engine, int accept);

/* True when the accept's last day has passed. */
bool engine_accept_expired(const struct engine *engine, int accept);

#endif
