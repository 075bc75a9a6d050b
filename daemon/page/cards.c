/* SPDX-License-Identifier: MIT */
/* The cards, large enough for a dark place: one control a row, now and set to in columns. */
#include "report/cards.h"
#include "advice/say.h"
#include "core/text.h"
#include "page/html.h"
#include "page/page.h"

static void
add_value(FILE *page, const struct card_move *move, double number)
{
    char value[40];
    struct text text;

    text_init(&text, value, sizeof value);
    say_value(&text, move, number);
    html_add(page, "<td class=\"number\">%s</td>", value);
}

static void
add_move(FILE *page, const struct desk *desk, const struct card *card, const struct card_move *move)
{
    char control[200];
    struct text text;

    text_init(&text, control, sizeof control);
    say_control(&text, desk, card, move);
    html_add(page,
             "<tr><th scope=\"row\"><label><input type=\"checkbox\"> <bdi>%s</bdi></label></th>",
             control);
    add_value(page, move, move->now);
    if (move->to == move->now)
        html_add(page, "<td class=\"number\">stays</td>");
    else
        add_value(page, move, move->to);
    html_add(page, "</tr>\n");
}

void
page_add_card(FILE *page, const struct report_findings *findings, size_t place)
{
    const struct card *card = &findings->plan->cards[place];
    const struct desk *desk = engine_desk(findings->engine);

    html_add(page, "<table class=\"card\"><thead><tr><th scope=\"col\" class=\"words\">control</th>"
                   "<th scope=\"col\">now</th><th scope=\"col\">set to</th></tr></thead><tbody>\n");
    for (size_t i = 0; i < card->count; i++)
        add_move(page, desk, card, &card->moves[i]);
    html_add(page, "</tbody></table>\n");
}

static void
add_card(FILE *page, const struct report_findings *findings, size_t place)
{
    const struct card *card = &findings->plan->cards[place];
    char title[300], worth[200];
    struct text text;

    text_init(&text, title, sizeof title);
    say_card(&text, engine_desk(findings->engine), card);
    text_init(&text, worth, sizeof worth);
    say_worth(&text, card);
    html_add(page, "<li id=\"card-%zu\"><h3>Card %zu: <bdi>%s</bdi></h3>\n", place + 1, place + 1,
             title);
    if (*worth)
        html_add(page, "<p class=\"soft\">It %s.</p>\n", worth);
    for (size_t i = 0; i < card->rest_count; i++)
        html_add(page, "<p>Only behind <a href=\"#card-%zu\">card %zu</a>.</p>\n",
                 card->rests_on[i] + 1, card->rests_on[i] + 1);
    page_add_card(page, findings, place);
    html_add(page, "</li>\n");
}

static void
add_stops(FILE *page, const struct report_findings *findings)
{
    const struct plan *plan = findings->plan;

    if (plan->stop_count == 0)
        return;
    html_add(page,
             "<details class=\"stopped\"><summary>Cards that were stopped short</summary>\n<ul>\n");
    for (size_t i = 0; i < plan->stop_count; i++) {
        char line[400];
        struct text text;

        text_init(&text, line, sizeof line);
        say_stop(&text, engine_desk(findings->engine), &plan->stops[i]);
        html_add(page, "<li><bdi>%s</bdi></li>\n", line);
    }
    html_add(page, "</ul>\n</details>\n");
}

void
page_add_cards(FILE *page, const struct report_findings *findings)
{
    const struct plan *plan = findings->plan;

    if (plan->count == 0 && plan->stop_count == 0 && !plan->asks_role && plan->small == 0)
        return;
    html_add(page, "<section id=\"cards\">\n<h2>The cards</h2>\n<p class=\"soft\">%s</p>\n",
             cards_how_words);
    if (plan->count > 0)
        html_add(page, "<ul class=\"cards\">\n");
    for (size_t i = 0; i < plan->count; i++)
        add_card(page, findings, i);
    if (plan->count > 0)
        html_add(page, "</ul>\n");
    add_stops(page, findings);
    if (plan->asks_role)
        html_add(page, "<p>%s</p>\n", cards_role_words);
    if (plan->small > 0)
        html_add(page, "<p>%zu more would be worth less than 3 dB.</p>\n", plan->small);
    html_add(page, "</section>\n");
}
