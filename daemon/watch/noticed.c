/* SPDX-License-Identifier: MIT */
#include "watch/noticed.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/escape.h"
#include "check/check.h"
#include "core/need.h"

/* It counts for what was told then: when that is told anew, or as worse, it lapsed. */
struct entry {
    struct noticed_by by;
    int64_t told_ms; /* INT64_MIN: of an earlier watch, and not looked at yet */
};

struct noticed {
    struct entry **of; /* by slot; NULL: nobody */
    size_t slots;
};

struct noticed *
noticed_new(size_t slots)
{
    struct noticed *noticed = need_memory(1, sizeof *noticed);

    noticed->of = need_memory(slots + 1, sizeof(*noticed->of));
    noticed->slots = slots;
    return noticed;
}

static void
forget(struct noticed *noticed, size_t slot)
{
    free(noticed->of[slot]);
    noticed->of[slot] = NULL;
}

static void
forget_all(struct noticed *noticed)
{
    for (size_t slot = 0; slot < noticed->slots; slot++)
        free(noticed->of[slot]);
    free(noticed->of);
}

void
noticed_free(struct noticed *noticed)
{
    if (!noticed)
        return;
    forget_all(noticed);
    free(noticed);
}

static struct entry *
entry_at(struct noticed *noticed, size_t slot)
{
    if (!noticed->of[slot])
        noticed->of[slot] = need_memory(1, sizeof **noticed->of);
    return noticed->of[slot];
}

void
noticed_add(struct noticed *noticed, const struct finding *finding, const char *by)
{
    struct entry *entry = entry_at(noticed, finding->slot);

    *entry = (struct entry){.by = {.at_s = clock_now_s(),
                                   .weight = finding->told_weight,
                                   .severity = finding->told_severity},
                            .told_ms = finding->told_ms};
    escape_clean(entry->by.by, sizeof entry->by.by, by);
}

const struct noticed_by *
noticed_of(const struct noticed *noticed, const struct finding *finding)
{
    const struct entry *entry = noticed->of[finding->slot];

    return entry && finding->told && entry->told_ms == finding->told_ms ? &entry->by : NULL;
}

struct json *
noticed_json(const struct noticed *noticed, const struct finding *finding)
{
    const struct noticed_by *by = noticed_of(noticed, finding);
    struct json *json;
    char at[CLOCK_SIZE];

    if (!by)
        return json_new_number(NAN);
    json = json_new_object();
    clock_time_at(by->at_s, at);
    at[sizeof "21:37" - 1] = '\0';
    json_add_string(json, "by", by->by);
    json_add_string(json, "at", at);
    return json;
}

const char *
noticed_text(const struct noticed *noticed, const struct finding *finding,
             char text[NOTICED_TEXT_SIZE])
{
    const struct noticed_by *by = noticed_of(noticed, finding);

    snprintf(text, NOTICED_TEXT_SIZE, "%s%s", by ? ", seen by " : "", by ? by->by : "");
    return text;
}

bool
noticed_name(const char *typed, char name[SHOW_NAME_SIZE])
{
    bool readable = false;

    escape_clean(name, SHOW_NAME_SIZE, typed);
    for (const char *at = typed; *at && !readable; at++)
        readable = escape_character(at) > 0 && escape_is_harmless(at) && !escape_is_blank(at) &&
                   !escape_is_unseen(at);
    return readable;
}

/* ---- over a restart, or other files ---- */

void
noticed_had(struct noticed *noticed, size_t slot, const struct json *json)
{
    struct entry entry = {.by = {.at_s = json_number_at(json, "at_s", NAN),
                                 .weight = weight_find(json_string_at(json, "weight")),
                                 .severity = json_number_at(json, "severity", NAN)},
                          .told_ms = INT64_MIN};

    if (noticed_name(json_string_at(json, "by"), entry.by.by) && entry.by.weight != WEIGHTS &&
        fabs(entry.by.at_s) < 1e12)
        *entry_at(noticed, slot) = entry;
}

void
noticed_goes_on(struct noticed *noticed, const struct finding *finding, double since_s)
{
    struct entry *entry = noticed->of[finding->slot];

    if (entry && entry->by.weight >= finding->told_weight &&
        entry->by.severity >= finding->told_severity && entry->by.at_s >= since_s)
        entry->told_ms = finding->told_ms;
}

void
noticed_end_restore(struct noticed *noticed)
{
    for (size_t slot = 0; slot < noticed->slots; slot++)
        if (noticed->of[slot] && noticed->of[slot]->told_ms == INT64_MIN)
            forget(noticed, slot);
}

void
noticed_keep(const struct noticed_by *by, struct json *json)
{
    json_add_string(json, "weight", weight_name(by->weight));
    json_add_number(json, "severity", by->severity);
    json_add_string(json, "by", by->by);
    json_add_number(json, "at_s", round(by->at_s * 1000) / 1000);
}

void
noticed_carry(struct noticed *noticed, const struct engine *from, const struct engine *to)
{
    struct entry **of = need_memory(engine_slots(to) + 1, sizeof(*of));

    for (size_t slot = 0; slot < noticed->slots; slot++) {
        const struct finding *finding = engine_slot(from, slot);
        size_t here = engine_find(to, finding->check->number, finding->object);

        if (here >= engine_slots(to))
            continue;
        of[here] = noticed->of[slot];
        noticed->of[slot] = NULL;
    }
    forget_all(noticed);
    *noticed = (struct noticed){of, engine_slots(to)};
}
