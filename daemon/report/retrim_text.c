/* SPDX-License-Identifier: MIT */
/* The page of `gainwarden retrim`: for a person to follow; nothing is sent to the desk. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/clock.h"
#include "base/output.h"
#include "core/text.h"
#include "report/report.h"
#include "report/retrim.h"

/* A level for a person: one decimal where it says something. */
static const char *
level(double db, char buffer[16])
{
    double tenths = round(db * 10) / 10;

    snprintf(buffer, 16, "%g", tenths == 0 ? 0 : tenths); /* never -0 */
    return buffer;
}

static void
print_step(int *step, const char *heading)
{
    output_format(0, 3, "\n%d. %s", ++*step, heading);
}

/* The moves of one parameter, one line each under a heading. */
static void
print_moves(const struct retrim_sheet *sheet, enum param_id id, const char *heading, int *step)
{
    int count = 0;

    for (int i = 0; i < sheet->retrim->move_count; i++) {
        const struct retrim_move *move = &sheet->retrim->moves[i];
        char object[REPORT_OBJECT_SIZE], line[300], from[16], to[16];

        if (move->param != id)
            continue;
        if (count++ == 0)
            print_step(step, heading);
        report_object(sheet->session->engine, retrim_sheet_object(move), object);
        snprintf(line, sizeof line, "%s: %s -> %s dB", object, level(move->from, from),
                 level(move->to, to));
        output_wrapped(3, 6, line);
    }
}

/* The sends of one mix in one paragraph. */
static void
print_mix_sends(const struct retrim_sheet *sheet, int mix)
{
    const struct engine *engine = sheet->session->engine;
    char object[REPORT_OBJECT_SIZE], line[6000];
    struct text text;

    text_init(&text, line, sizeof line);
    for (int i = 0; i < sheet->retrim->move_count; i++) {
        const struct retrim_move *move = &sheet->retrim->moves[i];
        char from[16], to[16], residue[32] = "";

        if (move->param != PARAM_SEND_LEVEL || move->column != mix)
            continue;
        if (fabs(move->residue_db) >= 0.05)
            snprintf(residue, sizeof residue, " (%+.1f dB left over)", move->residue_db);
        text_add(&text, "%s %d %s %s -> %s%s", text.used > 0 ? "," : "", move->row + 1,
                 desk_text(engine_desk(engine), PARAM_INPUT_NAME, move->row, 0),
                 level(move->from, from), level(move->to, to), residue);
    }
    if (text.used == 0)
        return;
    output_wrapped(3, 6, report_object(engine, (struct object){-1, mix}, object));
    output_wrapped(6, 6, line);
}

static void
print_sends(const struct retrim_sheet *sheet, int *step)
{
    int count = 0;

    for (int i = 0; i < sheet->retrim->move_count; i++)
        count += sheet->retrim->moves[i].param == PARAM_SEND_LEVEL;
    if (count == 0)
        return;
    print_step(step, "Sends, mix by mix (input, from -> to dB)");
    for (int mix = 0; mix < desk_count(engine_desk(sheet->session->engine), INDEX_MIX); mix++)
        print_mix_sends(sheet, mix);
}

enum { OBJECT_COLUMN = 29, TABLE_WIDTH = 64 };

/* As a row of the table, or as a sentence where the terminal is too narrow for it. */
static void
print_input(const char *object, const struct retrim_input *input, bool wide)
{
    char a[16], b[16], c[16], d[16], figures[120];

    snprintf(figures, sizeof figures,
             wide ? "%6s -> %-6s %8s -> %s" : "preamp %s -> %s dB, loudest send %s -> %s dB",
             level(input->preamp_db[0], a), level(input->preamp_db[1], b),
             level(input->send_db[0], c), level(input->send_db[1], d));
    if (!wide) {
        output_format(2, 4, "%s: %s", object, figures);
        return;
    }
    output_padded(2, OBJECT_COLUMN, object);
    puts(figures);
}

static void
print_table(const struct retrim_sheet *sheet)
{
    const struct engine *engine = sheet->session->engine;
    struct retrim_input *inputs = retrim_sheet_inputs(sheet);
    bool wide = output_width() >= TABLE_WIDTH;
    char object[REPORT_OBJECT_SIZE];

    puts(wide ? "\nBefore and after              preamp dB        loudest send dB"
              : "\nBefore and after");
    for (int i = 0; i < desk_count(engine_desk(engine), INDEX_INPUT); i++) {
        const struct retrim_input *input = &inputs[i];

        if (input->preamp_db[0] != input->preamp_db[1] || input->send_db[0] != input->send_db[1])
            print_input(report_object(engine, (struct object){i, -1}, object), input, wide);
    }
    free(inputs);
}

static void
print_stops(const struct retrim_sheet *sheet)
{
    char object[REPORT_OBJECT_SIZE], line[500];

    if (sheet->retrim->stop_count > 0)
        puts("\nStopped short");
    for (int i = 0; i < sheet->retrim->stop_count; i++) {
        const struct retrim_stop *stop = &sheet->retrim->stops[i];

        snprintf(
            line, sizeof line, "%s: %s",
            report_object(sheet->session->engine, (struct object){stop->input, stop->mix}, object),
            stop->why);
        output_wrapped(2, 4, line);
    }
}

void
retrim_sheet_text(const struct retrim_sheet *sheet)
{
    const struct retrim *retrim = sheet->retrim;
    char when[CLOCK_SIZE], line[500], a[16], b[16];
    int step = 0;

    snprintf(line, sizeof line, "%s: re-trim of %s, %s", session_name(sheet->session),
             sheet->session->profile->desk, session_at(sheet->session, when));
    output_wrapped(0, 4, line);
    if (retrim->move_count == 0) {
        puts("\nNothing to move.");
        print_stops(sheet);
        return;
    }
    snprintf(
        line, sizeof line,
        "Every path gain, and with it the loop gain, stays the same (to within %s dB); up to %s dB "
        "of preamp headroom come back. Do all of it: half of it changes levels.",
        level(retrim->worst_residue_db, a), level(retrim->headroom_db, b));
    output_wrapped(0, 0, line);
    print_step(&step, "Mute the mixes, or do it between songs with nobody on a microphone");
    print_moves(sheet, PARAM_INPUT_PREAMP_GAIN, "Preamps", &step);
    print_moves(sheet, PARAM_INPUT_COMP_THRESHOLD,
                "Compressor thresholds, which move with their preamps", &step);
    print_moves(sheet, PARAM_INPUT_GATE_THRESHOLD, "Gate thresholds, likewise", &step);
    print_moves(sheet, PARAM_INPUT_FADER, "House faders, so that the house stays as loud", &step);
    print_moves(sheet, PARAM_MIX_FADER, "Masters", &step);
    print_sends(sheet, &step);
    print_step(&step, "Open the mixes one by one, a hand on the master, ears protected");
    print_stops(sheet);
    print_table(sheet);
}
