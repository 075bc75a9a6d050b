/* SPDX-License-Identifier: MIT */
/* What is left of the margin that ring-outs proved, a mix a line, as the other desk stood and as this
 * one stands: under the same ceilings, whichever of the two came before the ring-out.
 */
#include "report/compare.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/output.h"
#include "base/text_format.h"
#include "core/need.h"
#include "proof/say.h"

enum { SHORT_SIZE = 60, NAME_SIZE = 200 };

static const struct proof_mix *
then_of(const struct compare *compare, int mix)
{
    return proof_of_mix(engine_proof(compare->then), mix);
}

static const struct proof_mix *
now_of(const struct compare *compare, int mix)
{
    return proof_of_mix(engine_proof(compare->now), mix);
}

static bool
is_silent(const struct proof_mix *of)
{
    return of->state == PROOF_NO_LOOP || of->state == PROOF_CLOSED;
}

static int
mixes_of(const struct compare *compare)
{
    return engine_proof(compare->now) ? desk_count(engine_desk(compare->now), INDEX_MIX) : 0;
}

static void
add_name(const struct compare *compare, int mix, char name[NAME_SIZE])
{
    struct text text;

    text_init(&text, name, NAME_SIZE);
    proof_says_mix(&text, engine_desk(compare->now), mix);
}

static void
add_short(struct engine *engine, int mix, char says[SHORT_SIZE])
{
    struct text text;

    text_init(&text, says, SHORT_SIZE);
    proof_says_in_short(&text, engine_proof(engine), mix);
}

enum compare_margin
compare_margin(const struct compare *compare, int mix)
{
    char then[SHORT_SIZE], now[SHORT_SIZE];

    if (is_silent(then_of(compare, mix)) && is_silent(now_of(compare, mix)))
        return COMPARE_MARGIN_NONE;
    add_short(compare->then, mix, then);
    add_short(compare->now, mix, now);
    return strcmp(then, now) == 0 ? COMPARE_MARGIN_SAME : COMPARE_MARGIN_OTHER;
}

const char *
compare_margin_says(const struct compare *compare, int mix, char line[COMPARE_LINE_SIZE])
{
    char then[SHORT_SIZE], name[NAME_SIZE];
    struct text text;
    size_t used;

    add_name(compare, mix, name);
    add_short(compare->then, mix, then);
    text_init(&text, line, COMPARE_LINE_SIZE);
    text_add(&text, "%s: %s -> ", name, then);
    used = text.used;
    proof_says(&text, engine_proof(compare->now), mix);
    if (text.used == used)
        proof_says_in_short(&text, engine_proof(compare->now), mix);
    return line;
}

char *
compare_margins_same(const struct compare *compare)
{
    char *line = need_text("");

    for (int mix = 0; mix < mixes_of(compare); mix++) {
        char name[NAME_SIZE], now[SHORT_SIZE], *longer;

        if (compare_margin(compare, mix) != COMPARE_MARGIN_SAME)
            continue;
        add_name(compare, mix, name);
        add_short(compare->now, mix, now);
        longer = text_printed("%s%s%s %s", line, *line ? ", " : "", name, now);
        free(line);
        line = longer;
    }
    return line;
}

const char *
compare_margins_title(const struct compare *compare)
{
    return compare->reference ? "Left of what ring-outs proved, in the reference -> now"
                              : "Left of what ring-outs proved, as approved -> now";
}

void
compare_proved_text(const struct compare *compare)
{
    char line[COMPARE_LINE_SIZE], *same;

    if (!engine_proof(compare->now))
        return;
    output_format(0, 2, "\n%s", compare_margins_title(compare));
    for (int mix = 0; mix < mixes_of(compare); mix++)
        if (compare_margin(compare, mix) == COMPARE_MARGIN_OTHER)
            output_wrapped(2, 4, compare_margin_says(compare, mix, line));
    same = compare_margins_same(compare);
    if (*same)
        output_format(2, 4, "the same: %s", same);
    free(same);
    output_format(2, 2, "%s", PROOF_CARE);
}

/* ---- JSON ---- */

static void
add_db(struct json *json, const char *key, const struct proof_figure *figure)
{
    if (figure->ceiling >= 0 && isfinite(figure->db))
        json_add_number(json, key, round(figure->db * 1000) / 1000);
}

static struct json *
side_json(const struct proof_mix *of)
{
    struct json *json = json_new_object();

    json_add_string(json, "is", proof_state_name(of->state));
    if (of->state == PROOF_LEFT)
        add_db(json, "db", &of->margin);
    add_db(json, "alone_db", &of->alone);
    return json;
}

void
compare_proved_json(const struct compare *compare, struct json *root)
{
    struct json *list = json_new_array();

    for (int mix = 0; mix < mixes_of(compare); mix++) {
        char line[COMPARE_LINE_SIZE];
        struct json *json;

        if (compare_margin(compare, mix) == COMPARE_MARGIN_NONE)
            continue;
        json = json_new_object();
        json_add_number(json, "mix", mix + 1);
        json_add(json, "then", side_json(then_of(compare, mix)));
        json_add(json, "now", side_json(now_of(compare, mix)));
        json_add_string(json, "says", compare_margin_says(compare, mix, line));
        json_add(list, NULL, json);
    }
    json_add(root, "margins", list);
    if (engine_proof(compare->now))
        json_add_string(root, "margins_care", PROOF_CARE);
}
