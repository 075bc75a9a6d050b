/* SPDX-License-Identifier: MIT */
/* The page of `gainwarden compare`: findings, protection first and then by player, what moved, and
 * the cards that put it back.
 */
#include "report/compare.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/output.h"
#include "core/need.h"
#include "report/cards.h"
#include "report/players.h"
#include "report/report.h"

enum { MOVED_SHOWN = 30, UNKNOWN_SHOWN = 6 };

/* "beside FILE, approved TIME by NAME: NOTE", "beside the reference FILE, saved TIME" */
static void
print_beside(const struct compare *compare)
{
    const struct saved *saved = compare->saved;
    bool reference = compare->reference;
    char when[CLOCK_SIZE + 10] = "", line[1200];

    if (reference)
        snprintf(when, sizeof when, ", saved %s", saved->at);
    snprintf(line, sizeof line, "beside %s%s%s%s%s%s%s%s%s", reference ? "the reference " : "",
             compare->path, when, saved->approved ? ", approved " : "", saved->approved_at,
             *saved->by ? " by " : "", saved->by, *saved->note ? ": " : "", saved->note);
    output_wrapped(0, 4, line);
    if (!reference || strcmp(saved->desk_name, compare->session->profile->desk) == 0)
        return;
    snprintf(line, sizeof line, "the reference is of another desk: %s", saved->desk_name);
    output_wrapped(0, 4, line);
}

static void
print_head(const struct compare *compare)
{
    const struct session *session = compare->session;
    char answered[REPORT_ANSWERED_SIZE], headline[SESSION_HEADLINE_SIZE];

    session_headline(session, headline);
    output_wrapped(0, 4, headline);
    print_beside(compare);
    if (!session->host)
        return;
    output_wrapped(0, 4, report_answered(&compare->figures, answered));
    report_never_heard(&compare->figures);
}

/* ---- findings ---- */

static bool
is_listed(const struct compare *compare, const struct compare_finding *row)
{
    return compare->all || row->change != FINDING_UNCHANGED;
}

static void
print_finding(const struct compare *compare, const struct compare_finding *row)
{
    const struct finding *finding = compare_shown(row);
    bool open = row->change == FINDING_NEW || row->change == FINDING_WORSE;
    char object[REPORT_OBJECT_SIZE], line[1200];
    struct words words, was;

    engine_words(compare_engine(compare, row), finding, &words);
    snprintf(line, sizeof line, "%s: %s: %s [%s]", difference_finding_name(row->change),
             report_object(compare->now, finding->object, object), words.says, finding->check->id);
    output_wrapped(4, 6, line);
    if (row->change == FINDING_WORSE) {
        engine_words(compare->then, row->then, &was);
        snprintf(line, sizeof line, "was: %s", was.says);
        output_wrapped(6, 10, line);
    }
    if (row->change == FINDING_NEW &&
        engine_outcome(compare->then, row->then->slot) == OUTCOME_NOT_KNOWN)
        output_wrapped(6, 10,
                       compare->reference ? "was not known in the reference"
                                          : "was not known when the desk was approved");
    if (open) {
        cards_cure(compare->plan, finding, &words);
        report_do(&words);
    }
}

static bool
is_stop(const struct compare_finding *row)
{
    return compare_shown(row)->verdict.weight == WEIGHT_STOP;
}

/* The listed findings of weight stop, or the others, by player and for each in the order of enum
 * finding_change. For free(). */
static struct player_finding *
players_of(const struct compare *compare, bool stop, size_t *count)
{
    struct player_finding *list = need_memory(compare->finding_count + 1, sizeof *list);

    *count = 0;
    for (size_t i = 0; i < compare->finding_count; i++) {
        const struct compare_finding *row = &compare->findings[i];

        if (is_stop(row) == stop && is_listed(compare, row))
            list[(*count)++] = (struct player_finding){
                .finding = compare_shown(row), .at = i, .rank = (size_t)row->change};
    }
    players_group(compare->now, list, *count);
    return list;
}

static void
print_weight(const struct compare *compare, bool stop, const char *title)
{
    size_t count;
    struct player_finding *list = players_of(compare, stop, &count);

    if (count > 0) {
        putchar('\n');
        output_led(0, 2, "%s", title);
    }
    for (size_t i = 0; i < count; i++) {
        if (players_begin(list, i))
            output_wrapped(2, 4, players_title(&list[i]));
        print_finding(compare, &compare->findings[list[i].at]);
    }
    free(list);
}

static void
print_findings(const struct compare *compare)
{
    char unjudged[80] = "";

    if (compare->of[FINDING_NOT_JUDGED] > 0)
        snprintf(unjudged, sizeof unjudged, ", %zu not judged now (muted, or not known)",
                 compare->of[FINDING_NOT_JUDGED]);
    output_format(0, 2, "\nFindings: %zu new, %zu worse, %zu fixed, %zu unchanged%s",
                  compare->of[FINDING_NEW], compare->of[FINDING_WORSE], compare->of[FINDING_FIXED],
                  compare->of[FINDING_UNCHANGED], unjudged);
    print_weight(compare, true, report_title(WEIGHT_STOP));
    print_weight(compare, false, "Fix and note");
}

/* ---- what moved ---- */

