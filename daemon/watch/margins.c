/* SPDX-License-Identifier: MIT */
#include "watch/margins.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "core/need.h"
#include "core/text.h"
#include "proof/say.h"
#include "watch/handles.h"

enum { FOLLOW_EVERY_MS = 1000, A_DAY_S = 86400 };

static const double moved_db = 0.05;

/* How a mix stood when last looked at. */
struct standing {
    enum proof_state state;
    double db;        /* of its margin; 0 where there is none */
    int64_t since_ms; /* INT64_MIN: since before anybody looked */
};

struct margins {
    const struct proof *of; /* whose they are; NULL: nobody's */
    struct standing *standing;
    int64_t next_ms;
};

struct margins *
margins_new(void)
{
    return need_memory(1, sizeof(struct margins));
}

void
margins_free(struct margins *margins)
{
    if (margins)
        free(margins->standing);
    free(margins);
}

/* ---- since when ---- */

static struct standing
standing_of(struct proof *proof, int mix)
{
    const struct proof_mix *of = proof_of_mix(proof, mix);

    return (struct standing){of->state, of->state == PROOF_LEFT ? of->margin.db : 0, INT64_MIN};
}

static void
begin(struct margins *margins, struct proof *proof)
{
    int mixes = proof ? desk_count(proof_desk(proof), INDEX_MIX) : 0;

    margins->of = proof;
    free(margins->standing);
    margins->standing = need_memory((size_t)mixes + 1, sizeof *margins->standing);
    for (int mix = 0; mix < mixes; mix++)
        margins->standing[mix] = standing_of(proof, mix);
}

static void
look(struct margins *margins, const struct watch_desk *desk)
{
    struct proof *proof = engine_proof(desk->session->engine);
    int mixes = proof ? desk_count(proof_desk(proof), INDEX_MIX) : 0;

    if (margins->of != proof)
        begin(margins, proof);
    for (int mix = 0; mix < mixes; mix++) {
        struct standing is = standing_of(proof, mix), *was = &margins->standing[mix];

        if (is.state == was->state && fabs(is.db - was->db) < moved_db)
            continue;
        is.since_ms = watch_now_ms(desk);
        *was = is;
    }
}

void
margins_follow(struct margins *margins, const struct watch_desk *desk)
{
    if (watch_now_ms(desk) < margins->next_ms)
        return;
    margins->next_ms = watch_now_ms(desk) + FOLLOW_EVERY_MS;
    look(margins, desk);
}

void
margins_forget(struct margins *margins)
{
    margins->of = NULL;
}

/* ---- lines ---- */

/* "; proved 17:42, 3 h 12 min ago", "; proved 2026-06-13 17:42, 2 days ago". */
static void
add_age(struct text *text, const char *at)
{
    char day[sizeof "2026-06-13"], time[sizeof "17:42"], span[CLOCK_SIZE];
    double ago_s;

    if (!clock_has_form(at, "dddd-dd-ddTdd:dd:ddsdd:dd"))
        return;
    snprintf(day, sizeof day, "%.10s", at);
    snprintf(time, sizeof time, "%.5s", at + sizeof "2026-06-13T" - 1);
    ago_s = clock_now_s() - (double)clock_parse_time(at);
    text_add(text, "; proved ");
    if (clock_parse_day(day) != clock_day())
        text_add(text, "%s ", day);
    text_add(text, "%s", time);
    if (ago_s >= 2 * A_DAY_S)
        text_add(text, ", %d days ago", (int)(ago_s / A_DAY_S));
    else if (ago_s >= 0)
        text_add(text, ", %s ago", clock_span((long long)(ago_s * 1000), span));
}

static void
add_since(struct text *text, const struct watch_desk *desk, const struct standing *standing)
{
    char then[CLOCK_SIZE];

    if (standing->since_ms == INT64_MIN)
        return;
    clock_time_ago(watch_now_ms(desk) - standing->since_ms, then);
    then[sizeof "21:40" - 1] = '\0';
    text_add(text, " (since %s)", then);
}

static void
add_mix(struct text *text, const struct margins *margins, const struct watch_desk *desk, int mix)
{
    struct proof *proof = engine_proof(desk->session->engine);
    const struct proof_mix *of = proof_of_mix(proof, mix);
    const struct proof_figure *figure = of->state == PROOF_LEFT ? &of->margin : &of->alone;

    text_add(text, "%d %s  ", mix + 1, desk_text(proof_desk(proof), PARAM_MIX_NAME, mix, 0));
    proof_says(text, proof, mix);
    add_since(text, desk, &margins->standing[mix]);
    if (figure->ceiling < 0 || of->state == PROOF_NOT_KNOWN)
        return;
    add_age(text, proof_kept(proof)->ceilings[figure->ceiling].made.at);
    text_add(text, "; ring out again after the stage has moved");
}

void
margins_lines(struct margins *margins, const struct watch_desk *desk, margins_line_fn *each,
              void *context)
{
    struct proof *proof = engine_proof(desk->session->engine);
    int mixes = proof ? desk_count(proof_desk(proof), INDEX_MIX) : 0;
    char line[MARGINS_LINE_SIZE];
    struct text text;

    if (desk->session->proved_wrong) {
        snprintf(line, sizeof line, "not known: %s", desk->session->proved_wrong);
        each(context, line);
    }
    look(margins, desk);
    for (int mix = 0; mix < mixes; mix++) {
        if (margins->standing[mix].state == PROOF_NO_LOOP ||
            margins->standing[mix].state == PROOF_CLOSED)
            continue;
        text_init(&text, line, sizeof line);
        add_mix(&text, margins, desk, mix);
        each(context, line);
    }
}
