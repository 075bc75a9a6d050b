/* One page a player: what to do, in the order to do it. */
#include <stdlib.h>
#include <string.h>

#include "desk/player.h"
#include "page/html.h"
#include "page/page.h"
#include "report/report.h"

/* Protection first, then by subject; within one the mixes before the inputs, because a master moved
 * later would move the sends again; then by weight. */
static int
rank_of(const struct finding *finding)
{
    int rank = finding->verdict.weight == WEIGHT_STOP ? 0 : 1;

    rank = rank * SUBJECTS + (int)checks[finding->check]->subject;
    rank = rank * 2 + (finding->object.input >= 0);
    return rank * WEIGHTS + (WEIGHTS - 1 - (int)finding->verdict.weight);
}

static int
compare(const void *one, const void *other)
{
    const struct finding *const *a = one, *const *b = other;
    int difference = rank_of(*a) - rank_of(*b);

    if (difference != 0)
        return difference;
    return ((*a)->slot > (*b)->slot) - ((*a)->slot < (*b)->slot);
}

static void
add_step(FILE *page, const struct page_findings *findings, const struct finding *finding)
{
    char object[REPORT_OBJECT_SIZE];
    bool input = finding->object.input >= 0;
    int number = input ? finding->object.input : finding->object.mix;

    html_add(page, "<li>");
    if (number >= 0)
        html_add(page, "<a href=\"#%s-%d\"><bdi>%s</bdi></a>: ", input ? "input" : "mix",
                 number + 1, report_object(findings->engine, finding->object, object));
    html_add(page, "%s<br><span class=\"soft\">Why: %s.</span></li>\n", finding->verdict.cure,
             finding->verdict.says);
}

/* "Listens to mix 2 Gtr wedge. Plays into 11 Gtr L, 12 Gtr R." */
static void
add_places(FILE *page, const struct engine *engine, const char *player)
{
    const struct draw draw = {page, engine_desk(engine), engine_show(engine)};
    const char *between = "<p>Listens to mix ";
    char name[DRAW_NAME_SIZE], other[SHOW_NAME_SIZE];

    for (int mix = 0; mix < desk_count(draw.desk, INDEX_MIX); mix++) {
        player_of_mix(draw.desk, draw.show, mix, other);
        if (strcmp(other, player) != 0)
            continue;
        fputs(between, page);
        html_add(page, "<a href=\"#mix-%d\"><bdi dir=\"ltr\">%s</bdi></a>", mix + 1,
                 draw_mix(&draw, mix, name));
        between = ", ";
    }
    if (strcmp(between, ", ") == 0)
        html_add(page, ".</p>\n");
    between = "<p>Plays into ";
    for (int input = 0; input < desk_count(draw.desk, INDEX_INPUT); input++) {
        if (strcmp(draw.show->inputs[input].player, player) != 0)
            continue;
        fputs(between, page);
        html_add(page, "<bdi dir=\"ltr\">%s</bdi>", draw_input(&draw, input, name));
        between = ", ";
    }
    if (strcmp(between, ", ") == 0)
        html_add(page, ".</p>\n");
}

static void
add_player(FILE *page, const struct page_findings *findings, const struct finding *const *sorted,
           size_t number)
{
    const struct engine *engine = findings->engine;
    const char *player = findings->players[number];

    html_add(page, "<section class=\"player\" id=\"player-%zu\">\n<h3><bdi>%s</bdi></h3>\n",
             number + 1, *player ? player : "no player named");
    if (*player)
        add_places(page, engine, player);
    html_add(page, "<ol>\n");
    for (size_t i = 0; i < findings->open_count; i++) {
        char other[SHOW_NAME_SIZE];

        engine_player(engine, sorted[i], other);
        if (strcmp(player, other) == 0)
            add_step(page, findings, sorted[i]);
    }
    html_add(page, "</ol>\n</section>\n");
}

void
page_add_players(FILE *page, const struct page_findings *findings)
{
    const struct finding **sorted;

    if (findings->player_count == 0)
        return;
    sorted = malloc(findings->open_count * sizeof *sorted);
    if (!sorted)
        abort();
    memcpy(sorted, findings->list, findings->open_count * sizeof *sorted);
    qsort(sorted, findings->open_count, sizeof *sorted, compare);
    html_add(page, "<section class=\"players\" id=\"players\">\n<h2>Player by player</h2>\n"
                   "<p class=\"soft\">What to do, in the order to do it. To print one page alone, "
                   "follow its link above, then print.</p>\n");
    for (size_t i = 0; i < findings->player_count; i++)
        add_player(page, findings, sorted, i);
    html_add(page, "<p class=\"care alone\">%s</p>\n</section>\n", report_care_words);
    free(sorted);
}
