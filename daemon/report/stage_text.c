/* SPDX-License-Identifier: MIT */
#include "report/stage.h"

#include <math.h>
#include <stdio.h>

#include "base/clock.h"
#include "base/output.h"
#include "core/text.h"
#include "report/report.h"

enum { INDENT = 2, WRAP = 4 };

static void
say_path(const struct stage_report *report, const struct loop_path *path, struct text *text)
{
    char input[STAGE_NAME_SIZE], mix[STAGE_NAME_SIZE];

    text_add(text, "near %f Hz, %s into %s", stage_report_hz(path->band),
             stage_report_mix(report, path->mix, mix),
             stage_report_input(report, path->microphone, input));
}

/* ---- margin ---- */

/* Without sensitivities, amplifier and calibration a margin says nothing by itself. */
static void
print_relative(const char *first)
{
    output_format(
        0, WRAP,
        "\nNo margin is told: the plan does not give every sensitivity, amplifier gain and "
        "the desk's calibration_db. What follows are differences. May ring first: %s.",
        first);
}

static void
print_margin(const struct stage_report *report)
{
    const struct margin *margin = &report->random;
    char first[300], says[400];
    struct text text;

    if (margin->db == HUGE_VAL) {
        output_format(0, WRAP, "\n%s", stage_report_no_loop(report));
        return;
    }
    text_init(&text, first, sizeof first);
    say_path(report, &margin->leads, &text);
    if (!margin->absolute) {
        print_relative(first);
        return;
    }
    text_init(&text, says, sizeof says);
    text_add(
        &text,
        "Margin estimated for %s, all its paths together: %f dB, give or take %f dB, "
        "phases at random; %f dB, give or take %f dB, with phases at their worst. May ring first: "
        "%s.",
        stage_report_extent(report), margin->db, margin->give_or_take_db, report->worst.db,
        report->worst.give_or_take_db, first);
    output_format(0, WRAP, "\n%s", says);
}

static void
add_measured(const struct stage_report *report, const struct loop_path *path, struct text *text)
{
    const struct loops_measured *measured = stage_report_measured(report, path);

    if (measured)
        text_add(
            text,
            "; it rang at %f Hz in a ring-out: %f dB above direct sound and room was measured, "
            "in place of the %f dB allowed",
            measured->hz, measured->db, stage_report_allowance_db(report, path));
}

static void
print_paths(const struct stage_report *report)
{
    if (report->path_count > 0)
        puts("\nThe paths that lead, each by itself");
    for (int i = 0; i < report->path_count; i++) {
        struct margin margin = stage_report_margin(report, &report->paths[i]);
        char says[500];
        struct text text;

        text_init(&text, says, sizeof says);
        say_path(report, &report->paths[i], &text);
        if (margin.absolute)
            text_add(&text, ": %f dB of margin, give or take %f", margin.db,
                     margin.give_or_take_db);
        else if (i > 0)
            text_add(&text, ": %f dB below the first",
                     report->paths[0].gain_db - report->paths[i].gain_db);
        add_measured(report, &report->paths[i], &text);
        output_wrapped(INDENT, WRAP, says);
    }
}

static void
print_unknown(const struct stage_report *report)
{
    char why[MISSES_SIZE];
    struct text text;

    if (report->loops->unplaced > 0)
        output_format(0, WRAP,
                      "\nLeft out, because the plan does not tell where both ends are: %d %s open",
                      report->loops->unplaced,
                      report->loops->unplaced == 1 ? "path that is" : "paths that are");
    if (report->strangers > 0)
        output_format(0, WRAP, "\nNot in the plan, and in no figure: %d open input%s",
                      report->strangers, report->strangers == 1 ? "" : "s");
    if (report->loops->unknown == 0)
        return;
    text_init(&text, why, sizeof why);
    misses_add(&text, &report->misses);
    output_format(0, WRAP, "\nNot known, and left out: %d path%s: %s", report->loops->unknown,
                  report->loops->unknown == 1 ? "" : "s", why);
}

static void
print_contradictions(const struct stage_report *report)
{
    char mix[STAGE_NAME_SIZE];

    for (int i = 0; i < report->loops->mix_count; i++)
        if (stage_report_is_for_ears(report, i))
            output_format(0, WRAP, "\n%s: " STAGE_REPORT_FOR_EARS,
                          stage_report_mix(report, i, mix));
}

/* ---- what can be had ---- */

