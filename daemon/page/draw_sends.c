/* SPDX-License-Identifier: MIT */
/* The sends: how much louder or softer an input reaches each mix than its player's own. Only within
 * a row: how loud a source is no desk knows. Tables and no drawings, so that they read aloud.
 */
#include "page/draw.h"

#include <math.h>

#include "check/own_send.h"
#include "page/html.h"
#include "sound/path.h"

/* So many mixes stand side by side on paper. */
enum { STEPS = 3, STEP_DB = 6, ABREAST = 12 };

/* What a row is measured against. */
struct measure {
    int mix; /* -1: nothing of it is open and known */
    bool own;
    double db;
};

/* From the preamp on: what lies before it is the same for the whole row, and need not be known. */
static bool
behind_db(const struct draw *draw, int input, int mix, double *db)
{
    static const enum param_id reads[] = {LOOK_BEHIND_READS, PARAMS};
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(draw->desk, draw->show, reads, &verdict);
    struct behind behind;
    bool known = look_behind_preamp(&look, input, mix, &behind);

    *db = behind.sum_db;
    return known;
}

/* From the socket on. */
static bool
path_db(const struct draw *draw, int input, int mix, double *db)
{
    struct path_level level;
    bool known = path_level_on(draw->desk, input, mix, &level);

    *db = level.sum_db;
    return known;
}

static int
own_mix(const struct draw *draw, int input)
{
    static const enum param_id reads[] = {OWN_SEND_READS, PARAMS};
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(draw->desk, draw->show, reads, &verdict);
    struct own_send own;

    return own_send_of(&look, input, &own) ? own.mix : -1;
}

/* Where there is no own send, or it is off, the loudest path stands in. */
static struct measure
measure_of(const struct draw *draw, int input)
{
    struct measure measure = {own_mix(draw, input), true, -HUGE_VAL};
    double db;

    if (measure.mix >= 0 && behind_db(draw, input, measure.mix, &db) && db > -HUGE_VAL) {
        measure.db = db;
        return measure;
    }
    measure = (struct measure){-1, false, -HUGE_VAL};
    for (int mix = 0; mix < desk_count(draw->desk, INDEX_MIX); mix++)
        if (behind_db(draw, input, mix, &db) && db > measure.db)
            measure = (struct measure){mix, false, db};
    return measure;
}

/* ---- cells ---- */

/* Up to 6 dB, up to 12, and beyond, either way. */
static void
add_shade(FILE *page, double db)
{
    int step = (int)fmin(STEPS, ceil(fabs(db) / STEP_DB - 0.01));

    if (step > 0)
        html_add(page, " %s-%d", db > 0 ? "up" : "down", step);
}

static void
add_difference(const struct draw *draw, const struct measure *measure, int mix, double db)
{
    FILE *page = draw->page;

    html_add(page, "<td class=\"level");
    add_shade(page, db - measure->db);
    if (mix == measure->mix)
        html_add(page, measure->own ? " own\">0<span class=\"unseen\"> own send</span></td>"
                                    : " most\">0<span class=\"unseen\"> loudest</span></td>");
    else
        html_add(page, "\">%+f</td>", db - measure->db);
}

/* `measure`: NULL asks for absolute figures. */
static void
add_cell(const struct draw *draw, const struct measure *measure, int input, int mix)
{
    double db;
    bool known = measure ? behind_db(draw, input, mix, &db) : path_db(draw, input, mix, &db);

    if (!known)
        html_add(draw->page, "<td class=\"closed\">?</td>");
    else if (db == -HUGE_VAL)
        html_add(draw->page, "<td class=\"closed\"><span class=\"unseen\">off</span></td>");
    else if (measure)
        add_difference(draw, measure, mix, db);
    else
        html_add(draw->page, "<td>%f</td>", db);
}

/* ---- the tables ---- */

static void
add_head(const struct draw *draw, int from, int to, const char *title, const char *kind)
{
    char name[DRAW_NAME_SIZE];

    html_add(draw->page,
             "<section class=\"scroll\" tabindex=\"0\" aria-label=\"%s, mixes %d to %d\">\n"
             "<table class=\"matrix %s\">\n<thead><tr><th scope=\"col\" class=\"words\">input</th>",
             title, from + 1, to, kind);
    for (int mix = from; mix < to; mix++)
        html_add(draw->page, "<th scope=\"col\"><bdi dir=\"ltr\">%s</bdi></th>",
                 draw_name(draw, PARAM_MIX_NAME, mix, name));
    html_add(draw->page, "</tr></thead>\n<tbody>\n");
}

static void
add_rows(const struct draw *draw, int from, int to, bool absolute)
{
    char name[DRAW_NAME_SIZE];

    for (int input = 0; input < desk_count(draw->desk, INDEX_INPUT); input++) {
        struct measure measure = measure_of(draw, input);

        html_add(draw->page, "<tr><th scope=\"row\"><bdi dir=\"ltr\">%s</bdi></th>",
                 draw_name(draw, PARAM_INPUT_NAME, input, name));
        for (int mix = from; mix < to; mix++)
            add_cell(draw, absolute ? NULL : &measure, input, mix);
        html_add(draw->page, "</tr>\n");
    }
}

static void
add_tables(const struct draw *draw, bool absolute)
{
    int mixes = desk_count(draw->desk, INDEX_MIX);

    for (int from = 0; from < mixes; from += ABREAST) {
        int to = from + ABREAST < mixes ? from + ABREAST : mixes;

        add_head(draw, from, to, absolute ? "Path gains" : "Sends as against the player's own",
                 absolute ? "gains" : "sends");
        add_rows(draw, from, to, absolute);
        html_add(draw->page, "</tbody>\n</table>\n</section>\n");
    }
}

void
draw_sends(const struct draw *draw)
{
    if (desk_count(draw->desk, INDEX_INPUT) == 0 || desk_count(draw->desk, INDEX_MIX) == 0)
        return;
    html_add(
        draw->page,
        "<p class=\"soft\">How much louder (+) or softer (\xe2\x88\x92) an input reaches a mix "
        "than its player's own, dB, up to the mix output. Shades: up to 6 dB, up to 12, "
        "beyond. Framed: the player's own send; underlined: there is none, so the loudest "
        "stands in. Empty: off. ?: not known.</p>\n");
    add_tables(draw, false);
    html_add(draw->page, "<details><summary>The same as path gain from socket to mix output, dB"
                         "</summary>\n");
    add_tables(draw, true);
    html_add(draw->page, "</details>\n");
}
