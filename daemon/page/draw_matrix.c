/* SPDX-License-Identifier: MIT */
/* The send matrix: path gain from every input into every mix. A table and no drawing, so that it
 * reads aloud row by row. */
#include "page/draw.h"

#include <math.h>

#include "page/html.h"
#include "sound/ladder.h"

enum { SHADES = 5 };

/* Path gains from which the next shade begins, dB. */
static const double shade_from_db[SHADES] = {-HUGE_VAL, 10, 20, 30, 40};

static int
shade_of(double path_db)
{
    int shade = SHADES;

    while (shade > 1 && path_db < shade_from_db[shade - 1])
        shade--;
    return shade;
}

static void
draw_cell(const struct draw *draw, int input, int mix)
{
    struct path_level level;
    bool own = ladder_is_own(draw->desk, draw->show, input, mix);

    if (!ladder_path(draw->desk, draw->show, input, mix, &level))
        html_add(draw->page, "<td class=\"closed%s\">?", own ? " own" : "");
    else if (level.sum_db == -HUGE_VAL)
        html_add(draw->page, "<td class=\"closed%s\"><span class=\"unseen\">off</span>",
                 own ? " own" : "");
    else
        html_add(draw->page, "<td class=\"gain-%d%s\">%f", shade_of(level.sum_db),
                 own ? " own" : "", level.sum_db);
    fputs(own ? "<span class=\"unseen\"> own send</span></td>" : "</td>", draw->page);
}

static void
draw_head(const struct draw *draw)
{
    char name[DRAW_NAME_SIZE];

    html_add(draw->page, "<thead><tr><th scope=\"col\" class=\"words\">input</th>");
    for (int mix = 0; mix < desk_count(draw->desk, INDEX_MIX); mix++)
        html_add(draw->page, "<th scope=\"col\"><bdi dir=\"ltr\">%s</bdi></th>",
                 draw_name(draw, PARAM_MIX_NAME, mix, name));
    html_add(draw->page, "</tr></thead>\n<tbody>\n");
}

void
draw_matrix(const struct draw *draw)
{
    char name[DRAW_NAME_SIZE];

    html_add(draw->page,
             "<section class=\"scroll\" tabindex=\"0\" aria-label=\"Send matrix\">\n"
             "<table class=\"matrix\">\n<caption class=\"soft\">Path gain in dB from the socket to "
             "the mix output, at mid-band and without equalisers; darker or stronger is more. "
             "Framed and bold: the player's own send. Empty: off. ?: not known.</caption>\n");
    draw_head(draw);
    for (int input = 0; input < desk_count(draw->desk, INDEX_INPUT); input++) {
        html_add(draw->page, "<tr><th scope=\"row\"><bdi dir=\"ltr\">%s</bdi></th>",
                 draw_name(draw, PARAM_INPUT_NAME, input, name));
        for (int mix = 0; mix < desk_count(draw->desk, INDEX_MIX); mix++)
            draw_cell(draw, input, mix);
        html_add(draw->page, "</tr>\n");
    }
    html_add(draw->page, "</tbody>\n</table>\n</section>\n");
}