/* What moves path gains, or has its class; -1: path gains. */
static bool
is_in(const struct compare_value *value, int kind)
{
    bool moves_paths = effect_is_any(value->effect);

    return value->stands == COMPARE_DIFFERS &&
           (kind < 0 ? moves_paths : !moves_paths && value->kind == (enum difference_class)kind);
}

bool
compare_is_listed(const struct compare *compare, const struct compare_value *value)
{
    return value->stands == COMPARE_DIFFERS &&
           (compare->all || difference_is_drift(value->kind) || value->card != PLAN_NO_CARD ||
            effect_is_any(value->effect));
}

static size_t
count_in(const struct compare *compare, int kind)
{
    size_t count = 0;

    for (size_t i = 0; i < compare->moved_count; i++)
        count += is_in(&compare->moved[i], kind) && compare_is_listed(compare, &compare->moved[i]);
    return count;
}

/* The values of one class under its name, as long as there is room; how many were printed. */
static size_t
print_class(const struct compare *compare, int kind, size_t room)
{
    size_t count = count_in(compare, kind), printed = 0;

    if (count == 0 || room == 0)
        return 0;
    printf("  %s (%zu)\n",
           kind < 0 ? "path gains, the loudest upwards first"
                    : difference_class_name((enum difference_class)kind),
           count);
    for (size_t i = 0; i < compare->moved_count && printed < room; i++)
        if (is_in(&compare->moved[i], kind) && compare_is_listed(compare, &compare->moved[i])) {
            compare_print(compare, &compare->moved[i]);
            printed++;
        }
    return printed;
}

/* What moves nothing that is heard in a mix, counted. */
static void
print_ridden(const struct compare *compare)
{
    size_t moved = 0;
    char line[200];
    struct text text;

    text_init(&text, line, sizeof line);
    for (int kind = 0; kind < DIFFERENCE_METER; kind++) {
        size_t count = 0;

        for (size_t i = 0; i < compare->moved_count; i++)
            count +=
                is_in(&compare->moved[i], kind) && !compare_is_listed(compare, &compare->moved[i]);
        if (count == 0)
            continue;
        text_add(&text, "%s %zu %s%s", moved > 0 ? "," : "", count,
                 difference_class_name((enum difference_class)kind), count == 1 ? "" : "s");
        moved += count;
    }
    if (moved > 0)
        output_format(0, 2, "\nBesides:%s %s moved by hand: --all lists them", line,
                      moved == 1 ? "was" : "were");
}

static void
print_moved(const struct compare *compare)
{
    size_t count = 0, printed = 0;

    for (int kind = -1; kind < DIFFERENCE_METER; kind++)
        count += count_in(compare, kind);
    if (count == 0)
        output_format(0, 0, "\n%so %sgain, tap, filter or protection moved.",
                      compare->unknown_count > 0 ? "Of what is known, n" : "N",
                      compare->stands[COMPARE_FOLDED] > 0 ? "path " : "");
    else
        printf("\nMoved (%zu)\n", count);
    for (int kind = -1; kind < DIFFERENCE_METER; kind++)
        printed += print_class(compare, kind, compare->all ? count : MOVED_SHOWN - printed);
    if (printed < count)
        report_more(count - printed);
    print_ridden(compare);
}

/* ---- not known ---- */

static bool
is_known(const struct engine *engine, const struct compare_value *value)
{
    const struct desk *desk = engine_desk(engine);

    return desk_supplied(desk, value->id) != SUPPLY_ABSENT &&
           desk_value(desk, value->id, value->row, value->column)->state == VALUE_KNOWN;
}

static const char *
where_unknown(const struct compare *compare, bool then, bool now)
{
    if (then)
        return "now";
    if (compare->reference)
        return now ? "in the reference" : "in the reference or now";
    return now ? "when it was approved" : "then or now";
}

const char *
compare_unknown_says(const struct compare *compare, const struct compare_value *value,
                     char line[COMPARE_LINE_SIZE])
{
    bool then = is_known(compare->then, value), now = is_known(compare->now, value);
    char object[REPORT_OBJECT_SIZE];
    struct text text;

    text_init(&text, line, COMPARE_LINE_SIZE);
    text_add(&text, "%s: ", compare_owner(compare, value, object));
    difference_place(&text, engine_desk(compare->now), value->id, value->row, value->column);
    text_add(&text, ": not known %s", where_unknown(compare, then, now));
    return line;
}

static void
print_not_known(const struct compare *compare)
{
    if (compare->unknown_count == 0)
        return;
    output_format(0, 2, "\nNot known whether they moved (%zu)", compare->unknown_count);
    for (size_t i = 0; i < compare->unknown_count; i++) {
        char line[COMPARE_LINE_SIZE];

        if (i == UNKNOWN_SHOWN && !compare->all) {
            report_more(compare->unknown_count - i);
            return;
        }
        output_wrapped(2, 4, compare_unknown_says(compare, &compare->unknown[i], line));
    }
}

void
compare_text(const struct compare *compare)
{
    print_head(compare);
    print_findings(compare);
    if (compare->reference)
        compare_reference_text(compare);
    else
        print_moved(compare);
    compare_proved_text(compare);
    compare_besides_text(compare);
    cards_text(compare->now, compare->plan);
    print_not_known(compare);
    putchar('\n');
    report_care();
}
