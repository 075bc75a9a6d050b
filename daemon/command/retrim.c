/* `gainwarden retrim`: the list of moves that leaves every path gain as it is and gives the unused
 * preamp gain back. It is for a person to follow; nothing is sent to the desk.
 */
#include "command/retrim.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/clock.h"
#include "base/json.h"
#include "base/output.h"
#include "command/read_once.h"
#include "report/report.h"
#include "sound/retrim.h"

enum { RETRIM_FORMAT = 1 };

struct sheet {
    const struct session *session;
    const struct engine *engine;
    const struct retrim *retrim;
    const struct link_figures *figures;
};

static struct object
object_of(const struct retrim_move *move)
{
    if (params[move->param].row == INDEX_MIX)
        return (struct object){-1, move->row};
    return (struct object){move->row, move->param == PARAM_SEND_LEVEL ? move->column : -1};
}

/* ---- text ---- */

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
print_moves(const struct sheet *sheet, enum param_id id, const char *heading, int *step)
{
    int count = 0;

    for (int i = 0; i < sheet->retrim->move_count; i++) {
        const struct retrim_move *move = &sheet->retrim->moves[i];
        char object[REPORT_OBJECT_SIZE], line[300], from[16], to[16];

        if (move->param != id)
            continue;
        if (count++ == 0)
            print_step(step, heading);
        report_object(sheet->engine, object_of(move), object);
        snprintf(line, sizeof line, "%s: %s -> %s dB", object, level(move->from, from),
                 level(move->to, to));
        output_wrapped(3, 6, line);
    }
}

/* The sends of one mix in one paragraph. */
static void
print_mix_sends(const struct sheet *sheet, int mix)
{
    char object[REPORT_OBJECT_SIZE], line[6000] = "";
    size_t used = 0;

    for (int i = 0; i < sheet->retrim->move_count; i++) {
        const struct retrim_move *move = &sheet->retrim->moves[i];
        char from[16], to[16], residue[32] = "";

        if (move->param != PARAM_SEND_LEVEL || move->column != mix || used >= sizeof line)
            continue;
        if (fabs(move->residue_db) >= 0.05)
            snprintf(residue, sizeof residue, " (%+.1f dB left over)", move->residue_db);
        used += (size_t)snprintf(
            line + used, sizeof line - used, "%s %d %s %s -> %s%s", used > 0 ? "," : "",
            move->row + 1, desk_text(engine_desk(sheet->engine), PARAM_INPUT_NAME, move->row, 0),
            level(move->from, from), level(move->to, to), residue);
    }
    if (used == 0)
        return;
    output_wrapped(3, 6, report_object(sheet->engine, (struct object){-1, mix}, object));
    output_wrapped(6, 6, line);
}

static void
print_sends(const struct sheet *sheet, int *step)
{
    int count = 0;

    for (int i = 0; i < sheet->retrim->move_count; i++)
        count += sheet->retrim->moves[i].param == PARAM_SEND_LEVEL;
    if (count == 0)
        return;
    print_step(step, "Sends, mix by mix (input, from -> to dB)");
    for (int mix = 0; mix < desk_count(engine_desk(sheet->engine), INDEX_MIX); mix++)
        print_mix_sends(sheet, mix);
}

/* An input before and after the moves: its preamp, and its loudest send. */
struct row {
    double preamp_db[2], send_db[2];
};

static double
number_of(const struct sheet *sheet, enum param_id id, int row, int column)
{
    return desk_value(engine_desk(sheet->engine), id, row, column)->number;
}

/* The preamp's move stands under the first of the inputs that share it. */
static void
move_preamp(const struct sheet *sheet, const struct retrim_move *move, struct row *rows)
{
    const struct desk *desk = engine_desk(sheet->engine);
    const struct value *preamp = desk_value(desk, PARAM_INPUT_PREAMP, move->row, 0);

    rows[move->row].preamp_db[1] = move->to;
    for (int i = 0; preamp->state == VALUE_KNOWN && i < desk_count(desk, INDEX_INPUT); i++)
        if (number_of(sheet, PARAM_INPUT_PREAMP, i, 0) == preamp->number)
            rows[i].preamp_db[1] = move->to;
}

/* One row for each input, for free(). A send without a move stays. */
static struct row *
make_rows(const struct sheet *sheet)
{
    const struct desk *desk = engine_desk(sheet->engine);
    const struct retrim *retrim = sheet->retrim;
    int inputs = desk_count(desk, INDEX_INPUT), mixes = desk_count(desk, INDEX_MIX);
    struct row *rows = calloc((size_t)inputs, sizeof *rows);
    double *then = calloc((size_t)inputs * (size_t)mixes, sizeof *then);

    if (!rows || !then)
        abort();
    for (int i = 0; i < inputs; i++) {
        rows[i].preamp_db[0] = rows[i].preamp_db[1] =
            number_of(sheet, PARAM_INPUT_PREAMP_GAIN, i, 0);
        for (int mix = 0; mix < mixes; mix++)
            then[i * mixes + mix] = number_of(sheet, PARAM_SEND_LEVEL, i, mix);
    }
    for (int i = 0; i < retrim->move_count; i++) {
        if (retrim->moves[i].param == PARAM_INPUT_PREAMP_GAIN)
            move_preamp(sheet, &retrim->moves[i], rows);
        else if (retrim->moves[i].param == PARAM_SEND_LEVEL)
            then[retrim->moves[i].row * mixes + retrim->moves[i].column] = retrim->moves[i].to;
    }
    for (int i = 0; i < inputs; i++) {
        rows[i].send_db[0] = rows[i].send_db[1] = -HUGE_VAL;
        for (int mix = 0; mix < mixes; mix++) {
            rows[i].send_db[0] =
                fmax(rows[i].send_db[0], number_of(sheet, PARAM_SEND_LEVEL, i, mix));
            rows[i].send_db[1] = fmax(rows[i].send_db[1], then[i * mixes + mix]);
        }
    }
    free(then);
    return rows;
}

