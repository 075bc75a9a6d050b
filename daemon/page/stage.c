/* SPDX-License-Identifier: MIT */
#include "page/stage.h"

#include <math.h>

#include "core/text.h"
#include "page/draw_stage.h"
#include "page/html.h"

/* ---- the estimate ---- */

const char *
page_stage_sentence(const struct stage_report *report, char says[PAGE_STAGE_SIZE])
{
    const struct margin *margin = &report->random;
    struct text text;

    text_init(&text, says, PAGE_STAGE_SIZE);
    if (margin->db == HUGE_VAL)
        text_add(&text, "%s", stage_report_no_loop(report));
    else if (margin->absolute)
        text_add(&text, "Estimated for %s: %f dB %s the first ring, give or take %f dB.",
                 stage_report_extent(report), fabs(margin->db), margin->db < 0 ? "beyond" : "below",
                 margin->give_or_take_db);
    else
        text_add(&text, "What may ring first, and what helps; not how far it is.");
    return says;
}

static void
add_first(FILE *page, const struct stage_report *report)
{
    const struct margin *margin = &report->random;
    char input[STAGE_NAME_SIZE], mix[STAGE_NAME_SIZE];

    if (margin->db < HUGE_VAL)
        html_add(page,
                 "<p><b>May ring first</b>: <bdi dir=\"ltr\">%s</bdi> into "
                 "<bdi dir=\"ltr\">%s</bdi>, near %f Hz.</p>\n",
                 stage_report_mix(report, margin->leads.mix, mix),
                 stage_report_input(report, margin->leads.microphone, input),
                 stage_report_hz(margin->band));
}

/* What the figures rest on, and what cannot be said. */
static void
add_grounds(FILE *page, const struct stage_report *report)
{
    const struct margin *margin = &report->random;

    html_add(page, "<p class=\"soft\">");
    if (margin->db < HUGE_VAL && margin->absolute)
        html_add(page,
                 "Each row is one path by itself. All of them together, phases at random, make "
                 "%f dB; with phases at their worst it is %f dB, give or take %f. An "
                 "estimate from the plan and the desk's settings: nothing was measured. ",
                 margin->db, report->worst.db, report->worst.give_or_take_db);
    else if (margin->db < HUGE_VAL)
        html_add(
            page,
            "How far it is from ringing cannot be said: the plan does not give every "
            "sensitivity, amplifier gain and the desk's calibration_db. Only differences are. ");
    if (report->loops->unknown > 0)
        html_add(page, "%d path%s not known, and left out. ", report->loops->unknown,
                 report->loops->unknown == 1 ? " is" : "s are");
    if (report->loops->unplaced > 0)
        html_add(page,
                 "%d open path%s left out because the plan does not tell where both ends are.",
                 report->loops->unplaced, report->loops->unplaced == 1 ? " is" : "s are");
    if (report->strangers > 0)
        html_add(page, " %d open input%s not in the plan, and in no figure.", report->strangers,
                 report->strangers == 1 ? " is" : "s are");
    html_add(page, "</p>\n");
}

static void
add_contradictions(FILE *page, const struct stage_report *report)
{
    char mix[STAGE_NAME_SIZE];

    for (int i = 0; i < report->loops->mix_count; i++)
        if (stage_report_is_for_ears(report, i))
            html_add(page, "<p><b><bdi dir=\"ltr\">%s</bdi></b>: " STAGE_REPORT_FOR_EARS "</p>\n",
                     stage_report_mix(report, i, mix));
}

/* ---- the paths that lead ---- */

static void
add_measured(FILE *page, const struct stage_report *report, const struct loop_path *path)
{
    const struct loops_measured *measured = stage_report_measured(report, path);

    if (measured)
        html_add(page,
                 "<br><span class=\"soft\">rang at %f Hz: %f dB measured, in place of the %f dB "
                 "allowed</span>",
                 measured->hz, measured->db, stage_report_allowance_db(report, path));
}

static void
add_path(FILE *page, const struct stage_report *report, int rank)
{
    const struct loop_path *path = &report->paths[rank];
    struct margin margin = stage_report_margin(report, path);
    char input[STAGE_NAME_SIZE], mix[STAGE_NAME_SIZE];

    html_add(page,
             "<tr><th scope=\"row\">%d: <bdi dir=\"ltr\">%s</bdi> into <bdi "
             "dir=\"ltr\">%s</bdi>",
             rank + 1, stage_report_mix(report, path->mix, mix),
             stage_report_input(report, path->microphone, input));
    add_measured(page, report, path);
    html_add(page, rank == 0 ? "</th><td><b>%f</b></td>" : "</th><td>%f</td>",
             stage_report_db(report, path));
    if (margin.absolute)
        html_add(page, "<td>%f</td>", margin.give_or_take_db);
    html_add(page, "<td>%f</td></tr>\n", stage_report_hz(path->band));
}

static void
add_paths(FILE *page, const struct stage_report *report)
{
    bool absolute = report->random.absolute;

    if (report->path_count == 0)
        return;
    html_add(page,
             "<section class=\"scroll\" tabindex=\"0\" aria-label=\"The paths that lead\">\n"
             "<table class=\"paths\">\n<thead><tr><th scope=\"col\" class=\"words\">loudspeaker "
             "into microphone</th><th scope=\"col\">%s</th>",
             absolute ? "margin by itself, dB" : "against the first, dB");
    if (absolute)
        html_add(page, "<th scope=\"col\">give or take</th>");
    html_add(page, "<th scope=\"col\">near Hz</th></tr></thead>\n<tbody>\n");
    for (int i = 0; i < report->path_count; i++)
        add_path(page, report, i);
    html_add(page, "</tbody>\n</table>\n</section>\n");
}