static void
add_spare(struct text *text, double spare_db)
{
    if (spare_db >= 0)
        text_add(text, "which is enough, %f dB to spare", spare_db);
    else
        text_add(text, "which is %f dB short", -spare_db);
}

static void
print_ears(const struct stage_report *report, int ears)
{
    const struct stage_ears *at = &report->stage->ears[ears];
    char says[500], why[STAGE_HELP_SIZE], mix[STAGE_NAME_SIZE], input[STAGE_NAME_SIZE];
    struct ears_level level;
    struct text text;

    text_init(&text, says, sizeof says);
    if (stage_report_deaf(report, ears, &level, why)) {
        text_add(&text, "%s%s%s", at->player, *at->player ? ", " : "", why);
        output_wrapped(INDENT, WRAP, says);
        return;
    }
    text_add(&text, "%s%s%s: %f dB SPL, give or take %f, for %f dB SPL at the microphone of %s",
             at->player, *at->player ? ", " : "", stage_report_mix(report, level.mix, mix),
             level.level_db, level.give_or_take_db, level.voice_db,
             stage_report_input(report, level.microphone, input));
    if (!isnan(level.spare_db)) {
        text_add(&text, "; needed: %f, ", level.needed_db);
        add_spare(&text, level.spare_db);
    }
    output_wrapped(INDENT, WRAP, says);
}

static void
print_house(const struct stage_report *report)
{
    double needed_db, potential_db;
    char says[300];
    struct house house;
    struct text text;
    const char *why = stage_report_house(report, &house);

    if (why && *why)
        output_format(INDENT, WRAP, "House loudspeakers: %s", why);
    if (why)
        return;
    needed_db = house_needed_db(&house);
    potential_db = house_potential_db(&house, HOUSE_MARGIN_DB);
    text_init(&text, says, sizeof says);
    text_add(
        &text, "House loudspeakers: %f dB of gain needed, %f possible with %d open microphone%s, ",
        needed_db, potential_db, house.open_microphones, house.open_microphones == 1 ? "" : "s");
    add_spare(&text, potential_db - needed_db);
    output_wrapped(INDENT, WRAP, says);
}

static void
print_what_can_be_had(const struct stage_report *report)
{
    if (report->stage->ears_count == 0 && !report->stage->listens)
        return;
    output_format(0, WRAP, "\nWhat can be had with %g dB of margin", STAGE_REPORT_MARGIN_DB);
    for (int i = 0; i < report->stage->ears_count; i++)
        print_ears(report, i);
    print_house(report);
}

/* ---- what helps ---- */

static void
print_helps(const struct stage_report *report)
{
    if (report->help_count > 0)
        puts("\nWhat helps most");
    for (int i = 0; i < report->help_count; i++) {
        const struct help *help = &report->helps[i];
        char says[STAGE_HELP_SIZE], all[STAGE_HELP_SIZE + 100];
        struct text text;

        stage_report_help(report, help, says);
        text_init(&text, all, sizeof all);
        text_add(&text, "%s: ", says);
        if (help->path_db == HUGE_VAL)
            text_add(&text, "that path is gone");
        else
            text_add(&text, "%f dB on that path", help->path_db);
        if (help->stage_db == HUGE_VAL)
            text_add(&text, "%s", stage_report_nothing_else(report));
        else
            text_add(&text, ", %f dB for %s", fmax(help->stage_db, 0), stage_report_extent(report));
        output_wrapped(INDENT, WRAP, all);
    }
}

static void
print_hands(const struct stage_report *report)
{
    bool told = false;

    for (int i = 0; i < report->stage->microphone_count; i++) {
        char input[STAGE_NAME_SIZE];
        double loss_db;

        if (!stage_report_hand(report, i, &loss_db))
            continue;
        if (!told)
            puts("\nA hand around the grille");
        told = true;
        output_format(INDENT, WRAP, "%s: %.1f dB of margin gone",
                      stage_report_input(report, i, input), loss_db);
    }
}

void
stage_report_text(const struct stage_report *report)
{
    char when[CLOCK_SIZE];

    output_format(0, WRAP, "%s: the stage of %s, %s", session_name(report->session),
                  report->session->profile->desk, session_at(report->session, when));
    if (report->session->host)
        report_never_heard(report->figures);
    print_margin(report);
    print_paths(report);
    print_unknown(report);
    print_contradictions(report);
    print_what_can_be_had(report);
    print_helps(report);
    print_hands(report);
    putchar('\n');
    report_care();
}
