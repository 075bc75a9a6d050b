/* SPDX-License-Identifier: MIT */
/* One page a player: what to do, in the order to do it. */
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "desk/player.h"
#include "page/html.h"
#include "page/page.h"
#include "report/players.h"
#include "report/report.h"

/* Protection first, then by subject; within one the mixes before the inputs, because a master moved
 * later would move the sends again; then by weight. */
static size_t
rank_of(const struct engine *engine, const struct finding *finding)
{
    size_t rank = finding->verdict.weight == WEIGHT_STOP ? 0 : 1;

    rank = rank * SUBJECTS + (size_t)finding->check->subject;
    rank = rank * 2 + (finding->object.input >= 0);
    rank = rank * WEIGHTS + (size_t)(WEIGHTS - 1 - (int)finding->verdict.weight);
    return rank * engine_slots(engine) + finding->slot;
}

/* For free(). */
static struct player_finding *
by_player(const struct report_findings *findings)
{
    struct player_finding *list = need_memory(findings->open_count + 1, sizeof *list);

    for (size_t i = 0; i < findings->open_count; i++)
        list[i] = (struct player_finding){.finding = findings->list[i],
                                          .at = i,
                                          .rank = rank_of(findings->engine, findings->list[i])};
    players_group(findings->engine, list, findings->open_count);
    return list;
}

/* The place of the finding's card, PLAN_NO_CARD: it has none. */
static size_t
card_of(const struct report_findings *findings, const struct finding *finding)
{
    return plan_card_of(findings->plan, finding->check->number, finding->object);
}

/* Whether the card stands with another finding of the player, further up. */
static bool
was_shown(const struct report_findings *findings, const struct player_finding *list, size_t row)
{
    size_t card = card_of(findings, list[row].finding);
    size_t at = row;

    while (at > 0 && list[at - 1].group == list[row].group &&
           card_of(findings, list[at - 1].finding) != card)
        at--;
    return card != PLAN_NO_CARD && at > 0 && list[at - 1].group == list[row].group;
}

/* Whole in itself: what a card sets stands with it. */
static void
add_step(FILE *page, const struct report_findings *findings, const struct player_finding *list,
         size_t row)
{
    const struct engine *engine = findings->engine;
    const struct finding *finding = list[row].finding;
    size_t card = card_of(findings, finding);
    bool shown = was_shown(findings, list, row);
    char object[REPORT_OBJECT_SIZE];
    struct words words;

    engine_words(engine, finding, &words);
    html_add(page, "<li><b><bdi>%s</bdi></b>: ", report_object(engine, finding->object, object));
    if (card == PLAN_NO_CARD)
        html_add(page, "%s.", words.cure);
    else if (shown)
        html_add(page, "card %zu above.", card + 1);
    else
        html_add(page, "set this, all of it and in this order, or none of it (card %zu%s).",
                 card + 1, findings->plan->cards[card].rest_count > 0 ? ", behind others" : "");
    html_add(page, "<br><span class=\"soft\">Why: %s.</span>\n", words.says);
    if (card != PLAN_NO_CARD && !shown)
        page_add_card(page, findings, card);
    html_add(page, "</li>\n");
}

/* "Listens to mix 2 Gtr wedge. Plays into 11 Gtr L, 12 Gtr R." */
static void
add_places(FILE *page, const struct engine *engine, const char *player)
{
    const struct draw draw = {page, engine_desk(engine), engine_show(engine)};
    int mixes = 0, inputs = 0;
    char name[DRAW_NAME_SIZE], other[SHOW_NAME_SIZE];

    for (int mix = 0; mix < desk_count(draw.desk, INDEX_MIX); mix++) {
        player_of_mix(draw.desk, draw.show, mix, other);
        if (strcmp(other, player) != 0)
            continue;
        fputs(mixes++ == 0 ? "<p>Listens to mix " : ", ", page);
        html_add(page, "<a href=\"#row-%d\"><bdi dir=\"ltr\">%s</bdi></a>", mix + 1,
                 draw_name(&draw, PARAM_MIX_NAME, mix, name));
    }
    if (mixes > 0)
        html_add(page, ".</p>\n");
    for (int input = 0; input < desk_count(draw.desk, INDEX_INPUT); input++) {
        if (strcmp(draw.show->inputs[input].player, player) != 0)
            continue;
        fputs(inputs++ == 0 ? "<p>Plays into " : ", ", page);
        html_add(page, "<bdi dir=\"ltr\">%s</bdi>",
                 draw_name(&draw, PARAM_INPUT_NAME, input, name));
    }
    if (inputs > 0)
        html_add(page, ".</p>\n");
}

static void
begin_player(FILE *page, const struct engine *engine, const struct player_finding *first,
             const struct reading *reading)
{
    html_add(page, "<section class=\"player\" id=\"player-%zu\">\n<h3><bdi>%s</bdi></h3>\n",
             first->group + 1, players_title(first));
    page_reading(page, reading);
    if (*first->player)
        add_places(page, engine, first->player);
    html_add(page, "<ol>\n");
}

void
page_add_player_links(FILE *page, const struct report_findings *findings)
{
    struct player_finding *list = by_player(findings);

    for (size_t i = 0; i < findings->open_count; i++)
        if (players_begin(list, i))
            html_add(page, "<li><a href=\"#player-%zu\"><bdi>%s</bdi></a></li>", list[i].group + 1,
                     players_title(&list[i]));
    free(list);
}

void
page_add_players(FILE *page, const struct report_findings *findings, const struct reading *reading)
{
    struct player_finding *list = by_player(findings);

    if (findings->open_count > 0)
        html_add(page,
                 "<section class=\"players\" id=\"players\">\n<h2>Player by player</h2>\n"
                 "<p class=\"soft\">What to do, in the order to do it. To print one page alone, "
                 "follow its link above, then print.</p>\n");
    for (size_t i = 0; i < findings->open_count; i++) {
        if (players_begin(list, i))
            begin_player(page, findings->engine, &list[i], reading);
        add_step(page, findings, list, i);
        if (i + 1 == findings->open_count || players_begin(list, i + 1))
            html_add(page, "</ol>\n</section>\n");
    }
    if (findings->open_count > 0)
        html_add(page, "<p class=\"care alone\">%s</p>\n</section>\n", report_care_words);
    free(list);
}