static void
add_picture(FILE *page, const struct stage_report *report)
{
    html_add(page, "<figure class=\"above\">\n");
    draw_stage(page, report);
    html_add(
        page,
        "<figcaption class=\"soft\">From above, to scale. Squares: loudspeakers, with their "
        "beam at %f Hz, near which the first ring may be. Dots: microphones by input, with their "
        "pattern. Dashed rings: ears. Lines: the paths that lead, numbered as in the table, %s; "
        "the thick one is first. What stands too close to be named is in the tables."
        "</figcaption>\n</figure>\n",
        draw_stage_hz(report),
        report->random.absolute ? "with the dB of margin of each by itself"
                                : "with their dB against the first");
}

void
page_add_stage(FILE *page, const struct stage_report *report)
{
    add_first(page, report);
    if (draw_stage_can(report->stage))
        add_picture(page, report);
    else
        html_add(page, "<p>The plan tells no places, so there is no picture.</p>\n");
    add_paths(page, report);
    add_grounds(page, report);
    add_contradictions(page, report);
}

/* ---- what can be had ---- */

static void
add_spare(FILE *page, double spare_db)
{
    if (isnan(spare_db))
        html_add(page, "not said how loud the stage is");
    else if (spare_db >= 0)
        html_add(page, "enough, %f dB to spare", spare_db);
    else
        html_add(page, "<b>%f dB short</b>", -spare_db);
}

static void
add_ears(FILE *page, const struct stage_report *report, int ears)
{
    char mix[STAGE_NAME_SIZE], input[STAGE_NAME_SIZE], why[STAGE_HELP_SIZE];
    const char *player = report->stage->ears[ears].player;
    struct ears_level level;

    html_add(page, "<li>");
    if (*player)
        html_add(page, "<b><bdi>%s</bdi></b>, ", player);
    if (stage_report_deaf(report, ears, &level, why)) {
        html_add(page, "<bdi dir=\"ltr\">%s</bdi></li>\n", why);
        return;
    }
    html_add(page,
             "<bdi dir=\"ltr\">%s</bdi>: %f dB SPL at the ears, give or take %f, from %f at the "
             "microphone of <bdi dir=\"ltr\">%s</bdi>; ",
             stage_report_mix(report, level.mix, mix), level.level_db, level.give_or_take_db,
             level.voice_db, stage_report_input(report, level.microphone, input));
    if (!isnan(level.needed_db))
        html_add(page, "needed are %f: ", level.needed_db);
    add_spare(page, level.spare_db);
    html_add(page, "</li>\n");
}

static void
add_house(FILE *page, const struct stage_report *report)
{
    double needed_db, potential_db;
    struct house house;
    const char *why = stage_report_house(report, &house);

    if (why && *why)
        html_add(page, "<li><b>House loudspeakers</b>: %s</li>\n", why);
    if (why)
        return;
    needed_db = house_needed_db(&house);
    potential_db = house_potential_db(&house, HOUSE_MARGIN_DB);
    html_add(page,
             "<li><b>House loudspeakers</b>: %f dB of gain needed, %f possible with %d open "
             "microphone%s: ",
             needed_db, potential_db, house.open_microphones,
             house.open_microphones == 1 ? "" : "s");
    add_spare(page, potential_db - needed_db);
    html_add(page, "</li>\n");
}

void
page_add_stage_levels(FILE *page, const struct stage_report *report)
{
    if (report->stage->ears_count == 0 && !report->stage->listens)
        return;
    html_add(page,
             "<section id=\"levels\">\n<h2>What can be had with %.0f dB of margin</h2>\n<ul>\n",
             STAGE_REPORT_MARGIN_DB);
    for (int i = 0; i < report->stage->ears_count; i++)
        add_ears(page, report, i);
    add_house(page, report);
    html_add(page, "</ul>\n</section>\n");
}

/* ---- what helps ---- */

static void
add_help(FILE *page, const struct stage_report *report, const struct help *help)
{
    char says[STAGE_HELP_SIZE];

    html_add(page, "<li><bdi>%s</bdi>: ", stage_report_help(report, help, says));
    if (help->path_db == HUGE_VAL)
        html_add(page, "that path is gone");
    else
        html_add(page, "<b>%f dB</b> on that path", help->path_db);
    if (help->stage_db == HUGE_VAL)
        html_add(page, "%s</li>\n", stage_report_nothing_else(report));
    else
        html_add(page, ", %f dB for %s</li>\n", fmax(help->stage_db, 0),
                 stage_report_extent(report));
}

void
page_add_stage_helps(FILE *page, const struct stage_report *report)
{
    if (report->help_count == 0)
        return;
    html_add(page, "<section id=\"helps\">\n<h2>What helps most</h2>\n<ol>\n");
    for (int i = 0; i < report->help_count; i++)
        add_help(page, report, &report->helps[i]);
    html_add(page, "</ol>\n</section>\n");
}

void
page_add_stage_hands(FILE *page, const struct stage_report *report)
{
    char input[STAGE_NAME_SIZE];
    double loss_db;
    int told = 0;

    for (int i = 0; i < report->stage->microphone_count; i++) {
        if (!stage_report_hand(report, i, &loss_db))
            continue;
        if (told++ == 0)
            html_add(page, "<section id=\"hand\">\n<h2>A hand around the grille</h2>\n<ul>\n");
        html_add(page, "<li><bdi dir=\"ltr\">%s</bdi>: <b>%f dB</b> of margin gone</li>\n",
                 stage_report_input(report, i, input), loss_db);
    }
    if (told > 0)
        html_add(page, "</ul>\n</section>\n");
}