enum { OBJECT_COLUMN = 29, TABLE_WIDTH = 64 };

/* As a row of the table, or as a sentence where the terminal is too narrow for it. */
static void
print_row(const char *object, const struct row *row, bool wide)
{
    char a[16], b[16], c[16], d[16], figures[120];

    snprintf(figures, sizeof figures,
             wide ? "%6s -> %-6s %8s -> %s" : "preamp %s -> %s dB, loudest send %s -> %s dB",
             level(row->preamp_db[0], a), level(row->preamp_db[1], b), level(row->send_db[0], c),
             level(row->send_db[1], d));
    if (!wide) {
        output_format(2, 4, "%s: %s", object, figures);
        return;
    }
    output_padded(2, OBJECT_COLUMN, object);
    puts(figures);
}

static void
print_table(const struct sheet *sheet)
{
    struct row *rows = make_rows(sheet);
    bool wide = output_width() >= TABLE_WIDTH;
    char object[REPORT_OBJECT_SIZE];

    puts(wide ? "\nBefore and after              preamp dB        loudest send dB"
              : "\nBefore and after");
    for (int i = 0; i < desk_count(engine_desk(sheet->engine), INDEX_INPUT); i++) {
        const struct row *row = &rows[i];

        if (row->preamp_db[0] != row->preamp_db[1] || row->send_db[0] != row->send_db[1])
            print_row(report_object(sheet->engine, (struct object){i, -1}, object), row, wide);
    }
    free(rows);
}

static void
print_stops(const struct sheet *sheet)
{
    char object[REPORT_OBJECT_SIZE], line[500];

    if (sheet->retrim->stop_count > 0)
        puts("\nStopped short");
    for (int i = 0; i < sheet->retrim->stop_count; i++) {
        const struct retrim_stop *stop = &sheet->retrim->stops[i];

        snprintf(line, sizeof line, "%s: %s",
                 report_object(sheet->engine, (struct object){stop->input, stop->mix}, object),
                 stop->why);
        output_wrapped(2, 4, line);
    }
}

static void
print_text(const struct sheet *sheet)
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

/* ---- JSON ---- */

static struct json *
place_json(const struct sheet *sheet, struct object object, struct json *json)
{
    const struct desk *desk = engine_desk(sheet->engine);

    if (object.input >= 0) {
        json_add_number(json, "input", object.input + 1);
        json_add_string(json, "input_label", desk_text(desk, PARAM_INPUT_NAME, object.input, 0));
    }
    if (object.mix >= 0) {
        json_add_number(json, "mix", object.mix + 1);
        json_add_string(json, "mix_label", desk_text(desk, PARAM_MIX_NAME, object.mix, 0));
    }
    return json;
}

static void
print_json(const struct sheet *sheet)
{
    const struct retrim *retrim = sheet->retrim;
    struct json *root = json_new_object(), *moves = json_new_array(), *stops = json_new_array();
    char when[CLOCK_SIZE];
    char *text;

    json_add_number(root, "retrim_format", RETRIM_FORMAT);
    json_add_string(root, "desk", sheet->session->profile->desk);
    json_add_string(root, "show", engine_show(sheet->engine)->name);
    json_add_string(root, "at", session_at(sheet->session, when));
    json_add_number(root, "headroom_db", retrim->headroom_db);
    json_add_number(root, "worst_residue_db", retrim->worst_residue_db);
    for (int i = 0; i < retrim->move_count; i++) {
        struct json *json = json_new_object();

        json_add_string(json, "parameter", params[retrim->moves[i].param].name);
        place_json(sheet, object_of(&retrim->moves[i]), json);
        json_add_number(json, "from_db", retrim->moves[i].from);
        json_add_number(json, "to_db", retrim->moves[i].to);
        json_add_number(json, "residue_db", retrim->moves[i].residue_db);
        json_add(moves, NULL, json);
    }
    for (int i = 0; i < retrim->stop_count; i++) {
        struct json *json = json_new_object();

        place_json(sheet, (struct object){retrim->stops[i].input, retrim->stops[i].mix}, json);
        json_add_string(json, "why", retrim->stops[i].why);
        json_add(stops, NULL, json);
    }
    json_add(root, "moves", moves);
    json_add(root, "stops", stops);
    json_add(root, "link", report_link_json(sheet->figures));
    text = json_print(root, true);
    puts(text);
    free(text);
    json_free(root);
}

static int
write_sheet(struct session *session, const struct options *options,
            const struct link_figures *figures)
{
    struct retrim *retrim = retrim_new(engine_desk(session->engine), engine_show(session->engine));
    struct sheet sheet = {session, session->engine, retrim, figures};
    int status = EXIT_CLEAN;

    if (!retrim)
        abort();
    if (options->format == FORMAT_JSON)
        print_json(&sheet);
    else
        print_text(&sheet);
    if (retrim->move_count > 0)
        status = EXIT_FINDINGS;
    else if (desk_count_state(engine_desk(session->engine), VALUE_UNKNOWN) > 0)
        status = EXIT_NOT_KNOWN;
    retrim_free(retrim);
    return status;
}

int
command_retrim(const struct options *options)
{
    struct session session;
    struct link_figures figures;
    int status = EXIT_USAGE;

    if (session_load_afresh(&session, options, options->words[0], false) &&
        read_once(&session, options, &figures))
        status = write_sheet(&session, options, &figures);
    session_release(&session);
    return status;
}
