/* The pipeline behind the wire: a heard value goes into the desk model; when it changed, the checks
 * that read it are marked; once per wake-up the marked checks run, and what opened, grew or closed
 * comes out as events.
 *
 * A finding keeps its place while a value it rests on is stale, or while its input is muted:
 * unknown freezes, it neither raises nor clears, and a mute between two songs is no news.
 */
#ifndef GAINWARDEN_RULES_ENGINE_H
#define GAINWARDEN_RULES_ENGINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "check.h"
#include "desk.h"
#include "show.h"
#include "verdict.h"

enum event_kind { EVENT_RAISED, EVENT_WORSE, EVENT_CLEARED };

/* An open finding. Its identity is check and object, never its text or number. */
struct finding {
    int check;
    struct object object;
    struct verdict verdict; /* as of the last run in which it was known */
    int64_t since_ms;
    double told_severity; /* when it was last told */
    enum weight told_weight;
    int accept;  /* position in the show's accepts, or -1 */
    bool frozen; /* not judged now: what it rests on is not known, or the input is closed */
};

struct event {
    enum event_kind kind;
    const struct finding *finding; /* valid during the call only */
    int64_t lasted_ms;
};

typedef void engine_tell_fn(void *context, const struct event *event);

struct engine;

/* Takes over desk and show, which are freed with it. NULL when memory is short; then the caller
 * keeps both. Everything is marked. */
struct engine *engine_new(struct desk *desk, struct show *show);
void engine_free(struct engine *engine);

const struct desk *engine_desk(const struct engine *engine);
const struct show *engine_show(const struct engine *engine);

/* A value heard at now_ms. Marks what reads it unless it was the same. */
enum change engine_hear(struct engine *engine, enum param_id id, int row, int column, double number,
                        int64_t now_ms);
enum change engine_hear_text(struct engine *engine, enum param_id id, int row, int column,
                             const char *text, int64_t now_ms);

/* Marks stale each value last heard before before_ms, and the checks that read it. */
void engine_expire(struct engine *engine, int64_t before_ms);

/* The day on which accepted findings end, year * 10000 + month * 100 + day. Marks everything when
 * it changes. */
void engine_set_day(struct engine *engine, int day);

/* Runs the marked checks, each once. `tell` gets an event for each finding that opens, grows or
 * closes and is not accepted. Returns how many checks ran. */
size_t engine_run(struct engine *engine, int64_t now_ms, engine_tell_fn *tell, void *context);

/* How many checks are marked. */
size_t engine_marked(const struct engine *engine);

/* Open findings, accepted ones among them: worst first, then by check and object. The array is
 * valid until the next engine_run(). */
size_t engine_findings(struct engine *engine, const struct finding *const **findings);

/* What could not be known: calls `each` for every check and object that ended so at its last run,
 * with the reason. */
typedef void engine_unknown_fn(void *context, int check, struct object object, const char *why);
void engine_unknown(const struct engine *engine, engine_unknown_fn *each, void *context);

/* How many objects of the check ended in the outcome at their last run. */
size_t engine_count(const struct engine *engine, int check, enum outcome outcome);

/* True when no finding ever matched the accept while this engine ran, and all its check asks is
 * known. */
bool engine_accept_idle(const struct engine *engine, int accept);

/* True when the accept's last day has passed. */
bool engine_accept_expired(const struct engine *engine, int accept);

#endif
